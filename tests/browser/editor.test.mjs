// The exercise editor as an instructor uses it: a form filled in, faults at their fields, tried, shared, opened again.

import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import { after, before, test } from "node:test";
import { deflateRawSync } from "node:zlib";
import { accessibilityFaults, launch, LONG, open, served, singleFile, told } from "./helpers.mjs";

const shipped = (/** @type {string} */ id) =>
  JSON.parse(readFileSync(new URL(`../../crates/catalog/exercises/${id}.json`, import.meta.url), "utf8"));
const IDS = readdirSync(new URL("../../crates/catalog/exercises/", import.meta.url))
  .filter((name) => name.endsWith(".json"))
  .map((name) => name.replace(".json", ""));

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launch()));
after(() => browser.close());

/** @typedef {import("playwright-core").Page} Page */

const sound = (/** @type {Page} */ page) => page.waitForSelector('.ed-state[data-sound="yes"]:has-text("No faults")');
const faulty = (/** @type {Page} */ page, /** @type {number} */ n) =>
  page.waitForFunction((n) => document.querySelector(".ed-state")?.textContent === `Faults: ${n}`, n);
const turn = (/** @type {Page} */ page, /** @type {string} */ section) => page.click(`[data-section="${section}"]`);
/** The control of a place. @param {Page} page @param {string} place */
const at = (page, place) => page.locator(`[id="ed:${place}"]`);
const add = (/** @type {Page} */ page, /** @type {string} */ place) => page.click(`[data-add="${place}"]`);

/** @param {Page} page */
async function saved(page) {
  const [download] = await Promise.all([page.waitForEvent("download"), page.click('[data-action="ed_save"]')]);
  return { name: download.suggestedFilename(), value: JSON.parse(readFileSync(await download.path(), "utf8")) };
}

/** Part of an address that holds an exercise, made without the page. @param {string | object} what */
const link = (what) =>
  `#shared/${deflateRawSync(typeof what === "string" ? what : JSON.stringify(what)).toString("base64url")}`;

/** @param {Page} page @param {string} address */
async function follow(page, address) {
  await page.evaluate((hash) => (location.hash = hash), address.slice(address.indexOf("#")));
  await page.waitForSelector("dialog.ed-shared[open]");
}

