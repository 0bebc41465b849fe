// The inside of a heater: reached by mouse and keyboard, its figures those of the plant, its zones and levels where the
// engine says they are, on every size of screen.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { accessibilityFaults, launch, LONG, open, record, served, singleFile, told, until, values } from "./helpers.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launch()));
after(() => browser.close());

/** @param {string} heater @param {import("playwright-core").BrowserContextOptions} [options] */
const inside = async (heater, options, address = served) => {
  const opened = await open(browser, `${address}#heater/${heater}`, options);
  await opened.page.waitForSelector(`[data-inside="${heater}"]`);
  return opened;
};

/** Height in the picture of a part's upper edge. @param {import("playwright-core").Page} page @param {string} part */
const topOf = (page, part) => page.$eval(part, (one) => one.getBoundingClientRect().top);

test("reached from the climb by a double click, the card's link and the keyboard, and left again", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await page.dblclick('[data-pick="lp6"]');
  await page.waitForSelector('[data-inside="lp6"]:visible');
  await page.goBack();
  await page.waitForSelector(".climb:visible");
  await page.click("#card-lp6 .inside-link");
  await page.waitForSelector('[data-inside="lp6"]:visible');
  await page.goBack();
  await page.keyboard.press("2");
  await page.keyboard.press("o");
  await page.waitForSelector('[data-inside="hp2"]:visible');
  // From heater to heater: by arrow key, digit, and the links at both ends of the head.
  await page.keyboard.press("ArrowLeft");
  await page.waitForSelector('[data-inside="hp3"]:visible');
  assert.match(page.url(), /#heater\/hp3$/);
  await page.click('[data-step="after"]');
  await page.waitForSelector('[data-inside="hp2"]:visible');
  await page.keyboard.press("7");
  await page.waitForSelector('[data-inside="lp7"]:visible');
  assert.equal(await page.locator('[data-step="before"]:visible').count(), 0, "nothing before the first");
  await page.reload();
  await page.waitForSelector('[data-inside="lp7"]:visible');
  await close();
});

for (const [name, address] of [
  ["served", served],
  ["single file", singleFile],
]) {
  test(`${name}: the zones' temperatures stand in the order in which heat can pass`, { timeout: LONG }, async () => {
    const { page, close } = await inside("hp2", {}, address);
    await page.click('[data-action="freeze"]');
    await page.waitForTimeout(400);
    const of = (/** @type {string[]} */ ...names) => values(page, ...names.map((one) => `hp2.${one}`));
    const [tIn, tDc, tCond, tOut] = await of(
      "fw_in_temperature",
      "fw_drain_cooling_temperature",
      "fw_condensing_temperature",
      "fw_out_temperature",
    );
    assert.ok(tIn < tDc && tDc < tCond && tCond < tOut, `${tIn} ${tDc} ${tCond} ${tOut}`);
    const [steam, cooled, saturation, drain] = await of(
      "steam_in_temperature",
      "steam_cooled_temperature",
      "saturation_temperature",
      "drain_temperature",
    );
    assert.ok(steam > cooled && cooled > saturation && saturation > drain && drain > tIn, `${steam} ${cooled} ${saturation} ${drain}`);
    assert.ok(cooled > tCond && saturation > tCond, "no zone's streams cross");
    // What is drawn is what is computed: the shell line's height is saturation, seen against the axis.
    const label = (await page.getAttribute(".picture.chart", "aria-label")) ?? "";
    assert.match(label, new RegExp(`saturation at ${saturation.toFixed(1)} °C`));
    await close();
  });
}

test("a drain valve throttled by hand: the water rises in the cutaway, floods tubes, and says so", { timeout: LONG }, async () => {
  const { page, close } = await inside("lp5");
  const still = await topOf(page, ".cutaway > .stored");
  await page.fill("#hand-lp5-normal", "3");
  await page.keyboard.press("Enter");
  await page.fill("#hand-lp5-emergency", "0");
  await page.keyboard.press("Enter");
  await page.click('[data-speed="30"]');
  await page.waitForFunction(() => /% of condensing tubes under water/.test(document.querySelector(".cutaway")?.textContent ?? ""));
  await page.waitForSelector('.gauge.big:not([data-weight="calm"])');
  await page.click('[data-action="freeze"]');
  assert.ok((await topOf(page, ".cutaway > .stored")) < still - 4, "the surface has risen");
  await told(page, ".picture.cut", /LP 5 cut open, .*condensing tubes under water/, "aria-label");
  await close();
});

