// The page's parts that need no browser: plant time, units, what is remembered, where things stand in the picture.

import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import { dirname, join } from "node:path";
import { test } from "node:test";
import { fileURLToPath } from "node:url";
import { Clock } from "../../www/src/clock.js";
import { layOut, ticks } from "../../www/src/climb/layout.js";
import { heaterShape } from "../../www/src/climb/shape.js";
import { endSign } from "../../www/src/ends.js";
import { levelLook, levelMatters } from "../../www/src/state.js";
import { Store } from "../../www/src/store.js";
import { Units, plantTime } from "../../www/src/units.js";
import { say, sayOr, words } from "../../www/src/words.js";

const STEP = 0.25;

test("wall time becomes whole steps, none lost and none made up", () => {
  const clock = new Clock(STEP);
  clock.run();
  let steps = 0;
  for (let frame = 0; frame <= 600; frame += 1) {
    const due = clock.due(frame * (1000 / 60));
    assert.ok(Number.isInteger(due) && due >= 0, `${due} steps`);
    clock.took(due, true);
    steps += due;
  }
  assert.equal(steps, 40, "ten seconds at 1x");
});

test("a tab that slept catches up by a quarter of a second at most", () => {
  const clock = new Clock(STEP);
  clock.setSpeed(60);
  clock.run();
  clock.due(0);
  assert.equal(clock.due(3_600_000), (0.25 * 60) / STEP);
});

test("frozen, no step is due, and running on does not make up for the pause", () => {
  const clock = new Clock(STEP);
  clock.run();
  clock.due(0);
  clock.freeze();
  assert.equal(clock.due(10_000), 0);
  clock.run();
  assert.equal(clock.due(20_000), 0);
});

test("steps that this machine could not take are let go, and the speed reached says so", () => {
  const clock = new Clock(STEP);
  clock.setSpeed(60);
  clock.run();
  for (let frame = 0; frame < 200; frame += 1) {
    const due = clock.due(frame * 20);
    const half = Math.floor(due / 2);
    clock.took(half, half === due);
    assert.ok(due <= (0.02 * 60) / STEP + 1, `${due} steps due: the debt must not grow`);
  }
  const reached = clock.reached();
  assert.ok(reached !== null && reached > 20 && reached < 40, `${reached}x`);
});

const quantities = {
  temperature: {
    si: { unit: "°C", factor: 1, offset: 0, digits: 1 },
    us: { unit: "°F", factor: 1.8, offset: 32, digits: 1 },
  },
  money_rate: {
    si: { unit: "/h", factor: 1, offset: 0, digits: 0 },
    us: { unit: "/h", factor: 1, offset: 0, digits: 0 },
  },
  residual: { si: { unit: "", factor: 1, offset: 0, digits: 1 }, us: { unit: "", factor: 1, offset: 0, digits: 1 } },
};

test("values are shown in the chosen units and read back from them", () => {
  const units = new Units(quantities, "si", "EUR");
  assert.equal(units.full("temperature", 254.04), "254.0 °C");
  assert.equal(units.full("money_rate", 6012.4), "6012 EUR/h");
  units.system = "us";
  assert.equal(units.full("temperature", 100), "212.0 °F");
  assert.equal(units.inside("temperature", units.shown("temperature", 37.25)), 37.25);
});

test("signs are true ones, and nothing is signed that shows as zero", () => {
  const units = new Units(quantities, "si", "");
  assert.equal(units.text("temperature", -3.14), "−3.1");
  assert.equal(units.text("temperature", -0.01), "0.0");
  assert.equal(units.text("temperature", 3.14, true), "+3.1");
  assert.equal(units.text("temperature", 0.01, true), "0.0");
  assert.equal(units.text("temperature", 3.14, false, 0), "3");
  assert.equal(units.text("temperature", NaN), "–");
  assert.equal(units.text("residual", -3.1e-12), "−3.1·10⁻¹²");
});

test("plant time reads as hours, minutes, seconds", () => {
  assert.equal(plantTime(0), "0:00:00");
  assert.equal(plantTime(3_599.75), "0:59:59");
  assert.equal(plantTime(36_061), "10:01:01");
});

