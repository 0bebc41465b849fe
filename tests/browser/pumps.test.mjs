// The pumps on the open heater's card: their state, what is asked of them, and the warm-up valve by hand.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { accessibilityFaults, launch, LONG, open, served, told } from "./helpers.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launch()));
after(() => browser.close());

test("a feed pump is taken out, put back and started, and its warm-up valve opened by hand", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  const card = "#card-open4";
  const third = (/** @type {string} */ action) => `${card} [data-pump="fp3"][data-action="${action}"]`;
  const state = (/** @type {string} */ text) =>
    page.waitForFunction(
      (text) => document.querySelectorAll("#card-open4 .pump-state")[2]?.textContent?.includes(text),
      text,
    );
  await page.click("#tab-open4");
  await state("standby");
  await told(page, `${card} [data-signal="fp3.casing_temperature"]`, /^1\d\d °C$/);
  assert.deepEqual(await accessibilityFaults(page), []);
  // A permissive that is not met says why.
  await page.click(`${card} [data-pump="fp1"][data-action="take_pump_out"]`);
  await page.waitForFunction(() => /Stop it first/.test(document.querySelector("#card-open4 .pumps .refusal")?.textContent ?? ""));
  await page.click(third("take_pump_out"));
  await state("out");
  await page.click('[data-speed="60"]');
  await page.click(`${card} .local summary`);
  await page.selectOption(`${card} .local select`, "fp3 warm_up");
  await page.fill(`${card} .local input`, "100");
  await page.click(`${card} .local-ask button`);
  await page.waitForFunction(() => /isolated for maintenance/.test(document.querySelector("#card-open4 .local .refusal")?.textContent ?? ""));
  await page.click(third("put_pump_back"));
  await state("standby");
  await page.click(`${card} .local-ask button`);
  await page.waitForFunction(() => /Feed pump 3: 100/.test(document.querySelector("#card-open4 .local-held")?.textContent ?? ""));
  assert.equal(await page.locator(`${card} .local-held button`).count(), 0, "it has no drive to be handed back to");
  await page.click(third("start_pump"));
  await state("running");
  await page.waitForSelector(third("stop_pump"));
  await close();
});
