// The trends: what is kept of a session, and the view as somebody uses it to look at what has happened.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, before, test } from "node:test";
import { History, TIERS } from "../../www/src/history.js";
import { accessibilityFaults, launch, LONG, open, served, singleFile, told, until, values } from "./helpers.mjs";

test("the last hour is kept by the second, and no peak is lost before it", () => {
  const history = new History(2);
  const peak = 40_003.25;
  for (let time = 0; time <= 100_000; time += 0.25) history.take(time, Float64Array.of(time, time === peak ? 1 : 0));
  const [fine = []] = history.read([0], 100_000 - 600, 100_000);
  assert.ok(fine.length >= 600 && fine.length <= 603, `${fine.length} points in ten minutes`);
  const [times = [], , level = []] = history.read([0, 1], 0, 100_000, 1e6);
  assert.equal(Math.max(...level), 1, "a peak of a quarter of a second, 16 hours ago");
  const at = times[level.indexOf(1)] ?? NaN;
  assert.ok(Math.abs(at - peak) < 600, `drawn at ${at} s`);
  for (let row = 1; row < times.length; row += 1)
    assert.ok(/** @type {number} */ (times[row]) > /** @type {number} */ (times[row - 1]), `out of order at ${times[row]}`);
});

test("memory is bounded, whatever the length of the session", () => {
  const history = new History(300);
  for (let time = 0; time < 10 * 86_400; time += 5) history.take(time, new Float64Array(300).fill(time));
  const bytes = history.tiers.reduce((sum, tier) => sum + tier.data.byteLength + tier.times.byteLength, 0);
  const most = TIERS.reduce((sum, { keep }, at) => sum + keep * (at ? 2 : 1) * (300 * 4 + 8), 0);
  assert.ok(bytes <= most && bytes < 15e6, `${bytes} of ${most} bytes`);
  assert.ok(history.from() < 4 * 86_400, "more than six days are still there");
});

test("a plant set back in time forgets what lay ahead of it", () => {
  const history = new History(1);
  for (let time = 0; time <= 100; time += 1) history.take(time, Float64Array.of(1));
  history.take(50, Float64Array.of(2));
  history.take(51, Float64Array.of(2));
  const [times = [], values = []] = history.read([0], 0, 200);
  assert.equal(times.at(-1), 51);
  assert.equal(values.at(-1), 2);
  assert.equal(times.filter((time) => time > 51).length, 0);
});

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launch()));
after(() => browser.close());

/** @param {import("playwright-core").BrowserContextOptions} [options] */
const start = async (options, address = served) => {
  const opened = await open(browser, `${address}#trends`, options);
  await opened.page.waitForSelector(".trends canvas");
  return opened;
};
/** @param {import("playwright-core").Page} page */
const drawn = (page) => page.$$eval("[data-pen-row]", (all) => all.map((one) => one.getAttribute("data-pen-row")));
/** @param {import("playwright-core").Page} page @param {string} button */
async function saved(page, button) {
  const [file] = await Promise.all([page.waitForEvent("download"), page.click(button)]);
  const path = await file.path();
  return { name: file.suggestedFilename(), content: readFileSync(path) };
}

test("pens come and go by search and keyboard, two quantities at most, and are kept", { timeout: LONG }, async () => {
  const { page, close } = await start();
  const usual = await drawn(page);
  assert.ok(usual.includes("unit.final_fw_temperature") && usual.includes("unit.gross_output"), `${usual}`);
  await page.fill("#trend-search", "hp 3 water out temp");
  const box = page.locator('[data-pen="hp3.fw_out_temperature"]');
  await box.focus();
  await page.keyboard.press("Space");
  await page.waitForSelector('[data-pen-row="hp3.fw_out_temperature"]');
  assert.deepEqual(
    await page.locator(".picker li:visible [data-pen]").evaluateAll((all) => all.map((one) => one.getAttribute("data-pen"))),
    ["hp3.fw_out_temperature", "hp3.fw_out_temperature_true"],
    "the search leaves what is shown, and the truth beside it",
  );
  // A third quantity has no axis: refused with its reason, and nothing drawn.
  await page.fill("#trend-search", "LP 6 level");
  await page.click('[data-pen="lp6.level"]');
  await told(page, ".picker .refusal", /LP 6 Level would need a third axis/);
  assert.equal(await page.isChecked('[data-pen="lp6.level"]'), false);
  await page.click('[data-pen-row="unit.gross_output"] .remove');
  await page.click('[data-pen="lp6.level"]');
  await page.waitForSelector('[data-pen-row="lp6.level"]');
  assert.equal(await page.locator(".picker .refusal:visible").count(), 0);
  const chosen = await drawn(page);
  await page.reload();
  await page.waitForSelector("[data-pen-row]");
  assert.deepEqual(new Set(await drawn(page)), new Set(chosen));
  await close();
});