/** @param {number[]} values */
const reading = (...values) => Float64Array.from(values);
const manifest = /** @type {any} */ ({
  signals: [
    { id: "unit.time", quantity: "duration" },
    { id: "unit.final_fw_temperature", quantity: "temperature" },
  ],
  heaters: [],
  design: {},
  modes: [],
});

test("the picture of before is from before the upset, and one upset keeps one picture", () => {
  const store = new Store(manifest);
  store.take(reading(0, 271), []);
  assert.ok(Number.isNaN(store.was("unit.final_fw_temperature")));
  const trip = { seq: 1, time_s: 1, code: "heater_tripped", device: "hp1", value: 0 };
  store.take(reading(1, 270), [trip]);
  assert.equal(store.was("unit.final_fw_temperature"), 271);
  store.take(reading(20, 250), [{ ...trip, seq: 2, time_s: 20, code: "level_high_high" }]);
  assert.equal(store.was("unit.final_fw_temperature"), 271, "still the same story");
  store.take(reading(600, 240), []);
  store.take(reading(601, 240), [{ ...trip, seq: 3, time_s: 601 }]);
  assert.equal(store.was("unit.final_fw_temperature"), 240);
});

test("the trend keeps a point a second and the last hour", () => {
  const store = new Store(manifest);
  for (let at = 0; at <= 5000; at += 0.25) store.take(reading(at, 200), []);
  const first = store.times[0] ?? NaN;
  assert.ok(first <= 5000 - 3600 && first > 5000 - 4200, `from ${first} s`);
  assert.equal(store.times.at(-1), 5000);
  assert.equal((store.times[1] ?? NaN) - first, 1);
  assert.equal(store.columns[0]?.length, store.times.length);
});

const heater = (/** @type {string} */ id, /** @type {string} */ kind) => /** @type {any} */ ({ id, kind });
const plant = [heater("lp7", "closed"), heater("lp6", "closed"), heater("open4", "open"), heater("hp1", "closed")];

test("the columns follow the water and fill the picture at any width", () => {
  for (const width of [340, 780, 1030, 1900]) {
    const { columns, y, celsius } = layOut(width, 600, plant, { cold: 33, hot: 270 });
    assert.deepEqual(
      columns.map((column) => column.id),
      ["condenser", "lp7", "lp6", "open4", "pump", "hp1", "boiler"],
    );
    columns.forEach((column, at) => {
      assert.ok(column.right > column.left, column.id);
      if (at) assert.equal(column.left, columns[at - 1]?.right);
    });
    assert.ok(Math.abs((columns.at(-1)?.right ?? 0) - (width - 6)) < 1e-9);
    assert.ok(y(270) < y(33), "hotter is higher");
    assert.ok(Math.abs(celsius(y(151.5)) - 151.5) < 1e-9);
  }
});

test("a heater's water runs from its inlet to its outlet, always upwards, below its saturation", () => {
  const layout = layOut(1030, 600, plant, { cold: 33, hot: 270 });
  const column = layout.columns.find((one) => one.id === "lp6");
  assert.ok(column);
  const { water, ySat, top, bottom } = heaterShape(layout, column, { tIn: 66.4, tOut: 96.6, tSat: 99.4, tDrain: 72 });
  assert.equal(water[0]?.[1], layout.y(66.4));
  assert.ok(Math.abs((water.at(-1)?.[1] ?? NaN) - layout.y(96.6)) < 1e-9);
  for (let at = 1; at < water.length; at += 1) assert.ok((water[at]?.[1] ?? NaN) < (water[at - 1]?.[1] ?? NaN));
  assert.ok(water.every(([, y]) => y > ySat && y > top && y < bottom));
});

