// The page as a trainee uses it, served and as one file from the disk: a heater is tripped by a click, and the
// feedwater temperature on the screen answers as the heat balance says.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { accessibilityFaults, launch, LONG, open, record, served, singleFile, until, values } from "./helpers.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => {
  browser = await launch();
});
after(() => browser.close());

/**
 * Seconds of plant time in which the fall must be done: valves' strokes, then the lag of metal and of the water
 * under way to the boiler. One to three minutes is common practice, no source.
 */
const SETTLED = 180;
/** Before this many, the water that left the heater hot still arrives. Our own bound: it only tells lag from none. */
const EARLY = 15;

for (const [name, address] of [
  ["served", served],
  ["single file", singleFile],
]) {
  test(`${name}: tripping the top heater lowers the final feedwater temperature by its rise`, { timeout: LONG }, async () => {
    const { page, close } = await open(browser, address);
    await until(page, 1);
    const [inlet, outlet] = await values(page, "hp1.fw_in_temperature", "hp1.fw_out_temperature");
    const rise = outlet - inlet;
    assert.ok(rise > 10 && rise < 60, `the top heater lifts the water by ${rise} K`);

    // Tripped while frozen, so that a slow machine does not shift the moment of the trip.
    await page.click('[data-action="freeze"]');
    const signals = ["unit.time", "unit.final_fw_temperature", "unit.gross_output", "hp2.drain_in_flow"];
    const [start, warm, output, drain] = await values(page, ...signals);
    assert.ok(Math.abs(warm - outlet) < 2, `${warm} °C at the boiler, ${outlet} °C from the last heater`);
    assert.ok(drain > 0, "the top heater drains into the next");
    await page.click('[data-action="trip_heater"][data-heater="hp1"]');
    await page.click('[data-speed="30"]');
    await page.click('[data-action="run"]');
    const rows = await record(page, start + SETTLED, ...signals);

    const falls = rows.map(([time, temperature]) => ({ after: time - start, fall: warm - temperature }));
    const early = falls.filter(({ after }) => after < EARLY);
    assert.ok(early.length > 0, "the page shows the first seconds after the trip");
    for (const { after, fall } of early) assert.ok(fall < 0.5 * rise, `fell by ${fall} K in ${after} s`);
    for (const { after, fall } of falls) assert.ok(fall < 1.2 * rise, `fell by ${fall} K in ${after} s, more than ${rise} K`);
    const last = falls.at(-1);
    assert.ok(last && last.after >= SETTLED, `the plant went on for ${last?.after} s only`);
    assert.ok(last.fall > 0.8 * rise, `fell by ${last.fall} K, the heater's rise was ${rise} K`);

    const [, , more, gone] = rows.at(-1) ?? [];
    assert.ok(more > output, `gross output ${output} kW before, ${more} kW after`);
    assert.ok(gone < 0.01 * drain, `${gone} kg/s still drain from the tripped heater into the next`);
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
    assert.deepEqual(await accessibilityFaults(page), []);
    await close();
  });
}

test("a file let fall where none is taken is held, and told where it belongs", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  const drop = (/** @type {string} */ name, /** @type {string} */ text) =>
    page.evaluate(
      ([name, text]) => {
        const dataTransfer = new DataTransfer();
        dataTransfer.items.add(new File([text], name));
        // Not held, the browser would leave the page for the file.
        return !document.querySelector(".climb")?.dispatchEvent(new DragEvent("drop", { dataTransfer, bubbles: true, cancelable: true }));
      },
      [name, text],
    );
  const told = () => page.innerText(".misplaced");
  assert.ok(await drop("photo.png", "\u0089PNG"));
  await page.waitForSelector(".misplaced:visible");
  assert.match(await told(), /photo\.png was not opened: .* no file that Bledsteam writes/);
  assert.ok(await drop("run.jsonl", '{"format": "bledsteam-record/1"}\n'));
  await page.waitForFunction(() => document.querySelector(".misplaced")?.textContent?.includes("run.jsonl"));
  assert.match(await told(), /It is a record: drop it in Review/);
  await page.click(".misplaced a");
  await page.waitForSelector(".review");
  assert.ok(await page.isHidden(".misplaced"));
  await close();
});
