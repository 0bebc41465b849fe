// A plant of the instructor's own: run from its file, written into an exercise, taken by whoever has that one file, and its
// record judged on the page as in a shell.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { accessibilityFaults, launch, LONG, open, served, shellPath, singleFile, until, values } from "./helpers.mjs";

const shipped = (/** @type {string} */ path) => JSON.parse(readFileSync(new URL(`../../crates/catalog/${path}.json`, import.meta.url), "utf8"));
/** A plant that is not shipped: one of the shipped with three hundredths less steam, and a name of its own. */
const HOME = shipped("plants/reheat250");
HOME.name = "home";
HOME.title = "Hollin Moor, unit 3";
HOME.boiler.steam_flow *= 0.97;
/** Its heat balance alone. */
const BARE = structuredClone(HOME);
for (const heater of BARE.heaters) delete heater.equipment;
for (const part of [BARE.boiler, BARE.condenser, BARE.feed_pumps]) delete part.equipment;

/** @type {import("playwright-core").Browser} */
let browser;
/** @type {string} */
let folder;
before(async () => {
  browser = await launch();
  folder = mkdtempSync(join(tmpdir(), "bledsteam-own-"));
});
after(async () => {
  await browser.close();
  rmSync(folder, { recursive: true });
});

/** @typedef {import("playwright-core").Page} Page */

/** Lets a file fall on a view. @param {Page} page @param {string} name @param {unknown} content @param {string} [on] */
const drop = (page, name, content, on = ".climb") =>
  page.evaluate(
    ([name, text, on]) => {
      const dataTransfer = new DataTransfer();
      dataTransfer.items.add(new File([text], name));
      document.querySelector(on)?.dispatchEvent(new DragEvent("drop", { dataTransfer, bubbles: true, cancelable: true }));
    },
    [name, typeof content === "string" ? content : JSON.stringify(content), on],
  );
/** @param {Page} page */
const runs = (page) => page.waitForFunction(() => document.body?.dataset.ready === "true");
/** @param {Page} page */
const dialog = async (page) => (await page.innerText("dialog.own")).replace(/\s+/g, " ");