for (const [name, address] of [
  ["served", served],
  ["single file", singleFile],
]) {
  test(`${name}: what is saved is what the plant did`, { timeout: LONG }, async () => {
    const { page, close } = await start({}, address);
    await page.click('[data-speed="30"]');
    await until(page, 120);
    await page.click('[data-action="freeze"]');
    const [now] = await values(page, "unit.time");
    await page.waitForFunction(() => Number(document.querySelector('[data-pen-row="unit.gross_output"] .value')?.getAttribute("data-value")) > 0);
    const table = await saved(page, '[data-file="csv"]');
    assert.match(table.name, /^reheat250-0-0\d-\d\d\.csv$/);
    const rows = table.content.toString("utf8").replace("\uFEFF", "").trim().split("\r\n");
    assert.match(rows[0] ?? "", /^Plant time \(s\),Final feedwater \(°C\),.*Gross output \(MW\)$/);
    assert.ok(rows.length > 100 && rows.length < 140, `${rows.length} rows`);
    const last = (rows.at(-1) ?? "").split(",").map(Number);
    assert.ok(now - (last[0] ?? NaN) <= 2, `ends at ${last[0]} s, the plant stands at ${now} s`);
    const output = Number(await page.getAttribute('[data-pen-row="unit.gross_output"] .value', "data-value"));
    assert.ok(Math.abs((last.at(-1) ?? NaN) - output / 1000) < 0.01, `${last.at(-1)} MW saved, ${output} kW shown`);
    const picture = await saved(page, '[data-file="png"]');
    assert.deepEqual([...picture.content.subarray(0, 8)], [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
    assert.ok(picture.content.length > 5000, `${picture.content.length} bytes`);
    await close();
  });
}

test("a gap that has lost its meaning is read out as none: now, back then, and in the file", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await page.click('[data-speed="60"]');
  await until(page, 30);
  await page.click('[data-action="trip_heater"][data-heater="hp1"]');
  await until(page, 240);
  await page.click('[data-action="freeze"]');
  await page.click('nav [data-view="trends"]');
  // Two quantities at most are drawn.
  await page.click('[data-pen-row="unit.gross_output"] .remove');
  await page.fill(".picker input[type=search]", "HP 1 TTD");
  await page.check('[id="pen-hp1.ttd"]');
  await page.waitForFunction(() => /no water/.test(document.querySelector('[data-pen-row="hp1.ttd"] .value')?.textContent ?? ""));
  const read = () => page.innerText('[data-pen-row="hp1.ttd"] .value');
  await page.focus(".trends-chart");
  await page.keyboard.press("Home");
  await page.waitForTimeout(300);
  assert.match(await read(), /^[−-]?\d+\.\d+ K$/, "at the start it was in service");
  for (let press = 0; press < 9; press += 1) await page.keyboard.press("PageDown");
  assert.equal(await read(), "–");
  // The pen that came last has the last column.
  const lines = (await saved(page, '[data-file="csv"]')).content.toString("utf8").trim().split("\r\n");
  assert.match(lines[0] ?? "", /TTD/);
  assert.match(lines[2] ?? "", /,-?\d+(\.\d+)?$/);
  assert.match(lines.at(-1) ?? "", /,$/);
  await close();
});

test("zoom by dragging, move by buttons, read by pointer and keyboard, back to the present", { timeout: LONG }, async () => {
  const { page, close } = await start();
  await page.click('[data-speed="60"]');
  await until(page, 400);
  await page.click('[data-action="freeze"]');
  const reach = async () => {
    const get = async (/** @type {string} */ name) => Number(await page.getAttribute(".trends-chart", name));
    return [await get("aria-valuemin"), await get("aria-valuemax")];
  };
  await page.click('[data-span="5"]');
  await page.waitForFunction(() => {
    const chart = document.querySelector(".trends-chart");
    return Number(chart?.getAttribute("aria-valuemax")) - Number(chart?.getAttribute("aria-valuemin")) <= 301;
  });
  const box = await page.locator(".trends-chart .u-over").boundingBox();
  assert.ok(box);
  await page.mouse.move(box.x + box.width * 0.5, box.y + 60);
  await page.mouse.down();
  await page.mouse.move(box.x + box.width * 0.75, box.y + 80, { steps: 4 });
  await page.mouse.up();
  await page.waitForFunction(() => document.querySelector('.trends [data-span="5"]')?.getAttribute("aria-pressed") === "false");
  await page.mouse.move(10, 10);
  await page.waitForTimeout(300);
  await page.focus(".trends-chart");
  await page.keyboard.press("Home");
  await page.keyboard.press("PageDown");
  const [from = NaN, to = NaN] = await reach();
  assert.ok(Math.abs(to - from - 75) < 6, `a quarter of five minutes: ${from} to ${to} s`);
  await told(page, ".trends-chart", /at 0:0\d:\d\d: Final feedwater \d+\.\d °C/, "aria-valuetext");
  await page.click('[data-tool="back"]');
  await page.waitForTimeout(300);
  await page.focus(".trends-chart");
  await page.keyboard.press("Home");
  const [earlier = NaN] = await reach();
  assert.ok(Math.abs(from - earlier - 30) < 4, `${from} s, then ${earlier} s`);
  await page.click('[data-span="0"]');
  await page.waitForFunction(() => Number(document.querySelector(".trends-chart")?.getAttribute("aria-valuemin")) === 0);
  await close();
});

for (const [colorScheme, width] of /** @type {const} */ ([
  ["light", 1366],
  ["dark", 1366],
  ["light", 390],
])) {
  test(`no serious accessibility fault, ${colorScheme}, ${width} px wide`, { timeout: LONG }, async () => {
    const { page, close } = await start({ colorScheme, viewport: { width, height: 768 } });
    assert.deepEqual(await accessibilityFaults(page), []);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth);
    assert.ok(wide <= width, `${wide} px wide`);
    await close();
  });
}
