// The instructor's desk on the real page: something goes wrong, at once and on a condition, is seen to be in force and is taken
// away; snapshots; going back, playing again and another way; the other outcome; retunes; a question to the class; the lock.

import assert from "node:assert/strict";
import { readFile, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { accessibilityFaults, launch, LONG, open, served, singleFile, told, until, values } from "./helpers.mjs";
import { words } from "../../www/src/words.js";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launch()));
after(() => browser.close());

/** @typedef {import("playwright-core").Page} Page */

/** @param {string} [address] @param {import("playwright-core").BrowserContextOptions} [options] */
async function desk(address = served, options = {}) {
  const opened = await open(browser, address, options);
  await opened.page.click('nav [data-view="desk"]');
  await opened.page.waitForSelector(".desk-strip:visible");
  return opened;
}
/** @param {Page} page @param {string} device @param {string} label */
async function choose(page, device, label) {
  await page.selectOption("#wrong-device", device);
  await page.selectOption("#wrong-kind", { label });
}
/** Freezes and waits until nothing moves. @param {Page} page */
async function freeze(page) {
  if (await page.isVisible('[data-action="freeze"]')) await page.click('[data-action="freeze"]');
  await page.waitForSelector('.bar[data-running="false"]');
}
/** Plant time at the desk (s). @param {Page} page */
const deskTime = (page) => page.getAttribute(".desk-strip", "data-time").then(Number);

test("something goes wrong at once, is told in words, and is taken away", { timeout: LONG }, async () => {
  const { page, close } = await desk();
  await choose(page, "hp2", "A tube leaks");
  await page.fill("#wrong-size", "50");
  await told(page, ".wrong-truth", /HP 2: a hole of 50\.0 % of a tube's bore/);
  await page.click('[data-desk="insert"]');
  const row = '.force-list [data-is="force"]';
  await page.waitForSelector(row);
  await told(page, row, /HP 2: a hole of 50\.0 %.*in full/s);
  // A second at once, of another kind, that grows.
  await choose(page, "hp1", "Level transmitter drifts (control)");
  await page.fill("#wrong-ramp", "30");
  await page.click('[data-desk="insert"]');
  await page.click('[data-speed="30"]');
  await page.waitForFunction(() => /false/.test(document.querySelector('[data-shell="hp1"]')?.textContent ?? ""));
  await page.waitForFunction(() => document.querySelectorAll('.force-list [data-is="force"]').length === 2);
  // What cannot be is refused in words.
  await page.click('[data-desk="insert"]');
  await told(page, ".wrong .refusal", /in force already/);
  await choose(page, "hp3", "Level transmitter drifts (control)");
  await page.fill("#wrong-size", "5000");
  await page.click('[data-desk="insert"]');
  await page.waitForFunction(() => /Give a value from/.test(document.querySelector(".wrong .refusal")?.textContent ?? ""));
  await page.click(`${row}:first-child [data-desk="remove"]`);
  await page.waitForFunction(() => document.querySelectorAll('.force-list [data-is="force"]').length === 1);
  await page.click('.force-list [data-desk="remove"]');
  await page.waitForSelector(".desk-force .nothing:visible");
  await close();
});

test("by keyboard: it waits for a condition, comes when that holds, and another is called off", { timeout: LONG }, async () => {
  const { page, close } = await desk();
  await page.focus("#desk-tab-wrong");
  await page.keyboard.press("ArrowRight");
  await told(page, "#desk-tab-start", "true", "aria-selected");
  await page.keyboard.press("ArrowLeft");
  await choose(page, "hp2", "Normal drain valve sticks");
  await page.focus('[data-when="if"]');
  await page.keyboard.press("Enter");
  await page.focus(".cond-row .signal-field");
  await page.keyboard.type("Load");
  await page.keyboard.press("Tab");
  await page.selectOption(".cond-row select", "below");
  await page.focus('.cond-row input[aria-label="Value"]');
  await page.keyboard.press("Control+A");
  await page.keyboard.type("95");
  await page.focus('[data-desk="insert"]');
  await page.keyboard.press("Enter");
  const waits = '.force-list [data-is="waits"]';
  await page.waitForSelector(waits);
  await told(page, waits, /waits until Load below 95\.0 % for 5 s/);
  await choose(page, "hp3", "Tubes are fouled");
  await page.keyboard.press("Escape");
  await page.click('[data-desk="insert"]');
  await page.waitForFunction(() => document.querySelectorAll('.force-list [data-is="waits"]').length === 2);
  await page.focus(`${waits}:nth-child(2) [data-desk="remove"]`);
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => document.querySelectorAll('.force-list [data-is="waits"]').length === 1);
  await page.fill("#load-number", "90");
  await page.press("#load-number", "Enter");
  await page.click('[data-speed="60"]');
  await page.waitForSelector('.force-list [data-is="force"]');
  await page.waitForSelector('.force-list [data-is="came"]');
  await told(page, '.force-list [data-is="came"]', /Came at 0:0\d:\d\d: HP 2: Normal drain valve sticks/);
  await close();
});