for (const [name, address] of [
  ["served", served],
  ["single file", singleFile],
]) {
  test(`${name}: a plant file let fall runs, is there after a reload, and is forgotten; what is wrong with one is told`, { timeout: LONG }, async () => {
    const { page, close } = await open(browser, address);
    const broken = structuredClone(HOME);
    broken.boiler.efficiency = "high";
    delete broken.turbine;
    await drop(page, "broken.json", broken);
    await page.waitForSelector("dialog.own .own-faults");
    assert.match(await dialog(page), /broken\.json was not opened, and nothing has changed\. The plant has faults: 2\..*turbine this field is missing.*boiler\.efficiency/);
    assert.deepEqual(await accessibilityFaults(page), []);
    await page.click('[data-own="close"]');
    await drop(page, "bare.json", BARE);
    await page.click('[data-own="equip"]');
    await page.waitForSelector('[data-own="run"]');
    assert.match(await dialog(page), /Hollin Moor, unit 3 .* 7 heaters, 264\.\d+ MW gross.*, not your station's/);
    const [file] = await Promise.all([page.waitForEvent("download"), page.click('[data-own="save"]')]);
    assert.ok(JSON.parse(readFileSync(await file.path(), "utf8")).boiler.equipment);
    await page.click('[data-own="close"]');
    assert.equal(await page.inputValue("select.plant"), "reheat250", "so far nothing has changed");
    await drop(page, "home.json", HOME);
    await page.waitForSelector('[data-own="run"]');
    await Promise.all([page.waitForURL(/plant=own/), page.click('[data-own="run"]')]);
    await runs(page);
    const { lines } = JSON.parse(execFileSync(shellPath(), ["run", "--json", "--for", "1s", "--signals", "unit.gross_output", "--plant", homeFile()]).toString());
    const [gross] = await values(page, "unit.gross_output");
    const [, wanted] = lines.at(-1);
    assert.ok(Math.abs(gross - wanted) < 1e-3 * wanted, `${gross} kW instead of ${wanted} kW`);
    await page.reload();
    await runs(page);
    assert.match(await page.title(), /Hollin Moor, unit 3/);
    await page.selectOption("select.plant", { label: "Plant file of your own …" });
    await page.click('[data-plant="home"] [data-own="forget"]');
    assert.match(await dialog(page), /Hollin Moor, unit 3 is forgotten here/);
    assert.equal(await page.inputValue("select.plant"), "own:home", "it goes on running");
    await page.reload();
    await page.waitForSelector("dialog.own[open]");
    assert.match(await dialog(page), /does not have the plant “home”/);
    await runs(page);
    assert.equal(await page.inputValue("select.plant"), "reheat250");
    await close();
  });
}

const homeFile = () => {
  const path = join(folder, "home.json");
  writeFileSync(path, JSON.stringify(HOME));
  return path;
};

test("an exercise carries its plant: written, taken by whoever has its file alone, taken up after a kill, judged alike everywhere", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  // An exercise of ours, set on the plant whose file is dropped in the editor; of a heat balance alone, filled in.
  await page.click('.rail [data-view="editor"]');
  await page.selectOption("#ed-from", "heater-trip");
  await drop(page, "bare.json", BARE, ".editor");
  await page.click('[data-own="equip"]');
  await page.click('[data-own="write"]');
  await page.waitForFunction(() => /** @type {any} */ (document.getElementById("ed:plant"))?.value === "carried");
  assert.equal(await page.inputValue('[id="ed:title"]'), "The top heater trips", "the exercise is the same");
  await drop(page, "home.json", HOME, ".editor");
  await page.waitForSelector('.ed-state[data-sound="yes"]:has-text("No faults")');
  assert.equal(await page.inputValue('[id="ed:plant"]'), "carried");
  assert.deepEqual(await accessibilityFaults(page), []);
  // A faulty one is told, and what was there stays.
  await drop(page, "faulty.json", { ...HOME, boiler: 3 }, ".editor");
  await page.waitForSelector("dialog.own .own-faults");
  assert.match(await dialog(page), /faulty\.json was not opened, and nothing has changed.*boiler/);
  await page.click('[data-own="close"]');
  await page.fill('[id="ed:id"]', "at-home");
  await page.waitForSelector('[data-action="ed_try"]:enabled');
  const [saved] = await Promise.all([page.waitForEvent("download"), page.click('[data-action="ed_save"]')]);
  const text = readFileSync(await saved.path(), "utf8");
  assert.deepEqual(JSON.parse(text).plant_file, HOME);
  const exercise = join(folder, "at-home.json");
  writeFileSync(exercise, text);
  await page.click('[data-action="ed_try"]');
  await page.waitForSelector(".ex-brief");
  assert.match(await page.innerText(".ex-facts"), /Hollin Moor, unit 3/);
  await close();

  // A trainee elsewhere, in German, with that file alone, which falls on the first view that comes.
  const trainee = await open(browser, served);
  const there = trainee.page;
  await there.selectOption("select.language", "de");
  const torn = JSON.parse(text);
  torn.plant_file.boiler.efficiency = 1.4;
  await drop(there, "torn.json", torn);
  await there.waitForSelector(".misplaced:visible");
  assert.match(await there.innerText(".misplaced"), /torn\.json.*plant_file\.boiler\.efficiency/s);
  await drop(there, "at-home.json", text);
  await there.waitForSelector(".ex-brief");
  assert.ok(await there.isHidden(".misplaced"));
  await there.fill("#ex-by", "Ida");
  await there.click('[data-action="begin_exercise"]');
  await there.waitForSelector(".ex-task");
  assert.equal(await there.inputValue("select.plant"), "own:home");
  assert.match(await there.title(), /Hollin Moor, unit 3/);
  await there.click('[data-speed="10"]');
  await there.click('[data-action="run"]');
  await there.click('.rail [data-view="climb"]');
  await until(there, 30);
  await there.goto("about:blank");
  await there.goto(`${served}#exercise`);
  await there.click('[data-action="resume_record"]');
  await there.waitForSelector(".ex-task");
  const time = await there.evaluate(() => /** @type {any} */ (document.querySelector(".ex-head progress")).value);
  assert.ok(time >= 25, `taken up at ${time} s`);
  await there.click('[data-action="hand_in"]');
  await there.click('[data-answer="yes"]');
  await there.waitForSelector(".ex-debrief[data-drawn]");
  const [kept] = await Promise.all([there.waitForEvent("download"), there.click('[data-action="save_record"]')]);
  const record = join(folder, "ida.jsonl");
  writeFileSync(record, readFileSync(await kept.path()));
  await trainee.close();

  // The shell judges it by the exercise alone; so does the page, whose gradebook is the same.
  const graded = execFileSync(shellPath(), ["grade", "ida.jsonl", "--csv", "--exercise", exercise], { cwd: folder });
  assert.match(graded.toString(), /Ida.*at-home,reproduced,/);
  const review = await open(browser, `${served}#review`);
  const said = () => review.page.innerText(".rev-records");
  await review.page.setInputFiles('[data-action="rev_files"]', [record]);
  await review.page.waitForFunction(() => /exercise missing/.test(document.querySelector(".rev-records")?.textContent ?? ""));
  await review.page.setInputFiles('[data-action="rev_files"]', [exercise]);
  await review.page.waitForFunction(() => /● verified/.test(document.querySelector(".rev-records")?.textContent ?? "")).catch(async () => assert.fail(await said()));
  const [csv] = await Promise.all([review.page.waitForEvent("download"), review.page.click('[data-action="rev_csv"]')]);
  assert.ok(readFileSync(await csv.path()).equals(graded));
  await review.page.click('tr[data-record="ida.jsonl"] button');
  await review.page.waitForSelector(".rev-paper");
  await review.close();
});
