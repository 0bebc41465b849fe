// The catalogue in two languages, and the page that changes from one to the other while the plant goes on.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { german } from "../../www/src/german.js";
import { words } from "../../www/src/words.js";
import { workingWords } from "../../www/src/working/words.js";
import { accessibilityFaults, launch, LONG, open, served, singleFile, told, values } from "./helpers.mjs";

const fields = (/** @type {string} */ text) => [...new Set(text.match(/\{\w+\}/g) ?? [])].sort().join(" ");

test("the German words are the catalogue's, with the same blanks to fill in", () => {
  for (const [key, text] of Object.entries(german)) {
    const english = /** @type {Record<string, string>} */ (words)[key];
    assert.ok(english !== undefined, `${key} is no word of the page`);
    assert.equal(fields(text), fields(english), key);
    assert.equal(text.trim(), text, key);
  }
});

test("nearly everything is there in German; what is not is the same word or newer than the translation", () => {
  // The words of the workings, a catalogue of their own, are not translated yet.
  const asked = Object.keys(words).filter((key) => !Object.hasOwn(workingWords, key));
  const missing = asked.filter((key) => !Object.hasOwn(german, key));
  assert.ok(missing.length < 0.15 * asked.length, `${missing.length} of ${asked.length}: ${missing}`);
});

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launch()));
after(() => browser.close());

for (const [name, address] of [
  ["served", served],
  ["single file", singleFile],
]) {
  test(`${name}: the language changes while the plant goes on, and is kept`, { timeout: LONG }, async () => {
    const { page, close } = await open(browser, address);
    await page.click('[data-action="trip_heater"][data-heater="hp1"]');
    await page.click('[data-speed="10"]');
    await page.waitForSelector('[data-pick="hp1"][data-mode="tripping"]');
    const [before] = await values(page, "unit.time");
    await page.selectOption("select.language", "de");
    await page.waitForFunction(() => /HD 1 vom Bediener ausgelöst/.test(document.querySelector(".event-list")?.textContent ?? ""));
    const [then] = await values(page, "unit.time");
    assert.ok(then >= before, `the plant was at ${before} s and is at ${then} s`);
    await told(page, "html", "de", "lang");
    assert.equal(await page.locator("header.bar").count(), 1, "built once");
    await told(page, ".totals", /\d+,\d/);
    // One keyboard, not two: a key acts once.
    await page.evaluate(() => document.activeElement instanceof HTMLElement && document.activeElement.blur());
    await page.keyboard.press("Space");
    await page.waitForSelector('.bar[data-running="false"]');
    for (const view of ["sheet", "heater", "trends", "balance"]) {
      await page.click(`nav [data-view="${view}"]`);
      await page.waitForSelector(`body[data-view="${view}"]`);
      await page.waitForTimeout(150);
    }
    await page.waitForSelector(".paper:visible");
    await told(page, "main.balance", /Wärmeverbrauch/);
    await page.reload();
    await page.waitForSelector("select.language");
    assert.equal(await page.inputValue("select.language"), "de");
    await page.selectOption("select.language", "en");
    await page.waitForFunction(() => document.documentElement.lang === "en");
    await told(page, "nav", /Flow sheet/);
    await close();
  });
}

test("a German browser is spoken to in German; nothing runs out sideways, no serious fault", { timeout: LONG }, async () => {
  for (const [width, height] of [[1280, 720], [820, 1180], [390, 844]]) {
    const { page, close } = await open(browser, served, { locale: "de-DE", viewport: { width, height } });
    await told(page, "html", "de", "lang");
    for (const view of ["climb", "sheet", "heater", "trends", "balance"]) {
      await page.click(`nav [data-view="${view}"]`);
      await page.waitForSelector(`body[data-view="${view}"]`);
      await page.waitForTimeout(400);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      assert.ok(wide <= width, `${view}: ${wide} px wide at ${width}`);
      assert.deepEqual(await accessibilityFaults(page), [], view);
    }
    await close();
  }
});
