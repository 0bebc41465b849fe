// The flow sheet: drawn for any plant from its own list, each instrument and valve with a tag of its own, valves picked
// and moved by mouse and keyboard.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { leastWidth, planSheet, LEAST_HEIGHT } from "../../www/src/sheet/plan.js";
import { tagOf } from "../../www/src/sheet/tags.js";
import { accessibilityFaults, launch, LONG, open, served, singleFile, told, until, values } from "./helpers.mjs";

/** @param {number} count @param {number} openAt */
const train = (count, openAt) =>
  Array.from(
    { length: count },
    (_, at) => /** @type {any} */ ({ id: `h${at}`, number: count - at, kind: at === openAt ? "open" : "closed" }),
  );

test("from four heaters to ten, every column has its room and follows the water", () => {
  for (let count = 4; count <= 10; count += 1) {
    const heaters = train(count, 2);
    const width = leastWidth(heaters);
    const plan = planSheet(width, LEAST_HEIGHT, heaters);
    const { condenser, pumps, boiler } = plan;
    assert.ok(pumps);
    const row = [condenser, ...plan.heaters.slice(0, 3), pumps, ...plan.heaters.slice(3), boiler];
    row.forEach((place, at) => {
      assert.ok(place.right - place.left > 60, `${count} heaters: ${place.id} is ${place.right - place.left} px wide`);
      if (at) assert.equal(place.left, row[at - 1]?.right);
    });
    assert.ok((row.at(-1)?.right ?? Infinity) <= width, "inside the picture");
    assert.ok(Math.max(...Object.values(plan.y)) < LEAST_HEIGHT - 20);
  }
});

test("a tag names its heater by the number", () => {
  const [heater] = train(4, 2);
  assert.equal(tagOf(heater, "normal_drain_valve").tag, "LV-405");
  assert.equal(tagOf(heater, "level").tag, "LIC-405");
  assert.equal(tagOf(null, "final_fw_temperature").tag, "TI-002");
});

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launch()));
after(() => browser.close());

/** @param {string} [plant] @param {import("playwright-core").BrowserContextOptions} [options] */
const start = async (plant = "reheat250", options, place = served) => {
  const address = new URL(place);
  address.searchParams.set("plant", plant);
  address.hash = "sheet";
  const opened = await open(browser, address.href, options);
  await opened.page.waitForSelector("[data-sheet-heater]");
  return opened;
};

test("every shipped plant is drawn whole, no tag twice, nothing cut", { timeout: LONG }, async () => {
  for (const [plant, closed] of /** @type {const} */ ([["reheat250", 6], ["drum60", 3], ["saturated300", 5]])) {
    const { page, close } = await start(plant);
    await until(page, 0.5);
    assert.equal(await page.locator("[data-sheet-heater]").count(), closed + 1, plant);
    const tags = await page.$$eval("[data-tag]", (all) => all.map((one) => one.getAttribute("data-tag")));
    assert.equal(new Set(tags).size, tags.length, `${plant}: ${tags}`);
    assert.equal(tags.filter((tag) => tag?.startsWith("LV-")).length, 2 * closed, "two drain valves at each closed heater");
    assert.equal(tags.filter((tag) => /^XV-\d+13$/.test(tag ?? "")).length, closed + 1, "a drain at each extraction line");
    const faults = await page.evaluate(() => {
      const frame = document.querySelector(".sheet-picture")?.getBoundingClientRect();
      if (!frame) return ["no picture"];
      return [...document.querySelectorAll(".sheet-picture text, .sheet-picture [data-value]")].flatMap((one) => {
        const box = one.getBoundingClientRect();
        const out = box.left < frame.left || box.right > frame.right || box.top < frame.top || box.bottom > frame.bottom;
        const odd = one.getAttribute("data-value") === "NaN";
        return out || odd ? [`${one.getAttribute("data-signal") ?? one.textContent}`] : [];
      });
    });
    assert.deepEqual(faults, [], plant);
    await close();
  }
});

for (const [name, place] of [
  ["served", served],
  ["single file", singleFile],
]) {
  test(`${name}: a drain valve is picked on the sheet and moved by hand, by keyboard alone`, { timeout: LONG }, async () => {
    const { page, close } = await start("reheat250", {}, place);
    await page.focus('[data-tag="LV-605"]');
    await told(page, '[data-tag="LV-605"]', /^LV-605, LP 6, Normal drain: \d+ %\./, "aria-label");
    await page.keyboard.press("Enter");
    await page.waitForFunction(() => document.activeElement?.id === "hand-lp6-normal");
    await page.keyboard.press("Control+a");
    await page.keyboard.type("20");
    await page.keyboard.press("Enter");
    await page.click('[data-speed="10"]');
    await page.waitForFunction(() => /20 % hand/.test(document.querySelector('[data-words-of="LV-605"]')?.textContent ?? ""));
    // Less drains than condenses: the level rises, and the glass on the card says what the sheet says.
    const [before] = await values(page, "unit.time");
    await until(page, before + 20);
    const [level] = await values(page, "lp6.level");
    assert.ok(level > 5, `level ${level} mm`);
    await close();
  });
}

test("a stop valve leads to what shuts it, a heater to its card and its inside", { timeout: LONG }, async () => {
  const { page, close } = await start();
  await page.click('[data-tag="XV-209"]');
  await page.waitForFunction(() => document.activeElement?.getAttribute("data-action") === "isolate_extraction");
  await page.keyboard.press("Enter");
  await page.click('[data-speed="60"]');
  await page.waitForFunction(() => /shut/.test(document.querySelector('[data-words-of="XV-209"]')?.textContent ?? ""));
  await page.waitForSelector('[data-sheet-heater="hp2"][data-mode="isolated"]');
  await page.click('[data-tag="XV-209"]');
  await page.waitForFunction(() => document.activeElement?.getAttribute("data-action") === "put_back");
  await page.dblclick('[data-sheet-heater="lp5"]');
  await page.waitForSelector('[data-inside="lp5"]:visible');
  await close();
});

for (const [colorScheme, width] of /** @type {const} */ ([
  ["light", 1366],
  ["dark", 1280],
  ["light", 390],
])) {
  test(`no serious accessibility fault, ${colorScheme}, ${width} px wide`, { timeout: LONG }, async () => {
    const { page, close } = await start("reheat250", { colorScheme, viewport: { width, height: 720 } });
    assert.deepEqual(await accessibilityFaults(page), []);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth);
    assert.ok(wide <= width, `${wide} px wide`);
    await close();
  });
}
