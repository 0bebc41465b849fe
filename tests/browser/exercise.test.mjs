// The Exercise view: one exercise taken by keyboard alone, a browser killed in the middle and the record taken up again, a
// drawn curve, a file with faults, records, and no serious fault of accessibility in any state.

import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { words as catalogue } from "../../www/src/words.js";
import { germanExerciseWords } from "../../www/src/exercise/german.js";
import { accessibilityFaults, launch, LONG, open, served, singleFile, told } from "./helpers.mjs";

const { chromium } = createRequire(new URL("../../www/package.json", import.meta.url))("playwright-core");

/** @typedef {import("playwright-core").Page} Page */
/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launch()));
after(() => browser.close());

/** Chooses an exercise and begins it. @param {Page} page @param {string} id @param {string} [name] */
async function begin(page, id, name = "") {
  await page.click(`[data-exercise="${id}"]`);
  if (name) await page.fill("#ex-by", name);
  await page.click('[data-action="begin_exercise"]');
  await page.waitForSelector(".ex-task");
}

/** Goes on by Tab until an element has the focus, as somebody would. @param {Page} page @param {string} wanted */
async function tabTo(page, wanted) {
  for (let presses = 0; presses < 150; presses += 1) {
    if (await page.evaluate((wanted) => document.activeElement?.matches(wanted) ?? false, wanted)) return;
    await page.keyboard.press("Tab");
  }
  assert.fail(`Tab does not lead to ${wanted}`);
}

test("every reason that a score can give has its words, in both languages", () => {
  const schema = JSON.parse(readFileSync(new URL("../../crates/drill/schema/record.schema.json", import.meta.url), "utf8"));
  const reasons = schema.$defs.Reason.oneOf.map((/** @type {any} */ one) => one.properties.why.const);
  assert.ok(reasons.length >= 15, `${reasons.length} reasons`);
  const orders = ["order_right", "order_wrong", "order_only_first", "order_only_second", "order_neither"];
  for (const why of reasons.flatMap((/** @type {string} */ why) => (why === "order" ? orders : [why]))) {
    assert.ok(`why_${why}` in catalogue, `why_${why} in English`);
    assert.ok(`why_${why}` in germanExerciseWords, `why_${why} in German`);
  }
  const commands = schema.$defs.Command.oneOf.map((/** @type {any} */ one) => one.properties.do.const);
  assert.ok(commands.length > 10);
  for (const one of commands) assert.ok(`ex_do_${one}` in catalogue && `ex_do_${one}` in germanExerciseWords, `ex_do_${one}`);
});

test("the guide says of every shipped exercise what it trains, in both languages", () => {
  const files = readdirSync(new URL("../../crates/catalog/exercises", import.meta.url)).filter((name) => name.endsWith(".json"));
  assert.ok(files.length >= 17, `${files.length} exercises`);
  const taught = files.map((name) => `teaches_${name.replace(".json", "").replaceAll("-", "_")}`).sort();
  for (const words of [catalogue, germanExerciseWords]) {
    assert.deepEqual(Object.keys(words).filter((key) => key.startsWith("teaches_")).sort(), taught);
  }
});

