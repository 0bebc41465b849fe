// How a number comes about: any number opens its equation, which adds up as shown, leads on to what it is made of, and
// follows the plant; by mouse and by keyboard alone.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, before, test } from "node:test";
import { words } from "../../www/src/words.js";
import { accessibilityFaults, gluePath, launch, LONG, open, served, singleFile, told, values, wasmPath } from "./helpers.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launch()));
after(() => browser.close());

const PANEL = "dialog.working[open]";

/** The plant stands still, so that what is compared does not move. @param {import("playwright-core").Page} page */
async function freeze(page) {
  await page.click('[data-action="freeze"]');
  await page.waitForTimeout(400);
}

/** @param {string} text */
const number = (text) => Number(text.replaceAll("−", "-").split(" ")[0]);

/** Numbers of an equation's line, in the order they stand. @param {import("playwright-core").Page} page @param {number} line */
const numbers = async (page, line) =>
  (await page.locator(`${PANEL} .wk-body > .math-line`).nth(line).locator("mn").allTextContents()).map(number);

for (const [name, address] of [
  ["served", served],
  ["single file", singleFile],
]) {
  test(`${name}: a figure of the card opens its equation, whose terms give the result`, { timeout: LONG }, async () => {
    const { page, close } = await open(browser, address);
    await freeze(page);
    await page.click('#card-hp1 [data-signal="hp1.ttd"]');
    await page.waitForSelector(PANEL);
    await told(page, "#wk-title", /Terminal temperature difference · HP 1/);
    const [hot, cold, ttd] = await numbers(page, 1);
    assert.ok(Math.abs(hot - cold - ttd) < 2e-3, `${hot} − ${cold} is not ${ttd}`);
    const [inside] = await values(page, "hp1.ttd");
    assert.ok(Math.abs(ttd - inside) < 1e-3, `${ttd}, the engine says ${inside}`);
    await told(page, `${PANEL} .wk-source`, /ASME PTC 12\.1/);
    // Drawn as mathematics, not written as code: letters with an index each.
    assert.ok((await page.locator(`${PANEL} math msub`).count()) >= 4);
    await close();
  });
}

test("each value leads to its own working, and the way back stays", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await freeze(page);
  await page.click('#card-hp1 [data-signal="hp1.ttd"]');
  for (const id of ["hp1.saturation_temperature", "hp1.shell_pressure", "hp1.shell_pressure_true", "hp1.shell_energy", "hp1.steam_mass"]) {
    await page.locator(`${PANEL} .wk-body [data-working="${id}"]`).first().click();
  }
  await told(page, "#wk-title", /Steam held · HP 1/);
  assert.equal(await page.locator(`${PANEL} .wk-crumbs li`).count(), 6);
  await page.click(`${PANEL} .wk-crumbs li:nth-child(4) button`);
  await told(page, "#wk-title", /Shell pressure, true · HP 1/);
  assert.equal(await page.locator(`${PANEL} .wk-crumbs li`).count(), 4);
  await told(page, `${PANEL} .wk-why`, /balance/);
  await close();
});

test("the balance of every component closes on the screen, in the middle of a trip", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await page.click('[data-action="trip_heater"][data-heater="hp1"]');
  await page.click('[data-speed="10"]');
  await page.waitForTimeout(1500);
  await freeze(page);
  for (const id of ["hp1.shell_pressure", "hp2.duty", "open4.level_true", "unit.condenser_pressure", "unit.heat_rate"]) {
    await page.keyboard.press("w");
    const [device = ""] = id.split(".");
    await page.selectOption(`${PANEL} .wk-other select >> nth=0`, device);
    await page.selectOption(`${PANEL} .wk-other select >> nth=1`, id);
    await page.click(`${PANEL} .wk-other button`);
    if (!(await page.$(`${PANEL} .wk-books[open]`))) await page.click(`${PANEL} .wk-books summary`);
    await page.waitForTimeout(350);
    const rows = await page.locator(`${PANEL} .wk-balance tbody tr, ${PANEL} .wk-balance tfoot tr`).evaluateAll((all) =>
      all.map((row) => [...row.children].map((cell) => cell.textContent ?? "")),
    );
    /** @param {string} text */
    const read = (text) => (text === "" ? 0 : number(text));
    for (const column of [1, 2]) {
      let sum = 0;
      for (const row of rows.slice(0, -4)) sum += (row[0]?.startsWith("+") ? 1 : -1) * read(row[column] ?? "");
      const [, , stored, residual] = rows.slice(-4).map((row) => read(row[column] ?? ""));
      assert.ok(Math.abs(sum - (stored ?? NaN)) < 1e-4 * rows.length, `${id}: ${JSON.stringify(rows)}`);
      assert.equal(Math.abs(residual ?? NaN), 0, id);
    }
    await page.keyboard.press("Escape");
  }
  await close();
});