test("a heater in any state has a shape of finite size", () => {
  const layout = layOut(1030, 600, plant, { cold: 33, hot: 270 });
  const column = layout.columns.find((one) => one.id === "hp1");
  assert.ok(column);
  for (const t of [
    { tIn: 240, tOut: 240, tSat: 240, tDrain: 240 },
    { tIn: 240, tOut: 271, tSat: 270, tDrain: 246 },
    { tIn: 240, tOut: 240, tSat: 40, tDrain: 40 },
    { tIn: 240, tOut: 238, tSat: 300, tDrain: 20 },
  ]) {
    const shape = heaterShape(layout, column, t);
    assert.ok(
      [shape.top, shape.bottom, shape.ySat, shape.yDrain, ...shape.water.flat()].every(Number.isFinite),
      JSON.stringify(t),
    );
    assert.ok(shape.bottom - shape.top > 30, JSON.stringify(t));
  }
});

test("the axis has a few round marks in either unit", () => {
  assert.deepEqual(ticks(24, 290), [50, 100, 150, 200, 250]);
  assert.deepEqual(ticks(75, 554), [100, 200, 300, 400, 500]);
});

test("a level is judged by its marks, and a heater that is off only when it fills", () => {
  const marks = { low: -80, high: 50, emergency: 65, high_high: 140 };
  assert.deepEqual(
    [-81, 0, 50, 65, 140].map((mm) => levelLook(mm, marks).weight),
    ["warn", "calm", "warn", "warn", "alarm"],
  );
  assert.equal(levelMatters("out", -200, marks), false);
  assert.equal(levelMatters("out", 60, marks), true);
  assert.equal(levelMatters("in_service", -200, marks), true);
});

test("words are filled in, and what the catalogue does not know is shown as it came", () => {
  assert.equal(say("minutes", { n: 5 }), "5 min");
  assert.equal(sayOr("event_not_yet_known", "not yet known"), "not yet known");
  for (const [key, text] of Object.entries(words)) assert.ok(text.trim() === text && text !== "", key);
});

test("every event that the engine can report has its words", () => {
  const source = readFileSync(new URL("../../crates/engine/src/event.rs", import.meta.url), "utf8");
  const body = source.match(/pub enum Code \{([\s\S]*?)\n\}/)?.[1] ?? "";
  const codes = [...body.matchAll(/^\s*([A-Z]\w+),$/gm)].map(([, name]) =>
    (name ?? "").replace(/(?<!^)([A-Z])/g, "_$1").toLowerCase(),
  );
  assert.ok(codes.length > 10, `read only ${codes}`);
  assert.deepEqual(
    codes.filter((code) => !Object.hasOwn(words, `event_${code}`)),
    [],
  );
});

test("a transmitter at an end of its range is told from one that is not", () => {
  const signal = { device: "a", quantity: "mass_flow", low: 0, high: 1, truth: false };
  const ranges = /** @type {[number, number][]} */ ([[0, 100], [-150, 150], [0, 400], [0, 400]]);
  const signals = ranges.map((range, at) => ({ ...signal, id: `a.${at}`, range }));
  const manifest = /** @type {any} */ ({ signals: [...signals, { ...signal, id: "a.none", range: null }] });
  const store = new Store(manifest);
  store.take(Float64Array.of(100, -150, 0, 399.9, 1e9), []);
  assert.deepEqual(["a.0", "a.1", "a.2", "a.3", "a.none"].map((id) => endSign(store, id)), ["≥", "≤", "", "", ""]);
});

test("the page's modules import one way, never in a circle", () => {
  const root = fileURLToPath(new URL("../../www/src/", import.meta.url));
  const files = readdirSync(root, { recursive: true, encoding: "utf8" }).filter((name) => name.endsWith(".js"));
  const imports = new Map(
    files.map((name) => {
      const text = readFileSync(join(root, name), "utf8");
      return [name, [...text.matchAll(/^(?:import|export) [^;]*?from "(\.[^"]+)"/gm)].map(([, to]) => join(dirname(name), String(to)))];
    }),
  );
  assert.ok(imports.get("main.js")?.includes("app.js"), "imports are found");
  /** @type {Set<string>} */
  const done = new Set();
  const follow = (/** @type {string} */ name, /** @type {string[]} */ way) => {
    assert.ok(!way.includes(name), [...way, name].join(" -> "));
    if (done.has(name)) return;
    for (const to of imports.get(name) ?? []) follow(to, [...way, name]);
    done.add(name);
  };
  for (const name of files) follow(name, []);
});