test("by keyboard alone: predict, act, answer, hand in, full marks", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await tabTo(page, '.rail [data-view="exercise"]');
  await page.keyboard.press("Enter");
  await tabTo(page, '[data-exercise="where-heat-comes-from"]');
  await page.keyboard.press("Enter");
  await tabTo(page, "#ex-by");
  await page.keyboard.type("K. Board");
  await tabTo(page, '[data-action="begin_exercise"]');
  await page.keyboard.press("Enter");
  await page.waitForSelector(".ex-task");
  for (const [id, way] of [["output", "up"], ["feedwater", "down"], ["heat-rate", "up"], ["next", "up"]]) {
    await tabTo(page, `[data-prediction="${id}"] [data-way="${way}"]`);
    await page.keyboard.press("Enter");
    await page.waitForSelector(`[data-prediction="${id}"][data-made]`);
  }
  // Until the moment comes that the exercise asks for action, at ten times the clock.
  await page.evaluate(() => document.activeElement instanceof HTMLElement && document.activeElement.blur());
  for (let gear = 0; gear < 3; gear += 1) await page.keyboard.press("+");
  await page.keyboard.press(" ");
  await page.waitForFunction(() => (document.querySelector(".ex-head progress")?.getAttribute("value") ?? "") !== "" && /** @type {any} */ (document.querySelector(".ex-head progress")).value >= 62);
  await page.keyboard.press(" ");

  await tabTo(page, '.rail [data-view="climb"]');
  await page.keyboard.press("Enter");
  await page.waitForSelector(".strip:visible");
  await told(page, ".strip", /Where the heat comes from/);
  // What the brief does not leave to the trainee is greyed, and says why.
  await told(page, '#card-hp1 [data-action="trip_heater"]', "yes", "data-locked");
  assert.equal(await page.getAttribute('#card-hp1 [data-action="isolate_extraction"]', "data-locked"), null);
  await page.evaluate(() => document.activeElement instanceof HTMLElement && document.activeElement.blur());
  await page.keyboard.press("1");
  await page.keyboard.press("t");
  await page.waitForFunction(() => /locked in this exercise/.test(document.querySelector("#card-hp1 .refusal")?.textContent ?? ""));
  await page.keyboard.press("i");
  await page.waitForFunction(() => document.querySelector("#card-hp1 .refusal")?.textContent === "");
  await tabTo(page, ".strip .ex-back");
  await page.keyboard.press("Enter");
  await page.waitForSelector(".ex-task:visible");
  await page.evaluate(() => document.activeElement instanceof HTMLElement && document.activeElement.blur());
  for (let gear = 0; gear < 2; gear += 1) await page.keyboard.press("+");
  await page.keyboard.press(" ");
  await page.waitForFunction(() => /** @type {any} */ (document.querySelector(".ex-head progress")).value >= 565);
  await page.keyboard.press(" ");
  for (const [id, choice] of [["steam", 1], ["dearer", 2]]) {
    await tabTo(page, `[data-question="${id}"] input`);
    for (let k = 0; k <= Number(choice); k += 1) await page.keyboard.press(k === 0 ? " " : "ArrowDown");
    await tabTo(page, `[data-question="${id}"] [data-action="answer"]`);
    await page.keyboard.press("Enter");
    await page.waitForSelector(`[data-question="${id}"][data-made]`);
  }
  // The rest of what is watched comes first: then the exercise ends by its length, and says what it was worth.
  await page.evaluate(() => document.activeElement instanceof HTMLElement && document.activeElement.blur());
  await page.keyboard.press(" ");
  await page.waitForSelector(".ex-debrief[data-drawn]");
  assert.equal(Number(await page.getAttribute(".ex-total", "data-total")), 100, await page.innerText(".ex-table"));
  await told(page, ".ex-total", "true", "data-passed");
  await told(page, "#ex-model ~ div", /isolate a heater's steam: HP 1/);
  await told(page, ".ex-verdict", "parts_all", "data-verdict");

  // What would have been without the action: output stays.
  await tabTo(page, '[data-action="twin"]');
  await page.keyboard.press("Enter");
  await page.waitForSelector(".ex-twin figure");
  await page.waitForFunction(() => /ends at .*; without, at /.test(document.querySelector(".ex-twin .visually-hidden")?.textContent ?? ""));
  await tabTo(page, '[data-action="leave_exercise"]');
  await page.keyboard.press("Enter");
  await page.waitForSelector(".ex-records [data-over]");
  await told(page, ".ex-records", /K\. Board.*Passed, 100 points/s);
  await close();
});