for (const [name, address] of [
  ["served", served],
  ["single file", singleFile],
]) {
  test(`${name}: an exercise is made by form, tried, shared, and opened from its link`, { timeout: LONG }, async () => {
    const { page, close } = await open(browser, address);
    await page.click('nav [data-view="editor"]');
    await faulty(page, 5);
    await page.waitForSelector('[data-action="ed_try"]:disabled');
    // The fault stands at its field, and the list leads there.
    await told(page, '[data-place="title"] .ed-fault', /there is no text/);
    await at(page, "title").fill("A heater is lost");
    await page.click('[data-fault="brief"]');
    await page.waitForFunction(() => document.activeElement?.id === "ed:brief");
    await at(page, "brief").fill("A heater trips.\n\nKeep the unit on load.");
    await at(page, "idea").fill("What a trip does.");
    await at(page, "explanation").fill("The next heater takes more steam.");
    await turn(page, "timeline");
    await add(page, "timeline");
    await page.waitForFunction(() => document.activeElement?.id === "ed:timeline[0].id");
    await at(page, "timeline[0].id").fill("trip");
    await at(page, "timeline[0].at_s").fill("60");
    await add(page, "timeline[0].commands");
    await at(page, "timeline[0].commands[0].do").selectOption("trip_heater");
    await at(page, "timeline[0].commands[0].heater").selectOption("hp1");
    await turn(page, "predictions");
    await add(page, "predictions");
    await at(page, "predictions[0].text").fill("What will the final feedwater do?");
    await at(page, "predictions[0].explanation").fill("It falls.");
    await at(page, "predictions[0].signal").selectOption("unit");
    await page.locator('[data-place="predictions[0].signal"] .ed-signal').selectOption("unit.final_fw_temperature");
    await at(page, "predictions[0].moment.happening").selectOption("trip");
    await at(page, "predictions[0].window_s").fill("300");
    await turn(page, "questions");
    await add(page, "questions");
    await at(page, "questions[0].text").fill("Which of these?");
    await at(page, "questions[0].explanation").fill("So it is.");
    await page.getByRole("button", { name: "+ Choice" }).click();
    await at(page, "questions[0].answer.choices[0]").fill("The first");
    await page.getByRole("button", { name: "+ Choice" }).click();
    await at(page, "questions[0].answer.choices[1]").fill("The second");
    await page.getByLabel("Choice 2 is right").check();
    await turn(page, "objectives");
    await add(page, "objectives");
    await at(page, "objectives[0].text").fill("Nothing floods while the unit is on load");
    await at(page, "objectives[0].weight").fill("2");
    await at(page, "objectives[0].rule.kind").selectOption("never");
    await at(page, "objectives[0].rule.when.is").selectOption("all");
    await add(page, "objectives[0].rule.when.of");
    await at(page, "objectives[0].rule.when.of[0].value").fill("150");
    await at(page, "objectives[0].rule.when.of[0].held_s").fill("10");
    await add(page, "objectives[0].rule.when.of");
    await at(page, "objectives[0].rule.when.of[1].is").selectOption("not");
    await at(page, "objectives[0].rule.when.of[1].of.is").selectOption("mode");
    await at(page, "objectives[0].rule.when.of[1].of.mode").selectOption("out");
    for (const [k, kind, what] of /** @type {[number, string, string][]} */ ([[1, "answer", "question"], [2, "predict", "prediction"]])) {
      await add(page, "objectives");
      await at(page, `objectives[${k}].text`).fill(`By its ${what}`);
      await at(page, `objectives[${k}].weight`).fill("1");
      await at(page, `objectives[${k}].rule.kind`).selectOption(kind);
      assert.equal(await at(page, `objectives[${k}].rule.${what}`).inputValue(), `${what}-1`);
    }
    await sound(page);
    const { name: file, value } = await saved(page);
    assert.equal(file, "new-exercise.json");
    assert.deepEqual(value.timeline, [{ id: "trip", at_s: 60, commands: [{ do: "trip_heater", heater: "hp1" }] }]);
    assert.deepEqual(value.objectives[0].rule.when.of[1], { is: "not", of: { is: "mode", heater: value.objectives[0].rule.when.of[1].of.heater, mode: "out" } });
    assert.deepEqual(value.questions[0].answer, { kind: "choice", choices: ["The first", "The second"], right: [1] });
    assert.deepEqual(value.predictions[0].moment, { happening: "trip" });
    await page.click('[data-action="ed_share"]');
    const shared = await page.inputValue(".ed-address");
    assert.ok(shared.startsWith(`${address.split("#")[0]}#shared/`) && shared.length < 2500, shared);
    // A link of what was written before does not stay beside what is written now.
    await at(page, "objectives[0].weight").fill("3");
    await page.waitForSelector(".ed-address", { state: "detached" });
    await sound(page);
    await page.click('[data-action="ed_try"]');
    await page.waitForSelector("main.exercise-main:visible");
    await page.waitForFunction(() => document.querySelector("main.exercise-main")?.textContent?.includes("Keep the unit on load."));
    await close();

    const other = await open(browser, shared);
    await other.page.waitForSelector('dialog.ed-shared[open] [data-action="shared_take"]');
    assert.match(await other.page.innerText("dialog.ed-shared"), /Shared exercise: A heater is lost[^]*Keep the unit on load/);
    await other.page.click('[data-action="shared_take"]');
    await other.page.waitForFunction(() => document.querySelector("main.exercise-main")?.textContent?.includes("Keep the unit on load."));
    assert.ok(!other.page.url().includes("shared"), other.page.url());
    await other.close();
  });
}

test("every shipped exercise goes through the editor unchanged, and every section of it is drawn", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await page.click('nav [data-view="editor"]');
  for (const id of IDS) {
    await page.selectOption("#ed-from", id);
    await page.waitForFunction((title) => document.querySelector('[id="ed:title"]')?.value === title, shipped(id).title);
    await sound(page);
    for (const section of await page.locator(".ed-tabs [data-section]").all()) {
      await section.click();
      // Nothing but fields with names: none that only a program would read.
      const labels = await page.locator(".ed-sheet label:visible").allInnerTexts();
      assert.ok(labels.every((text) => text.trim() && !text.includes("_")), `${id}: ${labels}`);
    }
    assert.deepEqual((await saved(page)).value, shipped(id), id);
  }
  await close();
});

test("faults of another plant stand at their fields; undone, done again, and kept by a reload", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await page.click('nav [data-view="editor"]');
  await page.selectOption("#ed-from", "lying-level");
  await sound(page);
  await at(page, "plant").selectOption("saturated300");
  await page.waitForFunction(() => /^Faults: \d/.test(document.querySelector(".ed-state")?.textContent ?? ""));
  const places = await page.locator("[data-fault]").evaluateAll((list) => list.map((one) => one.getAttribute("data-fault") ?? ""));
  assert.ok(places.length > 0, "the other plant has everything");
  for (const place of places) {
    await page.click(`[data-fault="${place}"]`);
    const message = page.locator(`.ed-sheet [data-faulty] > .ed-fault:not(:empty), .ed-sheet [data-faulty] .ed-fault:not(:empty)`);
    assert.ok(await message.first().isVisible(), place);
  }
  await page.click('[data-action="ed_undo"]');
  await sound(page);
  await page.click('[data-action="ed_redo"]');
  await page.waitForFunction(() => /^Faults: \d/.test(document.querySelector(".ed-state")?.textContent ?? ""));
  await page.click('[data-action="ed_undo"]');
  await turn(page, "hints");
  await page.locator(".ed-sheet summary").first().click();
  await at(page, "hints[0].price").fill("7");
  await sound(page);
  await page.keyboard.press("Escape");
  await page.reload();
  await page.waitForSelector('body[data-ready="true"]');
  await sound(page);
  assert.equal((await saved(page)).value.hints[0].price, 7);
  // By keyboard alone: to another section and a command taken back.
  await page.focus('[data-section="trends"]');
  await page.keyboard.press("Enter");
  await page.focus('[data-add="trends"]');
  await page.keyboard.press("Enter");
  assert.equal((await saved(page)).value.trends.length, 7);
  await page.focus('[data-section="trends"]');
  await page.keyboard.press("Control+z");
  assert.equal((await saved(page)).value.trends.length, 6);
  await close();
});