test("by keyboard alone: to a number, into its working, on, back, and out to where it was", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await freeze(page);
  await page.focus('#card-hp1 [data-action="put_back"]');
  await page.keyboard.press("Tab");
  const first = await page.evaluate(() => document.activeElement?.getAttribute("data-signal"));
  assert.equal(first, "hp1.fw_in_temperature", "one stop for all the card's figures");
  for (let step = 0; step < 4; step += 1) await page.keyboard.press("ArrowRight");
  assert.equal(await page.evaluate(() => document.activeElement?.getAttribute("data-signal")), "hp1.ttd");
  await page.keyboard.press("Enter");
  await page.waitForSelector(PANEL);
  // The title has the focus, so that it is read; from there the equations and then the terms' workings.
  let link = null;
  for (let tabs = 0; tabs < 12 && !link; tabs += 1) {
    await page.keyboard.press("Tab");
    link = await page.evaluate(() => document.activeElement?.getAttribute("data-working"));
  }
  assert.equal(link, "hp1.saturation_temperature");
  await page.keyboard.press("Enter");
  await told(page, "#wk-title", /Saturation/);
  await page.keyboard.press("Shift+Tab");
  assert.equal(await page.evaluate(() => document.activeElement?.getAttribute("data-action")), "close_working");
  await page.keyboard.press("Escape");
  await page.waitForSelector(PANEL, { state: "hidden" });
  assert.equal(await page.evaluate(() => document.activeElement?.getAttribute("data-signal")), "hp1.ttd");
  // Without a number in reach a key opens the panel, which lists them all.
  await page.keyboard.press("w");
  await page.waitForSelector(PANEL);
  await told(page, "#wk-title", /HP 1/);
  await close();
});

test("in the climb a click picks a heater, and one on a number of the picked heater opens it", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await freeze(page);
  const box = await page.locator('.climb [data-signal="lp6.ttd"]').boundingBox();
  assert.ok(box);
  const onNumber = () => page.mouse.click(box.x + box.width / 2, box.y + box.height / 2);
  await onNumber();
  await page.waitForTimeout(300);
  assert.equal(await page.locator(PANEL).count(), 0, "heater 1 was picked, not LP 6");
  await page.keyboard.press("6");
  await page.waitForSelector("#card-lp6:visible");
  await onNumber();
  await page.waitForSelector(PANEL);
  await told(page, "#wk-title", /Terminal temperature difference · LP 6/);
  await page.keyboard.press("Escape");
  assert.ok(await page.isVisible("#card-lp6"), "and LP 6 stays picked");
  await page.click('.climb [data-signal="unit.final_fw_temperature"]');
  await page.waitForSelector(PANEL);
  await close();
});