test("a killed browser loses at most the last second, and the record is taken up where it broke off", { timeout: LONG }, async () => {
  const profile = mkdtempSync(join(tmpdir(), "bledsteam-"));
  const port = 20_000 + (process.pid % 20_000);
  const start = async () => {
    const child = spawn(
      process.env.BLEDSTEAM_CHROMIUM ?? "",
      ["--headless=new", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", `--user-data-dir=${profile}`, `--remote-debugging-port=${port}`, "about:blank"],
      { stdio: "ignore", detached: true },
    );
    for (let tries = 0; ; tries += 1) {
      try {
        const remote = await chromium.connectOverCDP(`http://127.0.0.1:${port}`);
        const page = await remote.contexts()[0].newPage();
        await page.goto(`${served}#exercise`);
        await page.waitForSelector(".ex-list");
        return { child, page };
      } catch (late) {
        if (tries > 100) throw late;
        await new Promise((done) => setTimeout(done, 200));
      }
    }
  };
  /** The browser with all its processes, as a flat battery would. @param {import("node:child_process").ChildProcess} child */
  const kill = async (child) => {
    const gone = new Promise((done) => child.once("exit", done));
    process.kill(-(child.pid ?? 0), "SIGKILL");
    await gone;
  };
  /** @type {import("node:child_process").ChildProcess | null} */
  let alive = null;
  try {
    const first = await start();
    alive = first.child;
    await begin(first.page, "where-heat-comes-from", "T. Rainee");
    for (const [id, way] of [["output", "up"], ["feedwater", "down"], ["heat-rate", "same"], ["next", "up"]])
      await first.page.click(`[data-prediction="${id}"] [data-way="${way}"]`);
    await first.page.click('[data-speed="5"]');
    await first.page.click('[data-action="run"]');
    await first.page.waitForFunction(() => /** @type {any} */ (document.querySelector(".ex-head progress")).value >= 40);
    const seen = await first.page.evaluate(() => /** @type {any} */ (document.querySelector(".ex-head progress")).value);
    await kill(first.child);
    alive = null;

    const second = await start();
    alive = second.child;
    await second.page.waitForSelector('[data-action="resume_record"]');
    assert.match(await second.page.innerText(".ex-records"), /T\. Rainee/);
    await second.page.click('[data-action="resume_record"]');
    await second.page.waitForSelector(".ex-task");
    const resumed = await second.page.evaluate(() => /** @type {any} */ (document.querySelector(".ex-head progress")).value);
    // At five times the clock a second of wall time is five of the plant.
    assert.ok(resumed >= seen - 5 && resumed <= seen + 5, `seen at ${seen} s, taken up at ${resumed} s`);
    assert.match(await second.page.innerText('[data-prediction="heat-rate"]'), /You said: ■ same/);
    assert.equal(await second.page.getAttribute(".bar", "data-running"), "false");
    await second.page.click('[data-action="hand_in"]');
    await second.page.click('[data-answer="yes"]');
    await second.page.waitForSelector(".ex-debrief[data-drawn]");
    assert.match(await second.page.innerText(`[aria-labelledby="ex-line"]`), /You handed in/);
  } finally {
    if (alive) await kill(alive);
    rmSync(profile, { recursive: true, force: true, maxRetries: 5, retryDelay: 200 });
  }
});

test("a curve is drawn with the mouse, moved by keys and by table, and laid over what came", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await page.click('.rail [data-view="exercise"]');
  await begin(page, "heater-trip");
  const over = page.locator('[data-prediction="feedwater"] .u-over');
  await over.waitFor();
  const box = await over.boundingBox();
  assert.ok(box);
  const knot = async (/** @type {number} */ k) => Number(await page.inputValue(`[data-knot="${k}"]`));
  const before = await knot(6);
  // A quarter of the picture lies before the moment.
  await page.mouse.move(box.x + box.width * 0.26, box.y + box.height * 0.5);
  await page.mouse.down();
  for (let k = 1; k <= 20; k += 1) await page.mouse.move(box.x + box.width * (0.26 + 0.03 * k), box.y + box.height * (0.5 + 0.25 * Math.min(1, k / 8)));
  await page.mouse.up();
  const drawn = await knot(6);
  assert.ok(drawn < before - 15 && drawn > before - 40, `from ${before} to ${drawn}`);
  assert.ok((await knot(1)) > drawn + 2, "the curve falls on its way");
  const slider = page.locator('[data-prediction="feedwater"] [role="slider"]');
  await slider.focus();
  await page.keyboard.press("End");
  await page.keyboard.press("ArrowUp");
  assert.ok((await knot(6)) > drawn);
  assert.match((await slider.getAttribute("aria-valuetext")) ?? "", /6:00 after the moment: \d/);
  await page.click(".ex-curve-table summary");
  await page.fill('[data-knot="6"]', "244");
  await page.keyboard.press("Tab");
  assert.equal(await knot(6), 244);
  // Another unit is another figure for the same curve.
  await page.click('[data-units="us"]');
  await page.waitForFunction(() => Math.abs(Number(/** @type {HTMLInputElement} */ (document.querySelector('[data-knot="6"]')).value) - 471.2) < 0.2);
  await page.click('[data-units="si"]');
  await page.click('[data-prediction="feedwater"] [data-action="predict"]');
  await page.waitForSelector('[data-prediction="feedwater"][data-made]');

  // The run stops before the moment for what is missing, and goes on without only when asked twice.
  await page.click('[data-speed="60"]');
  await page.click('[data-action="run"]');
  await page.waitForSelector(".ex-call[data-waits]");
  await told(page, '[data-prediction="output"]', "yes", "data-waits");
  await page.click('.bar [data-action="run"]');
  await page.waitForTimeout(400);
  await told(page, ".bar", "false", "data-running");
  await page.click('[data-prediction="output"] [data-way="up"]');
  await page.click('[data-action="go_on"]');
  await page.click('[data-answer="yes"]');
  await page.waitForFunction(() => /** @type {any} */ (document.querySelector(".ex-head progress")).value >= 560);
  await told(page, '[data-prediction="next-steam"]', /Not predicted/);
  await told(page, ".ex-notes", /HP 1 has tripped/);
  await page.click('[data-action="hand_in"]');
  await page.click('[data-answer="yes"]');
  await page.waitForSelector(".ex-debrief[data-drawn]");
  const marks = await page.innerText('.ex-overlay[data-prediction="feedwater"]');
  assert.match(marks, /Direction\s+▼ down\s+▼ down\s+✓ 100 %/);
  assert.match(marks, /Final value\s+244\.0 °C\s+24\d\.\d °C\s+✓ 100 %/);
  assert.match(marks, /Time to half/);
  assert.match(marks, /Shape/);
  // Why, wholly: what was said beside what came, the rule, and the three parts that tell whether it is understood.
  const why = await page.innerText('[data-objective="feedwater"]');
  assert.match(why, /final value said: 244\.0 °C, came: 24\d\.\d °C, ✓ 100 %/);
  assert.match(why, /full within 4\.0 K, none at 12\.0 K off/);
  await told(page, '[data-objective="first"]', /Not answered\. Right is: Output rises/);
  const part = async (/** @type {string} */ name) => Number(await page.getAttribute(`.ex-parts [data-part="${name}"]`, "data-credit"));
  const credits = await page.locator(".ex-table tr[data-objective]").evaluateAll((rows) => rows.map((row) => [row.getAttribute("data-objective"), Number(row.getAttribute("data-credit"))]));
  const [drawn0, said0, next0] = ["feedwater", "output", "next-steam"].map((id) => Number(credits.find(([one]) => one === id)?.[1]));
  // By their weights in the file: 2, 1.5 and 1.
  assert.ok(Math.abs((await part("foresee")) - (2 * drawn0 + 1.5 * said0 + next0) / 4.5) < 1e-9);
  assert.equal(await part("explain"), 0);
  await told(page, '[aria-labelledby="ex-line"]', /at most \d+ in any ten minutes.*ISA-18\.2/);
  // The debrief as a file carries its charts, and nothing that only a screen can use.
  const [saved] = await Promise.all([page.waitForEvent("download"), page.click('[data-action="save_debrief"]')]);
  const text = readFileSync(await saved.path(), "utf8");
  assert.match(text, /<img src="data:image\/png/);
  assert.ok(!/<button|<script/.test(text) && /Final feedwater/.test(text));
  await close();
});

test("in US units a brief says how its SI figures are read, and asks for none in a unit that its field does not show", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, `${served}#exercise/middle-extraction`);
  await page.click('[data-action="begin_exercise"]');
  await page.click('[data-units="us"]');
  // Seven to eight kelvin are asked about; °C stands in no question, only in what is read afterwards.
  await told(page, ".ex-read", /SI units: 1 K = 1\.8 °F\./);
  await told(page, '[data-prediction="final"]', /begun to shut\s[^]*°F/);
  await page.click('[data-units="si"]');
  await page.waitForFunction(() => !/SI units/.test(document.querySelector(".ex-read")?.innerText ?? ""));
  await close();
});

