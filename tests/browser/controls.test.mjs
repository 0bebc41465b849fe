// The page's controls as people use them: by keyboard alone, in either system of units, refused and put right,
// on every size of screen that the page promises.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { launch, LONG, open, served, told, until, values } from "./helpers.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => {
  browser = await launch();
});
after(() => browser.close());

/** @param {import("playwright-core").BrowserContextOptions} [options] */
const start = (options) => open(browser, served, options);

test("by keyboard alone: freeze, pick, trip, follow and put back", { timeout: LONG }, async () => {
  const { page, close } = await start();
  await page.keyboard.press("Space");
  await page.waitForSelector('[data-action="run"]:visible');
  await page.keyboard.press("2");
  await page.waitForSelector("#card-hp2:visible");
  await page.keyboard.press("ArrowRight");
  await page.waitForSelector("#card-hp1:visible");
  await page.keyboard.press("t");
  await page.waitForSelector('[data-pick="hp1"][data-mode="tripping"]');
  for (let gear = 0; gear < 5; gear += 1) await page.keyboard.press("+");
  await page.keyboard.press("Space");
  await page.waitForSelector('[data-pick="hp1"][data-mode="out"]');
  await told(page, ".event-list", /HP 1 tripped by the operator/);
  await page.keyboard.press("b");
  await page.waitForSelector('[data-pick="hp1"][data-mode="returning"]');
  await close();
});

test("every heater in the climb takes the focus, says its values, and shows its card", { timeout: LONG }, async () => {
  const { page, close } = await start();
  const ids = await page.$$eval("[data-pick]", (all) => all.map((one) => one.getAttribute("data-pick")));
  assert.equal(ids.length, 7);
  for (const id of ids) {
    await page.focus(`[data-pick="${id}"]`);
    await told(page, `[data-pick="${id}"]`, /in service.*°C/, "aria-label");
    await page.keyboard.press("Enter");
    await page.waitForSelector(`#card-${id}:visible`);
  }
  await page.click('[data-pick="lp6"]');
  await page.waitForSelector("#card-lp6:visible");
  await close();
});

test("a refused command says where, why and what to do, beside the button", { timeout: LONG }, async () => {
  const { page, close } = await start();
  await page.click('[data-action="put_back"][data-heater="hp1"]');
  const refusal = page.locator("#card-hp1 .refusal[role=status]").first();
  await refusal.waitFor({ state: "visible" });
  assert.match(await refusal.innerText(), /HP 1: .+\. .+\./);
  // The next command that is carried out clears it.
  await page.click('[data-action="isolate_extraction"][data-heater="hp1"]');
  await refusal.waitFor({ state: "hidden" });
  await close();
});

test("a load outside its range is refused and the plant goes on", { timeout: LONG }, async () => {
  const { page, close } = await start();
  await page.fill('[data-action="set_load"]', "150");
  await page.keyboard.press("Enter");
  await page.waitForSelector(".load .refusal:visible");
  const [load] = await values(page, "unit.load");
  assert.ok(Math.abs(load - 1) < 0.01, `load ${load}`);
  await close();
});

test("the units change everywhere at once; the values inside do not", { timeout: LONG }, async () => {
  const { page, close } = await start();
  await page.click('[data-action="freeze"]');
  await page.waitForTimeout(300);
  const [inside] = await values(page, "unit.final_fw_temperature");
  await page.click('[data-units="us"]');
  await page.waitForFunction(() => document.querySelector(".totals")?.textContent?.includes("°F"));
  const [same] = await values(page, "unit.final_fw_temperature");
  assert.equal(same, inside);
  const shown = await page.$$eval('[data-signal="unit.final_fw_temperature"]', (all) =>
    all.map((one) => parseFloat(one.textContent ?? "")),
  );
  assert.ok(shown.length >= 2);
  for (const number of shown) assert.ok(Math.abs(number - (inside * 1.8 + 32)) < 0.06, `${number} °F for ${inside} °C`);
  for (const metric of ["°C", "MPa", "kg/s", " mm"]) {
    assert.ok(!(await page.innerText("main")).includes(metric), `${metric} is still on the page`);
  }
  // The choice holds for the next visit.
  await page.reload();
  await page.waitForSelector('body[data-ready="true"]');
  await told(page, '[data-units="us"]', "true", "aria-pressed");
  await close();
});

