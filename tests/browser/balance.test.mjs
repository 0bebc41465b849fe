// The balance view as an engineer uses it: asked by mouse and by keyboard, its figures against those of the model it
// shows, its file and its print.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, before, test } from "node:test";
import { costs, figure, moved, put, start } from "./balance-view.mjs";
import { gluePath, launch, LONG, open, served, singleFile, told, until, values, wasmPath } from "./helpers.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
/** The same model without a page. @type {any} */
let session;
before(async () => {
  browser = await launch();
  const model = await import(`data:text/javascript;base64,${readFileSync(gluePath).toString("base64")}`);
  model.initSync({ module: readFileSync(wasmPath) });
  session = new model.Session(model.plants()[0].name);
});
after(() => browser.close());

/** Heater 1 first. @param {Record<number, string>} off */
const outages = (off) =>
  session.manifest().heaters.map((/** @type {any} */ _, /** @type {number} */ at) => off[at + 1] ?? "none");
const close = (/** @type {number} */ got, /** @type {number} */ wanted, /** @type {number} */ share) =>
  assert.ok(Math.abs(got / wanted - 1) <= share, `${got} instead of ${wanted}`);

for (const [name, address] of [
  ["served", served],
  ["single file", singleFile],
]) {
  test(`${name}: the top heater out at full steam flow`, { timeout: LONG }, async () => {
    const { page, close: done } = await start(browser, {}, address);
    const design = await figure(page, "heat_rate");
    assert.equal(design, session.balance({ hold: { steam_flow: 1 }, outages: outages({}) }).heat_rate);
    await put(page, "hp1", "out");
    await moved(page, "heat_rate", design);
    const wanted = session.balance({ hold: { steam_flow: 1 }, outages: outages({ 1: "out" }) });
    for (const key of ["heat_rate", "final_temperature", "gross", "money", "carbon_dioxide"])
      assert.equal(await figure(page, key), wanted[key], key);
    // The shipped plant's figures, so that page and session cannot be wrong together unseen.
    close(await figure(page, "final_temperature"), 244.2, 1e-3);
    close(await figure(page, "gross"), 284_600, 1e-3);
    await told(page, ".asked-words", /100 % steam flow held, HP 1 out/);
    await told(page, '.of-heaters [data-row="extraction_flow"]', /0\.00\s*−15\.96/);
    for (const key of ["mass_residual", "energy_residual"]) {
      const residual = Number(await page.getAttribute(`[data-row="${key}"] .closes`, "data-value"));
      assert.ok(residual >= 0 && residual < 1e-9, `${key} ${residual}`);
    }
    await done();
  });
}

test("made when first looked at, kept by a reload, and the plant goes on meanwhile", { timeout: LONG }, async () => {
  const { page, close: done } = await open(browser, served);
  assert.equal(await page.locator(".paper").count(), 0);
  await page.click('nav [data-view="balance"]');
  await page.waitForSelector(".paper:visible");
  assert.equal(await page.locator(".climb:visible").count(), 0);
  const [before] = await values(page, "unit.time");
  await until(page, before + 1);
  await page.reload();
  await page.waitForSelector('body[data-ready="true"]');
  await page.waitForSelector('.paper[data-solved="yes"]:visible');
  await page.goBack();
  await page.waitForSelector(".climb:visible");
  assert.equal(await page.locator(".paper:visible").count(), 0);
  await done();
});