test("a file with faults names each, a record is deleted and taken back", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await page.click('.rail [data-view="exercise"]');
  const sound = JSON.parse(readFileSync(new URL("../../crates/catalog/exercises/heater-trip.json", import.meta.url), "utf8"));
  const give = (/** @type {string} */ name, /** @type {string} */ text) =>
    page.setInputFiles(".ex-drop input[type=file]", { name, mimeType: "application/json", buffer: Buffer.from(text) });
  await give("bad.json", JSON.stringify({ ...sound, trends: ["hp9.ttd"], pass_mark: 200 }));
  await page.waitForSelector(".ex-faults li");
  const faults = await page.innerText(".ex-faults");
  assert.match(faults, /trends\[0\]/);
  assert.match(faults, /pass_mark/);
  await give("no.json", "<b>no</b>");
  await page.waitForFunction(() => /no\.json/.test(document.querySelector(".ex-faults")?.textContent ?? ""));
  // Words from a file are shown as words.
  await give("own.json", JSON.stringify({ ...sound, id: "own", title: "<i>My own</i>" }));
  await page.waitForSelector(".ex-brief");
  await told(page, ".ex-brief h2", "<i>My own</i>");
  await page.click('[data-action="begin_exercise"]');
  await page.waitForSelector(".ex-task");
  await page.click('[data-action="leave_exercise"]:visible');
  await page.click('[data-answer="yes"]');
  await page.waitForSelector('[data-action="delete_record"]');
  await told(page, ".ex-records", /Broken off at 0:00:00/);
  const [file] = await Promise.all([page.waitForEvent("download"), page.click('[data-action="save_record"]')]);
  assert.match(readFileSync(await file.path(), "utf8"), /^\{"entry":"head".*"exercise":"own"/);
  await page.click('[data-action="delete_record"]');
  await page.waitForSelector(".ex-undo:visible");
  assert.equal(await page.locator(".ex-records li").count(), 0);
  await page.click('[data-action="undo_delete"]');
  await page.waitForSelector('[data-action="resume_record"]');
  await close();
});