test("back to any second within 200 ms; it plays again to the last bit, or goes another way", { timeout: LONG }, async () => {
  const { page, close } = await desk();
  await choose(page, "hp2", "A tube leaks");
  await page.click('[data-speed="60"]');
  await until(page, 70);
  await page.click('[data-desk="insert"]');
  await until(page, 130);
  await page.click('nav [data-view="climb"]');
  await page.click('[data-action="trip_heater"][data-heater="hp1"]');
  await page.waitForSelector('[data-event="heater_tripped"]');
  await until(page, 400);
  await freeze(page);
  const [end, temperature] = await values(page, "unit.time", "unit.final_fw_temperature");
  await page.click('nav [data-view="desk"]');
  await page.waitForSelector('.desk-mark[data-whose="operator"]', { state: "attached" });
  assert.equal(await page.locator('.desk-mark[data-whose="operator"]').count(), 1);
  assert.equal(await page.locator('.desk-mark[data-whose="instructor"]').count(), 1);

  await page.fill("#desk-time", "never");
  await page.click('[data-desk="go"]');
  await told(page, ".desk-strip .refusal", /no time/);
  // The slowest: just before a mark.
  const took = await page.evaluate(async () => {
    const slider = /** @type {HTMLInputElement} */ (document.querySelector(".desk-slider"));
    const began = performance.now();
    slider.value = "119";
    slider.dispatchEvent(new Event("change"));
    return performance.now() - began;
  });
  console.log(`going back took ${took.toFixed(0)} ms`);
  assert.ok(took < 200, `${took} ms`);
  await page.waitForFunction(() => document.querySelector(".desk-strip")?.getAttribute("data-time") === "119");
  await told(page, ".desk-state", /Playing again until .*1 still to do/);
  // The page has forgotten what has not happened: no event, no point of a trend.
  await page.click('nav [data-view="climb"]');
  await page.waitForSelector('[data-pick="hp1"][data-mode="in_service"]');
  await page.waitForSelector('[data-event="heater_tripped"]', { state: "detached" });
  await page.click('nav [data-view="desk"]');

  await page.click('[data-desk="forward"]');
  await page.waitForFunction(() => document.querySelector(".desk-strip")?.getAttribute("data-again") === "same");
  // The band says so at once, the figures with the next picture.
  await until(page, end);
  assert.deepEqual(await values(page, "unit.time", "unit.final_fw_temperature"), [end, temperature]);
  await page.click('nav [data-view="climb"]');
  await page.waitForSelector('[data-event="heater_tripped"]');
  assert.equal(await page.locator('[data-event="heater_tripped"]').count(), 1);
  await page.click('nav [data-view="desk"]');

  // Before the trip, and nobody trips it.
  await page.click('[data-desk="before_action"]');
  await page.waitForSelector('.desk-strip[data-ahead="yes"]');
  await page.click('[data-desk="branch"]');
  await page.waitForSelector(".desk-strip:not([data-ahead])");
  await page.click('[data-action="run"]');
  await until(page, 400);
  await freeze(page);
  const [, other] = await values(page, "unit.time", "unit.final_fw_temperature");
  assert.ok(other > temperature + 10, `${other} after ${temperature}`);
  const step = await deskTime(page);
  await page.click('[data-desk="step"]');
  await page.waitForFunction((was) => Number(document.querySelector(".desk-strip")?.getAttribute("data-time")) > was, step);
  assert.equal(await deskTime(page), step + 0.25);
  await close();
});