test("tripped: the water goes round, the strokes in the tubes stop", { timeout: LONG }, async () => {
  const { page, close } = await inside("hp1");
  const moving = () =>
    page.$$eval(".cutaway .moving.water", (all) => all.filter((one) => getComputedStyle(one).display !== "none").length);
  const before = await moving();
  await page.keyboard.press("t");
  await page.click('[data-speed="60"]');
  await page.waitForFunction(() => /bypass 100 %/.test(document.querySelector(".cutaway")?.textContent ?? ""));
  await page.locator(".profile text", { hasText: "Hardly any heat" }).waitFor({ state: "visible" });
  assert.equal(await moving(), 1, `of ${before} only the bypass still moves`);
  await close();
});

test("frozen, or with reduced motion, nothing moves", { timeout: LONG }, async () => {
  const first = await inside("hp1");
  const states = () =>
    first.page.$$eval(".cutaway .moving", (all) => [...new Set(all.map((one) => getComputedStyle(one).animationPlayState))]);
  assert.deepEqual(await states(), ["running"]);
  await first.page.click('[data-action="freeze"]');
  await first.page.waitForSelector('.bar[data-running="false"]');
  assert.deepEqual(await states(), ["paused"]);
  await first.close();
  const still = await inside("hp1", { reducedMotion: "reduce" });
  assert.equal(await still.page.locator(".cutaway .moving:visible").count(), 0);
  await still.close();
});

test("open heater: a fall of load sends hotter water down the suction pipe than the tank then holds", { timeout: LONG }, async () => {
  const { page, close } = await inside("open4");
  await page.fill("#load-number", "40");
  await page.keyboard.press("Enter");
  await page.click('[data-speed="30"]');
  const names = ["unit.time", "open4.suction_temperature_1", "open4.suction_temperature_5", "open4.saturation_temperature"];
  const rows = await record(page, 400, ...names);
  const lags = rows.map(([, first, last]) => (last ?? 0) - (first ?? 0));
  assert.ok(Math.max(...lags) > 0.05, `the pumps' water lags by ${Math.max(...lags)} K`);
  await page.click('[data-action="freeze"]');
  const [has, needs, spare] = await values(page, "unit.suction_head_available", "unit.suction_head_required", "unit.suction_head_margin");
  assert.ok(Math.abs(has - needs - spare) < 1e-9);
  await close();
});

test("every heater of every shipped plant has its inside", { timeout: LONG }, async () => {
  for (const plant of ["reheat250", "drum60", "saturated300"]) {
    const address = new URL(served);
    address.searchParams.set("plant", plant);
    address.hash = "heater";
    const { page, close } = await open(browser, address.href);
    const heaters = await page.$$eval("[role=tab]", (all) => all.map((one) => one.id.replace("tab-", "")));
    for (const heater of heaters) {
      await page.click(`#tab-${heater}`);
      await page.waitForSelector(`[data-inside="${heater}"]`);
      const odd = await page.$$eval(".inside svg *", (all) =>
        all.flatMap((one) => [...one.attributes].filter(({ value }) => /NaN|undefined/.test(value)).map(({ name }) => `${one.tagName} ${name}`)),
      );
      assert.deepEqual(odd, [], `${plant} ${heater}`);
    }
    await close();
  }
});

for (const [name, width, height] of /** @type {const} */ ([
  ["laptop", 1366, 768],
  ["projector", 1280, 720],
  ["tablet", 820, 1180],
  ["phone", 390, 844],
])) {
  test(`${name}, ${width} x ${height}: nothing runs out sideways, words stay in their picture`, { timeout: LONG }, async () => {
    for (const heater of ["hp1", "open4", "lp7"]) {
      const { page, close } = await inside(heater, { viewport: { width, height } });
      await until(page, 1);
      const cut = await page.evaluate(() => {
        const found = [];
        for (const svg of document.querySelectorAll(".inside svg")) {
          const frame = svg.getBoundingClientRect();
          for (const text of svg.querySelectorAll("text")) {
            const box = text.getBoundingClientRect();
            if (box.width && (box.left < frame.left - 1 || box.right > frame.right + 1 || box.top < frame.top - 2 || box.bottom > frame.bottom + 2))
              found.push(text.textContent);
          }
        }
        return found;
      });
      assert.deepEqual(cut, [], heater);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      assert.ok(wide <= width, `${heater}: ${wide} px wide`);
      await close();
    }
  });
}

for (const colorScheme of /** @type {const} */ (["light", "dark"])) {
  test(`no serious accessibility fault, ${colorScheme}`, { timeout: LONG }, async () => {
    for (const heater of ["hp1", "open4"]) {
      const { page, close } = await inside(heater, { colorScheme });
      assert.deepEqual(await accessibilityFaults(page), []);
      await close();
    }
  });
}