test("a record is taken up by one window at a time", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await page.click('.rail [data-view="exercise"]');
  await begin(page, "reading-a-heater");
  const other = await page.context().newPage();
  await other.goto(`${served}#exercise`);
  await other.click('[data-action="resume_record"]');
  await other.waitForFunction(() => /open in another window/.test(document.querySelector(".ex-aside .refusal")?.textContent ?? ""));
  await page.click('[data-action="leave_exercise"]:visible');
  await page.click('[data-answer="yes"]');
  await page.waitForSelector(".ex-list");
  await other.click('[data-action="resume_record"]');
  await other.waitForSelector(".ex-task");
  await close();
});

test("a component is picked on the climb, and the hidden stays hidden", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await page.click('.rail [data-view="exercise"]');
  await begin(page, "find-the-leak");
  await page.click('[data-speed="60"]');
  await page.click('[data-action="run"]');
  await page.waitForSelector('.ex-item[data-question][data-open]:has([data-action="pick_on_climb"])');
  await page.click('[data-action="pick_on_climb"]');
  await page.waitForSelector(".ex-pick:visible");
  await page.click('[data-pick="hp2"]');
  await page.waitForFunction(() => document.querySelector('[data-action="answer_picked"]')?.textContent === "Answer HP 2");
  // The working of what no instrument shows is closed.
  await page.keyboard.press("o");
  await page.waitForSelector(".inside");
  await page.click('.rail [data-view="trends"]');
  await page.waitForSelector('.picker [id="pen-hp3.level"]', { state: "attached" });
  assert.equal(await page.locator('[id="pen-hp3.leak_flow"]').count(), 0);
  await page.click('[data-action="answer_picked"]');
  await page.waitForFunction(() => /You said: HP 2/.test(document.querySelector(".ex-task")?.textContent ?? ""));
  await close();
});

for (const theme of ["light", "dark"]) {
  test(`${theme}: no serious fault of accessibility in any state, nothing runs out sideways`, { timeout: LONG }, async () => {
    const { page, close } = await open(browser, theme === "light" ? served : singleFile, { colorScheme: /** @type {"light" | "dark"} */ (theme) });
    const check = async (/** @type {string} */ state) => {
      assert.deepEqual(await accessibilityFaults(page), [], state);
      for (const [width, height] of [[1366, 768], [820, 1180]]) {
        await page.setViewportSize({ width, height });
        await page.waitForTimeout(150);
        const wide = await page.evaluate(() => document.documentElement.scrollWidth);
        assert.ok(wide <= width, `${state} is ${wide} wide at ${width}`);
      }
      await page.setViewportSize({ width: 1366, height: 768 });
    };
    await page.click('.rail [data-view="exercise"]');
    await page.waitForSelector(".ex-list");
    await check("list");
    await page.click('[data-exercise="heater-trip"]');
    await check("brief");
    await page.click('[data-action="begin_exercise"]');
    await page.waitForSelector('[data-prediction="feedwater"] .u-over');
    await check("at the start");
    await page.click('[data-speed="60"]');
    await page.click('[data-action="run"]');
    await page.waitForSelector(".ex-call[data-waits]");
    await check("waiting");
    await page.click('.rail [data-view="climb"]');
    await page.waitForSelector(".strip:visible");
    await check("strip");
    await page.click(".strip .ex-back");
    await page.click('[data-action="go_on"]');
    assert.deepEqual(await accessibilityFaults(page), [], "asked first");
    await page.click('[data-answer="yes"]');
    await page.waitForSelector('[data-question="first"]:visible');
    await check("questions");
    await page.click('[data-action="hint"]');
    await page.click('[data-action="hand_in"]');
    await page.click('[data-answer="yes"]');
    await page.waitForSelector(".ex-debrief[data-drawn]");
    await page.click(".ex-excerpt summary");
    await check("debrief");
    await page.click('[data-action="leave_exercise"]:visible');
    await page.waitForSelector(".ex-records li");
    await check("list with a record");
    await close();
  });
}