test("snapshots are kept, survive a reload, come back from a file, and a foreign one changes nothing", { timeout: LONG }, async () => {
  const state = join(tmpdir(), `bledsteam-desk-${process.pid}.json`);
  const { page, close } = await desk();
  await page.click('[data-tab="start"]');
  await page.click('[data-speed="60"]');
  await until(page, 60);
  await freeze(page);
  await page.fill("#snap-name", "One minute");
  await page.click('[data-desk="keep"]');
  const kept = await deskTime(page);
  await page.reload();
  await page.waitForFunction(() => document.body?.dataset.ready === "true" || document.querySelector(".desk-strip"));
  await page.click('[data-tab="start"]');
  await freeze(page);
  const [file] = await Promise.all([page.waitForEvent("download"), page.click('[data-snap="One minute"] [data-desk="save_snap"]')]);
  assert.match(file.suggestedFilename(), /one-minute\.snapshot\.json$/);
  await file.saveAs(state);
  // Deleted, and undone.
  await page.click('[data-snap="One minute"] [data-desk="delete_snap"]');
  await page.waitForSelector('[data-snap="One minute"]', { state: "detached" });
  await page.click('[data-desk="undo_delete"]');
  await page.click('[data-snap="One minute"] [data-desk="open_snap"]');
  await page.waitForFunction((time) => Number(document.querySelector(".desk-strip")?.getAttribute("data-time")) === time, kept);
  // The run before is not lost.
  await page.click('[data-desk="left"]');
  await page.waitForFunction((time) => Number(document.querySelector(".desk-strip")?.getAttribute("data-time")) < time, kept);

  const text = await readFile(state, "utf8");
  const here = await deskTime(page);
  for (const [change, says] of /** @type {[string, RegExp][]} */ ([
    [text.replace('"plant":"reheat250"', '"plant":"elsewhere"'), /of the plant 'elsewhere'/],
    [text.replace('"engine":"', '"engine":"9'), /another build/],
    [text.replace(/"state":"..../, '"state":"0000'), /another build|changed/],
    ["not a file of ours", /was not opened, and nothing has changed.*plain text/],
  ])) {
    await writeFile(state, change);
    await page.setInputFiles("#snap-file", state);
    await page.waitForFunction((pattern) => new RegExp(pattern).test(document.querySelector(".start .refusal")?.textContent ?? ""), says.source);
    assert.equal(await deskTime(page), here);
  }
  await writeFile(state, text);
  await page.setInputFiles("#snap-file", state);
  await page.waitForFunction((time) => Number(document.querySelector(".desk-strip")?.getAttribute("data-time")) === time, kept);
  // The run as a tape: opened, it stands at its start and leads to the same.
  await page.click('[data-action="run"]');
  await page.waitForTimeout(1500);
  await freeze(page);
  const [tape] = await Promise.all([page.waitForEvent("download"), page.click('[data-desk="save_tape"]')]);
  await tape.saveAs(state);
  await page.setInputFiles("#snap-file", state);
  await page.waitForSelector('.desk-strip[data-ahead="yes"]');
  await page.click('[data-desk="forward"]');
  await page.waitForFunction(() => document.querySelector(".desk-strip")?.getAttribute("data-again") === "same");
  await close();
});

test("a start at part load with a heater out settles, can be stopped, and the run before comes back", { timeout: LONG }, async () => {
  const { page, close } = await desk();
  await page.click('[data-tab="start"]');
  await page.selectOption("#start-load", "70");
  await page.check('[data-out="hp1"]');
  await page.click('[data-desk="begin"]');
  await page.waitForFunction(() => /Begun at 70 % load/.test(document.querySelector(".start .desk-answer")?.textContent ?? ""));
  const [load, mode] = await values(page, "unit.load", "unit.time");
  assert.ok(Math.abs(load - 0.7) < 0.01 && mode === 2400, `${load} ${mode}`);
  await page.click('nav [data-view="climb"]');
  await page.waitForSelector('[data-pick="hp1"][data-mode="out"]');
  assert.equal(await page.locator(".event-list li").count(), 0, "what led there is no part of the run");
  await page.click('nav [data-view="desk"]');
  await page.click('[data-desk="left"]');
  await page.waitForFunction(() => Number(document.querySelector(".desk-strip")?.getAttribute("data-time")) < 600);
  await close();
});

test("the other outcome: without the last action, drawn over the run as it was", { timeout: LONG }, async () => {
  const { page, close } = await desk();
  await page.click('[data-tab="other"]');
  await page.click('[data-desk="other"]');
  await page.waitForFunction(() => /has done nothing/.test(document.querySelector(".other .refusal")?.textContent ?? ""));
  await page.click('nav [data-view="climb"]');
  await page.click('[data-action="run"]');
  await page.click('[data-action="trip_heater"][data-heater="hp1"]');
  await page.click('[data-speed="60"]');
  await until(page, 240);
  await page.click('nav [data-view="desk"]');
  await page.click('[data-desk="other"]');
  await page.waitForSelector('.lines-figure[data-other="unit.final_fw_temperature"]');
  const text = await page.innerText('.lines-figure[data-other="unit.final_fw_temperature"] p.lines-words');
  const [was, is] = (text.match(/[\d.]+(?= °C)/g) ?? []).map(Number);
  assert.ok(is - was > 10, text);
  await close();
});

test("controllers are seen, retuned, taken in manual, and brought back", { timeout: LONG }, async () => {
  const { page, close } = await desk();
  await page.click('[data-tab="tune"]');
  const row = '[data-controller="hp1.normal_drain"]';
  assert.ok((await page.locator("[data-controller]").count()) >= 15);
  const gain = `${row} [data-tune="gain"]`;
  const file = await page.inputValue(gain);
  await page.fill(gain, String(3 * Number(file)));
  await page.press(gain, "Tab");
  await page.waitForSelector(`${row}[data-changed="yes"]`);
  await page.fill(gain, "99999");
  await page.press(gain, "Tab");
  await told(page, ".tune .refusal", /HP 1 normal drain, level: .*Give a value from/);
  await page.fill(`${row} [data-tune="setpoint"]`, "20");
  await page.press(`${row} [data-tune="setpoint"]`, "Tab");
  await page.click(`${row} [data-desk="mode"]`);
  await page.waitForSelector(`${row} [data-mode="manual"]`);
  const output = `${row} [data-tune="output"]`;
  await page.fill(output, "30");
  await page.press(output, "Tab");
  await page.click('[data-speed="10"]');
  await page.waitForFunction((cell) => {
    const box = /** @type {HTMLInputElement | null} */ (document.querySelector(cell));
    return box?.value === "30";
  }, output);
  await page.click(`${row} [data-desk="mode"]`);
  await page.click(`${row} [data-desk="undo_tune"]`);
  await page.waitForSelector(`${row}:not([data-changed])`);
  assert.equal(await page.inputValue(gain), file);
  await page.click('nav [data-view="climb"]');
  assert.match((await page.textContent('[data-event="controller_set"]')) ?? "", /HP 1: controller set by the operator: normal drain, level/);
  await close();
});

test("the class is asked, draws, and is told how far off it was", { timeout: LONG }, async () => {
  const { page, close } = await desk();
  await page.click('[data-tab="ask"]');
  await page.selectOption("#ask-window", "60");
  await page.click('[data-desk="ask"]');
  const curve = ".desk-ask [role=slider]";
  await page.waitForSelector(`${curve}:visible`);
  await page.focus(curve);
  for (let n = 0; n < 3; n += 1) await page.keyboard.press("ArrowRight");
  for (let n = 0; n < 5; n += 1) await page.keyboard.press("ArrowUp");
  await told(page, curve, /\d+\.\d °C/, "aria-valuetext");
  await page.click('[data-speed="30"]');
  await page.click('[data-desk="run_on"]');
  await page.waitForFunction(() => /the class said .*off by/.test(document.querySelector(".ask-verdict")?.textContent ?? ""));
  await page.waitForFunction(() => /together \d+ %/.test(document.querySelector(".desk-ask")?.textContent ?? ""));
  await close();
});

test("a trainee's copy has no desk and no truth; the code opens it again", { timeout: LONG }, async () => {
  const { page, close } = await desk();
  await page.click('[data-tab="lock"]');
  await page.fill("#lock-set", "abc");
  await page.press("#lock-set", "Enter");
  await told(page, ".lock .refusal", /at least four/);
  await page.fill("#lock-set", "secret 4");
  await page.click('[data-desk="lock-set"]');
  await page.waitForSelector(".desk-closed:visible");
  assert.ok(!(await page.isVisible(".desk-strip")));
  const kept = await page.evaluate(() => localStorage.getItem("bledsteam.desk-lock"));
  assert.ok(kept && !kept.includes("secret"), "only a hash is kept");
  await page.click('nav [data-view="trends"]');
  await page.waitForSelector('[data-pen="hp1.level"]', { state: "attached" });
  assert.equal(await page.locator('[data-pen="hp1.level_true"]').count(), 0);
  await page.click('nav [data-view="desk"]');
  await page.fill("#lock-open", "wrong");
  await page.press("#lock-open", "Enter");
  await told(page, ".desk-closed .refusal", /not the code/);
  await page.fill("#lock-open", "secret 4");
  await page.press("#lock-open", "Enter");
  await page.waitForSelector(".desk-strip:visible");
  await close();
  const trainee = await open(browser, `${served}?trainee#desk`);
  await trainee.page.waitForSelector(".desk-closed:visible");
  assert.match(await trainee.page.innerText(".desk-closed"), /trainee's copy/);
  await trainee.close();
});

test("every kind of malfunction has its name and its truth", { timeout: LONG }, async () => {
  const { page, close } = await desk(singleFile);
  const places = await page.locator("#wrong-device option").evaluateAll((all) => all.map((one) => one.getAttribute("value") ?? ""));
  const kinds = new Set();
  for (const place of places) {
    await page.selectOption("#wrong-device", place);
    const count = await page.locator("#wrong-kind option").count();
    for (let n = 0; n < count; n += 1) {
      await page.selectOption("#wrong-kind", { index: n });
      const name = await page.locator("#wrong-kind option").nth(n).innerText();
      const truth = await page.innerText(".wrong-truth");
      assert.ok(!/[_{}]/.test(name + truth) && truth.length > 12, `${place}: ${name}: ${truth}`);
      kinds.add(name.replace(/ \(.*/, ""));
    }
  }
  const known = new Set(Object.values(words));
  for (const kind of kinds) assert.ok(known.has(kind), `${kind} is no word of the catalogue`);
  assert.ok(kinds.size >= 28, `${kinds.size}`);
  await close();
});

for (const theme of ["light", "dark"])
  test(`${theme}: no serious fault of accessibility in any tab, nothing runs out sideways`, { timeout: LONG }, async () => {
    for (const [width, height, locale] of /** @type {const} */ ([[1366, 768, "en-GB"], [820, 1180, "de-DE"]])) {
      const { page, close } = await desk(served, { viewport: { width, height }, locale, colorScheme: /** @type {"light" | "dark"} */ (theme) });
      await page.click('[data-when="if"]');
      await page.click('[data-desk="insert"]');
      for (const tab of ["wrong", "start", "other", "tune", "ask", "lock"]) {
        await page.click(`[data-tab="${tab}"]`);
        if (tab === "ask") await page.click('[data-desk="ask"]');
        await page.waitForTimeout(300);
        assert.deepEqual(await accessibilityFaults(page), [], tab);
        const wide = await page.evaluate(() => document.documentElement.scrollWidth);
        assert.ok(wide <= width, `${tab}: ${wide} px wide at ${width}`);
      }
      await close();
    }
  });
