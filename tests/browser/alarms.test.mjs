// Alarms and protection: a high-high level tripped, seen, reset and put back by keyboard alone; shelving; the words of a
// refusal; no serious fault of accessibility in any colours.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { accessibilityFaults, launch, LONG, open, served, told } from "./helpers.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launch()));
after(() => browser.close());

/** @typedef {import("playwright-core").Page} Page */

/** Presses a button by the keyboard. @param {Page} page @param {string} button */
async function press(page, button) {
  await page.waitForSelector(`${button}:visible`);
  await page.focus(button);
  await page.keyboard.press("Enter");
}

/** Moves a drain of heater HP 1 by hand. @param {Page} page @param {"normal" | "emergency"} valve @param {number} percent */
async function drain(page, valve, percent) {
  await page.focus(`[data-action="move_drain"][data-heater="hp1"][data-valve="${valve}"]`);
  await page.keyboard.press("Control+A");
  await page.keyboard.type(String(percent));
  await page.keyboard.press("Enter");
}

/** Fills heater HP 1 to its high-high level by shutting both its drains, and shows the alarms. @param {Page} page */
async function flood(page) {
  await page.keyboard.press("1");
  await page.waitForSelector("#card-hp1:visible");
  await drain(page, "normal", 0);
  await drain(page, "emergency", 0);
  await page.evaluate(() => document.activeElement instanceof HTMLElement && document.activeElement.blur());
  for (let gear = 0; gear < 5; gear += 1) await page.keyboard.press("+");
  await page.waitForSelector('[data-pick="hp1"][data-mode="out"]');
}

const ROW = 'tr[data-row="hp1.level_high_high"]';
const RESET = 'button[data-row="hp1.level_high_high"]';
const ALARM = 'tr[data-alarm="hp1.level_high_high"]';

test("by keyboard alone: trip at high-high, acknowledge, reset, put back", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await flood(page);
  await page.waitForFunction(() => Number(document.querySelector(".rail .badge")?.textContent) > 0);
  await page.waitForFunction(() => /New alarm: /.test(document.querySelector(".alarm-live")?.textContent ?? ""));

  // Put back is refused as long as protection is latched; the card offers the reset, which says why it is refused.
  await page.keyboard.press("b");
  await page.waitForSelector('#card-hp1 [data-action="card_reset"]:visible');

  await press(page, 'nav [data-view="alarms"]');
  await page.waitForSelector(`${ALARM}[data-first-out="yes"]`);
  await told(page, ALARM, /critical/);
  const under = page.locator('tr[data-alarm][data-under="hp1.level_high_high"]');
  assert.ok((await under.count()) > 0, "what follows from the trip stands under it");
  await page.waitForSelector(`${ROW}[data-tripped="yes"]`);
  await told(page, ROW, /first out/);

  await press(page, `${ALARM} [data-action="acknowledge"]`);
  await page.waitForSelector(`${ALARM}[data-standing$="acknowledged"]:not([data-standing*="unacknowledged"])`);
  await press(page, '[data-action="acknowledge_all"]');
  await page.waitForSelector(".rail .badge", { state: "hidden" });
  // The heater is off and its drain is held shut by hand: the water stays, and with it the cause.
  await page.waitForSelector(`${ROW}[data-cause="yes"]`);
  await press(page, RESET);
  await page.waitForFunction(() =>
    /reset is refused, its cause stands\. .*mm; bring it below .*mm first/.test(
      document.querySelector("[aria-labelledby=protection-title] .refusal")?.textContent ?? "",
    ),
  );

  await press(page, 'nav [data-view="climb"]');
  await press(page, '[data-action="release_drain"][data-heater="hp1"][data-valve="emergency"]');
  await press(page, '[data-action="release_drain"][data-heater="hp1"][data-valve="normal"]');
  await press(page, 'nav [data-view="alarms"]');
  await page.waitForSelector(`${ROW}[data-tripped="yes"]:not([data-cause])`);
  await press(page, RESET);
  await page.waitForSelector(`${ROW}:not([data-tripped])`);

  await press(page, 'nav [data-view="climb"]');
  await page.waitForSelector('[data-pick="hp1"][data-mode="out"]');
  await page.waitForTimeout(1500); // until the water has drained from above the marks
  await press(page, '#card-hp1 [data-action="put_back"]');
  await page.waitForSelector('[data-pick="hp1"][data-mode="returning"]');
  await close();
});

test("a card offers the reset that its heater waits for", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await flood(page);
  await page.click('#card-hp1 [data-action="release_drain"][data-valve="emergency"]');
  await page.click('#card-hp1 [data-action="release_drain"][data-valve="normal"]');
  await page.click('#card-hp1 [data-action="put_back"]');
  const offer = page.locator('#card-hp1 [data-action="card_reset"]');
  await offer.waitFor({ state: "visible" });
  const began = Date.now();
  while ((await offer.isVisible()) && Date.now() - began < 60_000) {
    await offer.click();
    await page.waitForTimeout(250);
  }
  await offer.waitFor({ state: "hidden" });
  await told(page, "#card-hp1 .refusal", /Protection is reset/);
  await close();
});

for (const theme of ["light", "dark"]) {
  test(`${theme}: shelved and back, and no serious fault of accessibility`, { timeout: LONG }, async () => {
    const { page, close } = await open(browser, served, { colorScheme: /** @type {"light" | "dark"} */ (theme) });
    await page.click('[data-action="trip_heater"][data-heater="hp1"]');
    await page.click('nav [data-view="alarms"]');
    const off = 'tr[data-alarm="hp1.off"]';
    await page.waitForSelector(`${off}[data-standing="unacknowledged"]`);
    await page.selectOption("#shelf-minutes", "30");
    await page.click(`${off} [data-action="shelve"]`);
    await page.waitForSelector(`${off}[data-standing="shelved"]`);
    await told(page, off, /for 0:(30:00|29:\d\d) more/);
    assert.deepEqual(await accessibilityFaults(page), []);
    await page.click(`${off} [data-action="shelve"]`);
    await page.waitForSelector(`${off}[data-standing="unacknowledged"]`);
    assert.deepEqual(await accessibilityFaults(page), []);
    await close();
  });
}