test("figures are typed in the units shown", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await page.click('nav [data-view="editor"]');
  await page.selectOption("#ed-from", "lying-level");
  await turn(page, "start");
  await at(page, "start.load").fill("80");
  await turn(page, "objectives");
  await page.locator(".ed-sheet summary", { hasText: "held" }).click();
  await page.click('[data-units="us"]');
  await page.waitForFunction(() => document.querySelector('[data-place="objectives[4].rule.high"] .ed-unit')?.textContent === "in");
  await at(page, "objectives[4].rule.high").fill("4");
  const { value } = await saved(page);
  assert.ok(Math.abs(value.objectives[4].rule.high - 101.6) < 1e-6, `${value.objectives[4].rule.high} mm`);
  assert.equal(value.start.load, 0.8);
  await close();
});

test("links that cannot be taken are refused with place and reason", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  const says = async (/** @type {string} */ hash, /** @type {RegExp} */ said) => {
    await follow(page, hash);
    await page.waitForFunction(() => !/Checking/.test(document.querySelector("dialog.ed-shared")?.textContent ?? ""));
    await told(page, "dialog.ed-shared", said);
    assert.equal(await page.locator('[data-action="shared_take"]').count(), 0);
    assert.deepEqual(await accessibilityFaults(page), []);
    await page.click('[data-action="shared_not"]');
    await page.waitForSelector("dialog.ed-shared[open]", { state: "detached" });
  };
  await says(link({ ...shipped("lying-level"), trends: ["hp9.level"], pass_mark: 200 }), /pass_mark: 200[^]*trends\[0\]: .*hp9/);
  await says(link("no exercise"), /file: /);
  await says("#shared/AAAA", /damaged|file: /);
  await says(link({ ...shipped("lying-level"), title: "<b>x</b>", length_s: -1 }), /length_s/);
  await says(link("x".repeat(300_000)), /more than 262144 bytes/);
  assert.equal(await page.locator("dialog.ed-shared b").count(), 0);
  // Cut on its way.
  const whole = link(shipped("lying-level"));
  await says(whole.slice(0, whole.length / 2), /damaged/);
  // Too long to be made: noise does not shrink.
  const noise = Array.from({ length: 5500 }, (_, k) => String.fromCharCode(33 + ((k * k * 31 + k * 7919) % 1009) % 90)).join("");
  await page.click('nav [data-view="editor"]');
  await page.selectOption("#ed-from", "lying-level");
  await turn(page, "texts");
  for (const place of ["brief", "explanation"]) await at(page, place).fill([...noise].sort(() => 0.5 - Math.random()).join(""));
  await sound(page);
  await page.click('[data-action="ed_share"]');
  await told(page, ".ed-sharing .refusal", /Too long for a link: \d+ characters.*longer than 8000/);
  await close();
});

for (const theme of ["light", "dark"]) {
  test(`${theme}: no serious fault of accessibility in any section, with faults and without`, { timeout: LONG }, async () => {
    const { page, close } = await open(browser, served, { colorScheme: /** @type {"light" | "dark"} */ (theme) });
    await page.click('nav [data-view="editor"]');
    await faulty(page, 5);
    assert.deepEqual(await accessibilityFaults(page), []);
    await page.selectOption("#ed-from", "out-and-back");
    await sound(page);
    for (const section of await page.locator(".ed-tabs [data-section]").all()) {
      await section.click();
      await page.evaluate(() => document.querySelectorAll(".ed-sheet details").forEach((one) => one.setAttribute("open", "")));
      assert.deepEqual(await accessibilityFaults(page), [], (await section.getAttribute("data-section")) ?? "");
    }
    await page.selectOption("select.language", "de");
    await page.waitForFunction(() => /Keine Fehler/.test(document.querySelector(".ed-state")?.textContent ?? ""));
    await close();
  });
}