test(
  "by keyboard alone: turn to it, take a heater out, hold the output, walk along the flows",
  { timeout: LONG },
  async () => {
    const { page, close: done } = await open(browser, served);
    while ((await page.getAttribute("body", "data-view")) !== "balance") {
      await page.keyboard.press("v");
      await page.waitForTimeout(50);
    }
    await page.waitForSelector('.paper[data-solved="yes"]');
    // What acts on the running plant does nothing where that plant is not seen.
    await page.keyboard.press("t");
    await page.focus('input[name="bal-hp1"][value="none"]');
    await page.keyboard.press("ArrowRight");
    await page.waitForFunction(() => document.querySelector(".asked-words")?.textContent?.includes("HP 1 out"));
    await page.focus("#bal-hold");
    await page.keyboard.press("g");
    await page.waitForFunction(() =>
      document.querySelector(".asked-words")?.textContent?.includes("gross output held"),
    );
    assert.equal(
      await figure(page, "heat_rate"),
      session.balance({ hold: { gross_output: 1 }, outages: outages({ 1: "out" }) }).heat_rate,
    );
    // One stop for the tab key, and every stream from there.
    const stops = page.locator('[data-band][tabindex="0"]');
    assert.equal(await stops.count(), 1);
    await stops.focus();
    await page.keyboard.press("Home");
    const seen = new Set();
    const all = await page.locator("[data-band]").count();
    for (let at = 0; at < all; at += 1) {
      const label = (await page.evaluate(() => document.activeElement?.getAttribute("aria-label"))) ?? "";
      assert.match(label, /: \d.* kg\/s/);
      assert.equal((await page.innerText(".readout")).replace(/\s+/g, " "), label.replace(/\s+/g, " "));
      seen.add(label);
      await page.keyboard.press("ArrowRight");
    }
    assert.equal(seen.size, all);
    while ((await page.getAttribute("body", "data-view")) !== "climb") {
      await page.keyboard.press("v");
      await page.waitForTimeout(50);
    }
    await page.waitForSelector('[data-pick="hp1"][data-mode="in_service"]:visible');
    await done();
  },
);

test("a heater out takes its bypass group with it, and says so", { timeout: LONG }, async () => {
  const { page, close: done } = await start(browser);
  const before = await figure(page, "gross");
  await put(page, "lp6", "out");
  await moved(page, "gross", before);
  const row = page.locator('[data-outage-of="lp7"]');
  assert.equal(await row.getAttribute("data-outage"), "out");
  assert.match(await row.innerText(), /out with LP 6/);
  await told(page, ".asked-words", /LP 7 out, LP 6 out/);
  // What the heater above drains can only go to the condenser now.
  await told(page, '[data-band="lp5-spill"]', /Spilt drain of LP 5 to Condenser/, "aria-label");
  await page.click('[data-preset="design"]');
  await page.waitForFunction(() => !document.querySelector('[data-band="lp5-spill"]'));
  assert.equal(await figure(page, "gross"), before);
  await done();
});

test(
  "a load that cannot be balanced is refused with its remedy, and mending it brings the result back",
  { timeout: LONG },
  async () => {
    const { page, close: done } = await start(browser);
    const before = await figure(page, "gross");
    for (const [typed, said] of [
      ["150", /1\.5 .*Ask for 0\.25 to 1\.05/],
      ["", /not a number.*from 25 to 105/],
    ]) {
      await page.fill("#bal-load", String(typed));
      // Drawn with the next frame: wait for these words, not for the state that the refusal before left.
      await page.locator(".case .refusal", { hasText: /** @type {RegExp} */ (said) }).waitFor();
      assert.equal(await page.locator('.paper[data-solved="no"]').count(), 1);
      assert.equal(await page.locator(".flows:visible").count(), 0);
    }
    await page.fill("#bal-load", "80");
    await page.waitForSelector('.paper[data-solved="yes"]');
    await moved(page, "gross", before);
    assert.equal(
      await figure(page, "gross"),
      session.balance({ hold: { steam_flow: 0.8 }, outages: outages({}) }).gross,
    );
    assert.equal(await page.locator(".case .refusal:visible").count(), 0);
    await done();
  },
);

test("the running plant's outages and load come over", { timeout: LONG }, async () => {
  const { page, close: done } = await open(browser, served);
  await page.click('[data-action="trip_heater"][data-heater="hp1"]');
  await page.click('[data-speed="60"]');
  await page.waitForSelector('[data-pick="hp1"][data-mode="out"]');
  await page.click('[data-action="freeze"]');
  const [load] = await values(page, "unit.load");
  await page.click('nav [data-view="balance"]');
  await page.click('[data-preset="running"]');
  await page.waitForFunction(() => document.querySelector(".asked-words")?.textContent?.includes("HP 1 out"));
  assert.ok(Math.abs(Number(await page.inputValue("#bal-load")) - load * 100) <= 0.051, `load ${load}`);
  assert.equal(await page.isChecked('input[name="bal-hp1"][value="out"]'), true);
  await done();
});

