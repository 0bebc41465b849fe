// A class evening in little: an exercise made in the editor, taken twice, the records reviewed from a folder that holds the
// exercise beside them, one of them edited and caught, with the shell's judgement and the page's the same.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { copyFileSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { launch, LONG, open, served, shellPath, told } from "./helpers.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
/** @type {string} */
let folder;
before(async () => {
  browser = await launch();
  folder = mkdtempSync(join(tmpdir(), "bledsteam-evening-"));
  mkdirSync(join(folder, "class"));
});
after(async () => {
  await browser.close();
  rmSync(folder, { recursive: true });
});

/** @param {import("playwright-core").Page} page @param {string} action @param {string} name */
async function save(page, action, name) {
  const [download] = await Promise.all([page.waitForEvent("download"), page.click(`[data-action="${action}"]`)]);
  copyFileSync(await download.path(), join(folder, name));
}

/** Takes the exercise that is offered. @param {import("playwright-core").Page} page @param {string} by @param {number} choice */
async function take(page, by, choice) {
  await page.fill("#ex-by", by);
  await page.click('[data-action="begin_exercise"]');
  await page.waitForSelector(".ex-task");
  await page.click('[data-action="ex_run"]');
  await page.click('[data-speed="60"]');
  const question = page.locator('[data-question="question-1"]').first();
  await question.getByText(["The output rises", "The output falls"][choice] ?? "").click();
  await question.getByRole("button", { name: /answer/i }).first().click();
  await page.waitForFunction(() => Number(document.querySelector('[data-signal="unit.time"]')?.getAttribute("data-value")) > 65);
  await page.click('[data-action="hand_in"]');
  await page.click('[data-answer="yes"]');
  await page.waitForSelector(".ex-result");
}

test("made, taken, reviewed: the same in page and shell, the edited record caught", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await page.click('nav [data-view="editor"]');
  await page.selectOption("#ed-from", "heater-trip");
  await page.locator('[id="ed:id"]').fill("evening");
  await page.locator('[id="ed:title"]').fill("The evening");
  for (const list of ["predictions", "objectives", "questions"]) {
    await page.click(`[data-section="${list}"]`);
    const first = page.locator(`.ed-sheet > fieldset > ol > li > .ed-tools [aria-label^="Remove"]`);
    while (await first.count()) {
      const before = await first.count();
      await first.first().click();
      await page.waitForFunction(
        (n) => document.querySelectorAll('.ed-sheet > fieldset > ol > li > .ed-tools [aria-label^="Remove"]').length < n,
        before,
      );
    }
  }
  await page.click('[data-add="questions"]');
  await page.locator('[id="ed:questions[0].text"]').fill("What does the output do when the heater is lost?");
  await page.locator('[id="ed:questions[0].explanation"]').fill("Steam that was extracted works on.");
  for (const [k, text] of ["The output rises", "The output falls"].entries()) {
    await page.getByRole("button", { name: "+ Choice" }).click();
    await page.locator(`[id="ed:questions[0].answer.choices[${k}]"]`).fill(text);
  }
  await page.getByLabel("Choice 1 is right").check();
  await page.click('[data-section="objectives"]');
  await page.click('[data-add="objectives"]');
  await page.locator('[id="ed:objectives[0].text"]').fill("Say what the output does");
  await page.locator('[id="ed:objectives[0].weight"]').fill("1");
  await page.locator('[id="ed:objectives[0].rule.kind"]').selectOption("answer");
  await page.waitForSelector('.ed-state[data-sound="yes"]:has-text("No faults")');
  await save(page, "ed_save", "class/evening.json");
  for (const [by, choice, file] of /** @type {[string, number, string][]} */ ([["Ada", 0, "class/a-ada.jsonl"], ["Ben", 1, "class/b-ben.jsonl"]])) {
    await page.click('nav [data-view="editor"]');
    await page.waitForSelector('.ed-state[data-sound="yes"]:has-text("No faults")');
    await page.click('[data-action="ed_try"]');
    await take(page, by, choice);
    await save(page, "save_record", file);
    await page.click('.ex-result [data-action="leave_exercise"]');
  }
  const ben = readFileSync(join(folder, "class/b-ben.jsonl"), "utf8");
  const better = ben.replace('"chosen":[1]', '"chosen":[0]');
  assert.notEqual(better, ben);
  writeFileSync(join(folder, "class/c-edited.jsonl"), better);

  await page.click('nav [data-view="review"]');
  await page.setInputFiles('[data-action="rev_folder"]', join(folder, "class"));
  await page.waitForFunction(() => /verified in/.test(document.querySelector(".rev-state")?.textContent ?? ""));
  const text = (/** @type {string} */ file) => page.innerText(`tr[data-record="class/${file}"]`);
  assert.match(await text("a-ada.jsonl"), /Ada[^]*● verified[^]*100\.0/);
  assert.match(await text("b-ben.jsonl"), /Ben[^]*● verified[^]*\b0\.0/);
  assert.match(await text("c-edited.jsonl"), /edited, minute \d+[^]*No points are given/);
  assert.match((await page.innerText(".rev-given")).replace(/\s+/g, " "), /1× ✓ right The output rises 1× ✕ wrong The output falls|1× ✕ wrong The output falls 1× ✓ right The output rises/);
  const [download] = await Promise.all([page.waitForEvent("download"), page.click('[data-action="rev_csv"]')]);
  const files = ["a-ada", "b-ben", "c-edited"].map((name) => `class/${name}.jsonl`);
  const wanted = execFileSync(shellPath(), ["grade", ...files, "--csv", "--exercise", "class/evening.json"], { cwd: folder });
  assert.ok(readFileSync(await download.path()).equals(wanted), String(wanted));
  // The record's debrief, of a plant that need not be the one that runs.
  await page.click('.rev-matrix tbody button');
  await page.waitForSelector(".rev-paper .rev-timeline li");
  await told(page, ".rev-paper", /The output falls[^]*Steam that was extracted works on/);
  await close();
});