test("in US units the shown equation has them, and the model's own numbers stay right", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await freeze(page);
  await page.click('[data-signal="unit.heat_rate"]');
  await page.locator(`${PANEL} [data-working="unit.heat_added"]`).first().click();
  await page.click(`${PANEL} [data-system="us"]`);
  await page.waitForFunction(() => document.querySelector("dialog.working .wk-body")?.textContent?.includes("Btu/lb"));
  assert.ok((await page.innerText(`${PANEL} .wk-body`)).includes("klb/h"));
  const [flow, main, feed, reheat, all] = await numbers(page, 2);
  const [inside] = await values(page, "unit.gross_output");
  assert.ok(Math.abs(flow * (main - feed) + reheat - all) < 1e-4 * all, `${flow} (${main} − ${feed}) + ${reheat}: ${all}`);
  assert.ok(all > 2 * inside, "kW, as the model reckons");
  await close();
});

test("the panel follows the plant without losing the focus", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await page.click('[data-action="trip_heater"][data-heater="hp1"]');
  await page.click('#card-hp1 [data-signal="hp1.fw_out_temperature"]');
  await page.locator(`${PANEL} [data-working="hp1.fw_out_temperature_true"]`).first().focus();
  const before = await page.innerText(`${PANEL} .wk-value`);
  await page.waitForFunction((was) => document.querySelector("dialog.working .wk-value")?.textContent !== was, before);
  assert.equal(
    await page.evaluate(() => document.activeElement?.getAttribute("data-working")),
    "hp1.fw_out_temperature_true",
  );
  await close();
});

for (const theme of ["light", "dark"]) {
  for (const size of [
    { width: 1366, height: 768 },
    { width: 820, height: 1180 },
  ]) {
    test(`no serious fault of accessibility in the panel: ${theme}, ${size.width} wide`, { timeout: LONG }, async () => {
      const { page, close } = await open(browser, served, { viewport: size });
      await freeze(page);
      await page.selectOption('select[aria-label="Colours"]', theme);
      await page.click('#card-hp1 [data-signal="hp1.extraction_flow"]');
      await page.click(`${PANEL} .wk-books summary`);
      await page.waitForTimeout(300);
      assert.deepEqual(await accessibilityFaults(page), []);
      const wide = await page.$eval(PANEL, (el) => [el.scrollWidth, el.clientWidth]);
      assert.ok((wide[0] ?? 0) <= (wide[1] ?? 0), `the panel is scrolled sideways: ${wide}`);
      await close();
    });
  }
}

test("every meaning, case, reason and ground that the engine gives has its words", { timeout: LONG }, async () => {
  const glue = await import(`data:text/javascript;base64,${readFileSync(gluePath).toString("base64")}`);
  glue.initSync({ module: readFileSync(wasmPath) });
  const missing = new Set();
  /** @param {string} key */
  const need = (key) => Object.hasOwn(words, key) || Object.hasOwn(words, key.replace(/_true$/, "")) || missing.add(key);
  let count = 0;
  for (const { name } of glue.plants()) {
    const session = new glue.Session(name);
    const { signals, heaters, malfunctions } = session.manifest();
    const crawl = () => {
      const seen = new Set();
      const next = signals.map((/** @type {{ id: string }} */ signal) => signal.id);
      while (next.length) {
        const id = next.pop();
        if (seen.has(id)) continue;
        seen.add(id);
        const w = session.working(id);
        need(`mean_${w.meaning}`);
        if (w.why) need(`why_${w.why}`);
        next.push(...w.see);
        if (!w.equation) continue;
        if (w.equation.case) need(`case_${w.equation.case}`);
        need(`ground_${w.equation.source.ground}`);
        for (const term of w.equation.terms) {
          need(`mean_${term.meaning}`);
          if (term.origin.id) next.push(term.origin.id);
        }
      }
      count += seen.size;
    };
    crawl();
    const top = heaters.at(-1).id;
    session.command({ do: "trip_heater", heater: top });
    for (const steps of [4, 40, 400, 4000]) {
      session.advance(steps);
      crawl();
    }
    for (const { kind, devices } of malfunctions) {
      session.command({ do: "insert_malfunction", malfunction: { kind, device: devices[0] } });
    }
    session.advance(240);
    crawl();
    session.free();
  }
  assert.deepEqual([...missing], [], "www/src/working/words.js lacks these");
  assert.ok(count > 3000, `followed only ${count} numbers`);
});
