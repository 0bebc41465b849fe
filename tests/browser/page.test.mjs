// The page as a trainee uses it, served and as one file from the disk: a heater is tripped by a click, and the
// feedwater temperature on the screen answers as the heat balance says.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { axeSource, launch, LONG, open, served, singleFile, until, values } from "./helpers.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => {
  browser = await launch();
});
after(() => browser.close());

/** Seconds of plant time in which the fall must be complete: the water's and the metal's lag, common practice, no source. */
const SETTLED = 180;

for (const [name, address] of [
  ["served", served],
  ["single file", singleFile],
]) {
  test(`${name}: tripping the top heater lowers the final feedwater temperature by its rise`, { timeout: LONG }, async () => {
    const { page, close } = await open(browser, address);
      await until(page, 1);
    const [hpIn, hpOut] = await values(page, "hp1.fw_in_temperature", "hp1.fw_out_temperature");
    const rise = hpOut - hpIn;
    assert.ok(rise > 5 && rise < 80, `the top heater lifts the water by ${rise} K`);

    await page.click('[data-speed="30"]');
    const [start, warm, output] = await values(page, "unit.time", "unit.final_fw_temperature", "unit.gross_output");
    assert.ok(Math.abs(warm - hpOut) < 2, `${warm} °C at the boiler, ${hpOut} °C from the last heater`);
    await page.click('[data-action="trip_heater"][data-heater="hp1"]');

    // While the valves still move, the water is not yet cold.
    await until(page, start + 3);
    const [early, nearly] = await values(page, "unit.time", "unit.final_fw_temperature");
    if (early < start + 6) assert.ok(warm - nearly < 0.5 * rise, `fell by ${warm - nearly} K within ${early - start} s`);

    await until(page, start + SETTLED);
    const [cold, more] = await values(page, "unit.final_fw_temperature", "unit.gross_output");
    const fall = warm - cold;
    assert.ok(Math.abs(fall - rise) < 0.2 * rise, `fell by ${fall} K, the heater's rise was ${rise} K`);
    assert.ok(more > output, `gross output ${output} kW before, ${more} kW after`);
    await close();
  });
}

test("served: freeze stops the plant's clock and run starts it", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await until(page, 1);
  await page.click('[data-action="freeze"]');
  const [frozen] = await values(page, "unit.time");
  await page.waitForTimeout(1500);
  const [still] = await values(page, "unit.time");
  // One frame may have been under way.
  assert.ok(still - frozen <= 0.25, `${frozen} s, then ${still} s`);
  await page.click('[data-action="run"]');
  await until(page, still + 1);
  await close();
});

for (const colorScheme of /** @type {const} */ (["light", "dark"])) {
  test(`served: no serious accessibility fault, ${colorScheme}`, { timeout: LONG }, async () => {
    const { page, close } = await open(browser, served, { colorScheme });
      await page.evaluate(axeSource);
    const found = await page.evaluate(async () => {
      // @ts-ignore: put there by the line above
      const { violations } = await window.axe.run(document, {
        runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
      });
      return violations
        .filter((/** @type {{ impact: string }} */ v) => v.impact === "serious" || v.impact === "critical")
        .map((/** @type {any} */ v) => `${v.id}: ${v.help}: ${v.nodes.slice(0, 3).map((/** @type {any} */ n) => n.html)}`);
    });
    assert.deepEqual(found, []);
    await close();
  });
}