test("isolating a middle extraction lets the heater above take more steam", { timeout: LONG }, async () => {
  const { page, close } = await start();
  const [before] = await values(page, "hp1.extraction_flow");
  await page.click('[data-pick="hp2"]');
  await page.click('[data-action="isolate_extraction"][data-heater="hp2"]');
  await page.click('[data-speed="60"]');
  const [now] = await values(page, "unit.time");
  await until(page, now + 240);
  const [more, none] = await values(page, "hp1.extraction_flow", "hp2.extraction_flow");
  assert.ok(Math.abs(none) < 0.01, `hp2 still takes ${none} kg/s`);
  assert.ok(more > 1.3 * before, `hp1 took ${before} kg/s, now ${more}`);
  await close();
});

test("a drain valve goes to the hand's position and back to automatic", { timeout: LONG }, async () => {
  const { page, close } = await start();
  await page.click('[data-speed="10"]');
  await page.fill("#hand-hp1-normal", "80");
  await page.keyboard.press("Enter");
  await page.waitForFunction(
    () => Number(document.querySelector("#hand-hp1-normal")?.closest(".drain")?.querySelector("input")?.value) === 80,
  );
  assert.match((await page.textContent('[data-event="drain_moved"]')) ?? "", /HP 1: Normal drain moved by hand to 80/);
  const [now] = await values(page, "unit.time");
  await until(page, now + 60);
  await told(page, '[data-action="take_drain"][data-heater="hp1"][data-valve="normal"]', "true", "aria-pressed");
  const [level] = await values(page, "hp1.level");
  assert.ok(level < -10, `a drain held wide open empties the shell; level ${level} mm`);
  await page.click('[data-action="release_drain"][data-heater="hp1"][data-valve="normal"]');
  await page.waitForSelector(
    '[data-action="release_drain"][data-heater="hp1"][data-valve="normal"][aria-pressed="true"]',
  );
  await close();
});

for (const [name, width, height, scrolls] of /** @type {const} */ ([
  ["laptop", 1366, 768, false],
  ["laptop with the browser's bars", 1366, 650, false],
  ["projector", 1280, 720, false],
  ["tablet", 820, 1180, true],
  ["phone", 390, 844, true],
  ["large screen", 1920, 1080, false],
])) {
  test(
    `${name}, ${width} x ${height}: nothing runs out of the page sideways${scrolls ? "" : ", nothing needs scrolling"}`,
    { timeout: LONG },
    async () => {
      const { page, close } = await start({ viewport: { width, height } });
      await page.click('[data-action="trip_heater"][data-heater="hp1"]');
      const size = await page.evaluate(() => ({
        width: document.documentElement.scrollWidth,
        height: document.documentElement.scrollHeight,
      }));
      assert.ok(size.width <= width, `${size.width} px wide`);
      if (!scrolls) assert.ok(size.height <= height, `${size.height} px high`);
      const outside = await page.evaluate(() => {
        const frame = document.querySelector(".climb")?.getBoundingClientRect();
        if (!frame) return ["no climb"];
        return [...document.querySelectorAll(".climb [data-pick], .climb .final")]
          .filter((one) => {
            const box = one.getBoundingClientRect();
            return box.left < frame.left - 1 || box.right > frame.right + 1 || box.top < frame.top - 1;
          })
          .map((one) => one.getAttribute("data-pick") ?? one.textContent);
      });
      assert.deepEqual(outside, []);
      await close();
    },
  );
}

test("the trend is read at a plant time by pointer and by keyboard", { timeout: LONG }, async () => {
  const { page, close } = await start();
  await page.click('[data-speed="60"]');
  await until(page, 200);
  await page.click('[data-action="freeze"]');
  const box = await page.locator(".plots").boundingBox();
  assert.ok(box);
  await page.mouse.move(box.x + box.width * 0.8, box.y + 30);
  await page.waitForFunction(() => /0:0[0-3]:/.test(document.querySelector(".trend-when")?.textContent ?? ""));
  await page.mouse.move(box.x + 40, box.y - 300);
  await page.waitForFunction(() => document.querySelector(".trend-when")?.textContent === "");
  await page.focus(".plots");
  for (let back = 0; back < 3; back += 1) await page.keyboard.press("PageUp");
  const text = (await page.getAttribute(".plots", "aria-valuetext")) ?? "";
  assert.match(text, /at 0:0\d:\d\d: Final feedwater \d+\.\d °C, Gross output/);
  assert.ok(Number(await page.getAttribute(".plots", "aria-valuenow")) < 130, text);
  await page.keyboard.press("Escape");
  await page.waitForFunction(() => document.querySelector(".trend-when")?.textContent === "");
  await close();
});
