// Which plant is open: the first shipped, the one that the address names, the one that is chosen; each one runs.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { LONG, launch, open, served, singleFile, until, values } from "./helpers.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launch()));
after(() => browser.close());

/** @param {string} address @param {string} plant */
const asking = (address, plant) => {
  const asked = new URL(address);
  asked.searchParams.set("plant", plant);
  return asked.href;
};

for (const [name, address] of [
  ["served", served],
  ["single file", singleFile],
]) {
  test(`${name}: another plant is chosen by its title and opens at rest`, { timeout: LONG }, async () => {
    const { page, close } = await open(browser, address);
    const names = await page.$$eval("select.plant option", (all) => all.map((one) => /** @type {any} */ (one).value));
    assert.deepEqual(names.slice(0, 3), ["reheat250", "drum60", "saturated300"]);
    assert.equal(await page.inputValue("select.plant"), "reheat250");
    await page.selectOption("select.plant", "drum60");
    await page.waitForURL(/plant=drum60/);
    await page.waitForSelector('body[data-ready="true"]');
    assert.match(await page.title(), /Quenby Lock/);
    // Its own design, not that of the first: some 60 MW.
    const [gross] = await values(page, "unit.gross_output");
    assert.ok(gross > 55_000 && gross < 65_000, `${gross} kW`);
    await close();
  });
}

test("every shipped plant runs, is tripped by a click, and answers", { timeout: LONG }, async () => {
  for (const plant of ["reheat250", "drum60", "saturated300"]) {
    const { page, close } = await open(browser, asking(served, plant));
    await page.click('[data-speed="30"]');
    const [time, hot] = await values(page, "unit.time", "unit.final_fw_temperature");
    await page.click('[data-action="trip_heater"][data-heater="hp1"]');
    await until(page, time + 240);
    const [cold] = await values(page, "unit.final_fw_temperature");
    assert.ok(hot - cold > 15 && hot - cold < 60, `${plant}: ${hot} to ${cold} °C`);
    await close();
  }
});

test("a plant that is not shipped is refused with the names there are", { timeout: LONG }, async () => {
  const page = await browser.newPage();
  await page.goto(asking(served, "nowhere"));
  await page.waitForSelector("main.starting");
  const text = await page.innerText("main.starting");
  assert.match(text, /nowhere/);
  assert.match(text, /reheat250, drum60, saturated300/);
  await page.close();
});
