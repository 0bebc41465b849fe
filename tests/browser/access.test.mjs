// Every view, the help and a number's working, in each theme: no serious fault of accessibility, nothing runs out sideways. The
// views' own tests look further: at states that only they come to.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { accessibilityFaults, launch, LONG, open, served, until } from "./helpers.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launch()));
after(() => browser.close());

test("every view, light and dark, can be read and operated by everybody", { timeout: 2 * LONG }, async () => {
  const { page, close } = await open(browser, served, { viewport: { width: 1280, height: 720 } });
  await page.click('[data-action="trip_heater"][data-heater="hp1"]');
  await page.click('[data-speed="60"]');
  await until(page, 120);
  await page.click('[data-action="freeze"]');
  const views = await page.$$eval("nav [data-view]", (links) => links.map((link) => link.getAttribute("data-view") ?? ""));
  assert.ok(views.length >= 10, `${views}`);
  const look = async (/** @type {string} */ what) => {
    for (const theme of ["light", "dark"]) {
      await page.evaluate((theme) => void (document.documentElement.dataset.theme = theme), theme);
      // What a theme changes is colours alone.
      assert.deepEqual(await accessibilityFaults(page, theme === "light" ? undefined : ["color-contrast"]), [], `${what}, ${theme}`);
    }
    const wide = await page.evaluate(() => document.documentElement.scrollWidth);
    assert.ok(wide <= 1280, `${what} is ${wide} px wide`);
  };
  for (const view of views) {
    await page.click(`nav [data-view="${view}"]`);
    await page.waitForSelector(`body[data-view="${view}"]`);
    if (view === "balance") await page.waitForSelector('.paper[data-solved="yes"]');
    if (view === "editor") await page.waitForSelector(".ed-state");
    await page.waitForTimeout(250);
    await look(view);
  }
  await page.click('nav [data-view="climb"]');
  await page.waitForSelector('body[data-view="climb"]');
  await page.keyboard.press("2");
  await page.click('#card-hp2 [data-signal="hp2.ttd"]');
  await page.waitForSelector("dialog.working[open]");
  await look("a number's working");
  await page.keyboard.press("Escape");
  await page.keyboard.press("?");
  await page.waitForSelector("dialog.help[open]");
  await look("help");
  await close();
});
