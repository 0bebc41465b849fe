// An exercise taken through the shipped module in Node: its record breaks off and is resumed, and what is hidden from a
// trainee is hidden until it is over.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { gluePath, LONG, wasmPath } from "./helpers.mjs";

const glue = readFileSync(gluePath);
const module = await import(`data:text/javascript;base64,${glue.toString("base64")}`);
module.initSync({ module: readFileSync(wasmPath) });

const ID = "where-heat-comes-from";
const file = module.exercise_file(ID);
const model = JSON.parse(module.exercise_runs(ID)).model;

/**
 * Does one deed of a script.
 * @param {any} drill
 * @param {any} deed
 */
function act(drill, deed) {
  if (deed.kind === "command") drill.command(deed.command);
  else if (deed.kind === "answer") drill.answer(deed.question, deed.answer);
  else if (deed.kind === "predict") drill.predict(deed.prediction, deed.guess);
  else assert.fail(deed.kind);
}

/**
 * Advances to a step.
 * @param {any} drill
 * @param {number} step
 */
function go(drill, step) {
  while (drill.step() < step && drill.ended() === null) drill.advance(step - drill.step());
}

/**
 * Takes the model answer from where the drill is.
 * @param {any} drill
 * @param {number} until step at which it breaks off
 */
function take(drill, until) {
  for (const { at_s, deed } of model.does) {
    if (at_s * 4 < drill.step()) continue;
    if (at_s * 4 >= until) break;
    go(drill, at_s * 4);
    act(drill, deed);
  }
  go(drill, until);
}

test("the shipped exercises are listed and sound", { timeout: LONG }, () => {
  const list = module.exercises();
  assert.ok(list.length >= 10 && list.some((/** @type {any} */ e) => e.id === ID));
  assert.deepEqual(module.check_exercise(file), []);
  const faulty = JSON.stringify({ ...JSON.parse(file), trends: ["hp9.ttd"], pass_mark: 200 });
  const places = module.check_exercise(faulty).map((/** @type {any} */ f) => f.place);
  assert.deepEqual(places.sort(), ["pass_mark", "trends[0]"]);
});

test("a record that breaks off is resumed, and is worth what it would have been", { timeout: LONG }, () => {
  const whole = new module.Drill(file, "A. Trainee", undefined);
  take(whole, 3600);
  assert.equal(whole.score().total, 100);

  const first = new module.Drill(file, "A. Trainee", undefined);
  take(first, 1000);
  const torn = first.entries(0) + first.reached() + '{"entry":"comm';
  const second = module.Drill.resume(file, torn);
  assert.equal(second.step(), 1000);
  assert.equal(second.state_hash(), first.state_hash());
  take(second, 3600);
  assert.equal(second.entries(0), whole.entries(0));

  const record = whole.entries(0);
  const edited = record.replace('"total":100.0', '"total":99.0');
  assert.notEqual(edited, record);
  assert.throws(() => module.Drill.resume(file, edited), (/** @type {any} */ f) => f.code === "not_resumed");

  const d = whole.debrief();
  assert.equal(d.score.passed, true);
  assert.equal(d.predictions.length, 4);
  const twin = whole.twin({ without: "last_action", before_s: 300 }, ["unit.gross_output"], 0, 300);
  assert.ok(twin.with[0].at(-1) > twin.without[0].at(-1) + 1000);
  assert.throws(() => whole.command({ do: "set_load", fraction: 0.5 }), (/** @type {any} */ f) => f.code === "ended");
});

test("what no instrument shows is hidden until the exercise is over, and what is locked says so", { timeout: LONG }, () => {
  const leak = module.exercise_file("find-the-leak");
  const drill = new module.Drill(leak, undefined, undefined);
  drill.advance(1200);
  const { signals } = drill.manifest();
  const at = (/** @type {string} */ id) => signals.findIndex((/** @type {any} */ s) => s.id === id);
  const truths = signals.flatMap((/** @type {any} */ s, /** @type {number} */ k) => (s.truth ? [k] : []));
  assert.ok(truths.length > 10);
  const during = drill.read();
  assert.ok(truths.every((/** @type {number} */ k) => Number.isNaN(during[k])));
  assert.ok(during.filter(Number.isNaN).length === truths.length);
  const refused = (/** @type {() => void} */ look, /** @type {string} */ code) =>
    assert.throws(look, (/** @type {any} */ f) => f.code === code);
  refused(() => drill.working("hp3.leak_flow"), "hidden");
  refused(() => drill.working("hp3.normal_drain_flow"), "hidden");
  refused(() => drill.component_balance("hp3"), "hidden");
  assert.equal(drill.working("hp3.ttd").equation.terms.length, 2);
  assert.equal(drill.may({ do: "trip_heater", heater: "hp3" }), true);
  assert.equal(drill.may({ do: "set_load" }), false);
  refused(() => drill.command({ do: "set_load", fraction: 0.9 }), "locked");
  const standing = drill.standing();
  assert.equal(standing.left_s + standing.time_s, JSON.parse(leak).length_s);
  assert.ok(standing.questions.every((/** @type {any} */ q) => q.answer === null && q.reading === null));

  drill.hand_in();
  const after = drill.read();
  assert.ok(truths.every((/** @type {number} */ k) => Number.isFinite(after[k])));
  assert.ok(after[at("hp3.leak_flow")] > 0.5);
  assert.ok(drill.working("hp3.leak_flow").value > 0.5);
  assert.ok(drill.component_balance("hp3").flows.length > 2);
  assert.equal(drill.may({ do: "trip_heater", heater: "hp3" }), false);
});
