// The guide: a picture and a text for every view, a line for every exercise, offline, served and from the single file.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { accessibilityFaults, launch, LONG, open, served, singleFile } from "./helpers.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launch()));
after(() => browser.close());

for (const [name, address] of [
  ["served", served],
  ["single file", singleFile],
]) {
  test(`${name}: every view has its picture in the guide, and the guide no serious fault`, { timeout: LONG }, async () => {
    const { page, close } = await open(browser, address);
    await page.keyboard.press("?");
    await page.waitForSelector("dialog[open]");
    const views = await page.locator("nav a[data-view]").count();
    const pictures = page.locator(".guide img");
    // The working and the debrief are no views of their own, and have theirs too.
    const parts = views + 2;
    assert.equal(await pictures.count(), parts);
    for (let at = 0; at < parts; at += 1) {
      await pictures.nth(at).scrollIntoViewIfNeeded();
      const element = await pictures.nth(at).elementHandle();
      await page.waitForFunction((one) => one instanceof HTMLImageElement && one.complete && one.naturalWidth > 600, element);
    }
    await page.waitForSelector(".guide-exercises li");
    const said = await page.locator(".guide-exercises li p").allInnerTexts();
    assert.ok(said.length >= 17 && said.every((text) => text.length > 20), said.join("\n"));
    assert.deepEqual(await accessibilityFaults(page), []);
    // From its head to any part, and out again, by mouse.
    await page.click('[data-guide="review"]');
    await page.waitForFunction(() => {
      const box = document.getElementById("guide-review")?.getBoundingClientRect();
      return box && box.top > 0 && box.top < innerHeight / 2;
    });
    await page.click(".help-head .help-close");
    await page.waitForFunction(() => !document.querySelector("dialog[open]"));
    await page.keyboard.press("?");
    await page.waitForSelector("dialog[open]");
    await page.keyboard.press("Escape");
    await page.waitForSelector("dialog[open]", { state: "detached" });
    await close();
  });
}
