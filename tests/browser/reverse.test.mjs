// Steam that runs back to the turbine is seen in every picture of its line, and only there.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { accessibilityFaults, launch, LONG, open, served } from "./helpers.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launch()));
after(() => browser.close());

/** @param {import("playwright-core").Page} page @param {string} device @param {string} kind */
async function insert(page, device, kind) {
  await page.selectOption("#wrong-device", device);
  const value = await page.locator("#wrong-kind option", { hasText: kind }).first().getAttribute("value");
  await page.selectOption("#wrong-kind", value);
  await page.click('[data-desk="insert"]');
}

for (const [heater, key] of [["hp2", "2"], ["open4", "4"]])
  test(`${heater}: a non-return valve that does not shut, and a trip: the steam is seen to run back`, { timeout: LONG }, async () => {
    const { page, close } = await open(browser, served);
    await page.click("nav >> text=Desk");
    await insert(page, heater, "Non-return valve does not shut");
    await insert(page, "unit", "Turbine trips");
    await page.click("nav >> text=Climb");
    const climb = page.locator('.steam-line .steam[data-flow="back"]');
    // A line straight up has no width, so that it never counts as visible.
    await climb.waitFor({ state: "attached" });
    assert.equal(await climb.count(), 1, "the other valves are sound");
    const words = page.locator(".steam-text.back:visible");
    await words.waitFor();
    assert.match((await words.textContent()) ?? "", /^steam back\s*\d+\.\d kg\/s$/);
    await page.waitForSelector('[aria-label*="steam back"]', { state: "attached" });
    assert.deepEqual(await accessibilityFaults(page), []);
    await page.click("nav >> text=Flow sheet");
    await page.waitForSelector('.sheet-picture .pipe.steam[data-flow="back"]', { state: "attached" });
    assert.equal(await page.locator('.sheet-picture .pipe.steam[data-flow="back"]').count(), 1);
    await page.click("nav >> text=Climb");
    await page.keyboard.press(key);
    await page.click("nav >> text=Inside");
    await page.waitForFunction(() => /steam back \d/.test(document.querySelector(".cutaway")?.textContent ?? ""));
    await close();
  });