test("costs are ranked and are the model's", { timeout: LONG }, async () => {
  const { page, close: done } = await start(browser);
  await costs(page);
  const wanted = session.costs(1);
  for (const change of ["out", "ttd", "dca"]) {
    const rows = await page.$$eval(`.costs[data-change="${change}"] tbody tr`, (all) =>
      all.map((row) => ({
        heater: row.getAttribute("data-cost-of"),
        heat_rate: Number(row.querySelector("[data-value]")?.getAttribute("data-value")),
      })),
    );
    assert.ok(rows.length >= 5, `${change}: ${rows.length} rows`);
    rows.forEach(({ heater, heat_rate }, at) => {
      const cost = wanted.find((/** @type {any} */ one) => one.heater === heater && one.change === change);
      assert.equal(heat_rate, cost?.heat_rate, `${change} of ${heater}`);
      assert.ok(at === 0 || heat_rate <= (rows[at - 1]?.heat_rate ?? 0), `${change}: ${heater} out of order`);
    });
  }
  await done();
});

/**
 * The saved file as rows of cells; nothing in it is quoted but what holds a comma.
 * @param {import("playwright-core").Page} page
 */
async function saved(page) {
  const [download] = await Promise.all([page.waitForEvent("download"), page.click('[data-action="csv"]')]);
  assert.match(download.suggestedFilename(), /^[\w-]+-balance\.csv$/);
  const text = readFileSync(await download.path(), "utf8");
  assert.ok(text.startsWith("\uFEFF") && text.endsWith("\r\n"));
  return text
    .slice(1)
    .split("\r\n")
    .map((line) =>
      [...line.matchAll(/("(?:[^"]|"")*"|[^,]*)(?:,|$)/g)].map(([, cell]) => cell?.replace(/^"|"$/g, "") ?? ""),
    );
}

test("the file holds what is shown, in the units shown", { timeout: LONG }, async () => {
  const { page, close: done } = await start(browser);
  const design = await figure(page, "heat_rate");
  await put(page, "hp1", "out");
  await moved(page, "heat_rate", design);
  const cell = (
    /** @type {string[][]} */ rows,
    /** @type {string} */ head,
    /** @type {(row: string[]) => boolean} */ which,
  ) => {
    const at = rows.findIndex((row) => row.includes(head));
    assert.ok(at >= 0, `no column ${head}`);
    const row = rows.slice(at + 1).find(which);
    return Number(row?.[rows[at]?.indexOf(head) ?? -1]);
  };
  const si = await saved(page);
  const mine = (/** @type {string[]} */ row) => row[0] === "This case";
  close(cell(si, "Final feedwater [°C]", mine), 244.2, 1e-3);
  close(cell(si, "Gross output [MW]", mine), 284.6, 1e-3);
  close(
    cell(si, "Heat rate [kJ/kWh]", (row) => row[0] === "Design"),
    design,
    1e-8,
  );
  close(
    cell(si, "TTD [K]", (row) => row[0] === "Design" && row[1] === "LP 5"),
    2.8,
    1e-6,
  );
  assert.equal(
    cell(si, "Extraction [kg/s]", (row) => mine(row) && row[1] === "HP 1" && row[2] === "Out"),
    0,
  );
  assert.ok(si.some((row) => row[0] === "A heater out" && row[1] === "HP 2"));
  await page.click('[data-units="us"]');
  const us = await saved(page);
  close(cell(us, "Final feedwater [°F]", mine), 244.2 * 1.8 + 32, 1e-3);
  close(
    cell(us, "Extraction [klb/h]", (row) => mine(row) && row[1] === "HP 2"),
    19.77 * 7.93664,
    1e-3,
  );
  for (const metric of ["°C", "MPa", "kg/s", "[K]"]) assert.ok(!us.flat().some((one) => one.includes(metric)), metric);
  assert.ok(!(await page.innerText(".answer")).includes("°C"));
  await done();
});

test("on paper: picture and tables, nothing to press", { timeout: LONG }, async () => {
  const { page, close: done } = await start(browser, { colorScheme: "dark" });
  await page.evaluate(() => dispatchEvent(new Event("beforeprint")));
  await page.emulateMedia({ media: "print" });
  for (const shown of [".flows", ".of-heaters", ".of-stages", ".costs", ".paper-title strong"])
    assert.ok(await page.locator(shown).first().isVisible(), shown);
  assert.equal(await page.locator("button:visible, input:visible, select:visible").count(), 0);
  assert.equal(
    await page.evaluate(() => getComputedStyle(document.querySelector(".answer") ?? document.body).overflow),
    "visible",
  );
  const ground = await page.evaluate(
    () => getComputedStyle(document.querySelector(".answer") ?? document.body).backgroundColor,
  );
  assert.equal(ground, "rgb(255, 255, 255)");
  await done();
});
