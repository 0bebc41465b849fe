// Files that cannot be opened, given to every view that takes files: each says what it is, where it is broken and what to do,
// and leaves what was there as it was.

import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { launch, LONG, open, served, shellPath, told } from "./helpers.mjs";

const { strToU8, zipSync } = createRequire(new URL("../../www/package.json", import.meta.url))("fflate");
const shipped = (/** @type {string} */ path) => readFileSync(new URL(`../../crates/catalog/${path}.json`, import.meta.url), "utf8");

/** @type {import("playwright-core").Browser} */
let browser;
/** @type {string} */
let record;
before(async () => {
  browser = await launch();
  const folder = mkdtempSync(join(tmpdir(), "bledsteam-files-"));
  const file = join(folder, "record.jsonl");
  execFileSync(shellPath(), ["exercise", "take", "where-heat-comes-from", "--run", "model", "--by", "Bo", "--out-file", file], { stdio: "ignore" });
  record = readFileSync(file, "utf8");
  rmSync(folder, { recursive: true });
});
after(() => browser.close());

/** What is given, and what is said of it. @returns {Record<string, { is: string | Buffer, said: RegExp }>} */
function broken() {
  const exercise = shipped("exercises/heater-trip");
  const lines = exercise.slice(0, 1500).split("\n").length;
  return {
    "cut.json": { is: exercise.slice(0, 1500), said: new RegExp(`ends in the middle, in line ${lines}: .*download it once more`) },
    "comma.json": { is: exercise.replace('"id": "heater-trip",', '"id": "heater-trip"'), said: /From line 4, column \d+ .*A comma/ },
    "empty.json": { is: "", said: /file is empty\. Save it once more/ },
    "photo.json": { is: Buffer.from([0x89, 0x50, 0x4e, 0x47, 0, 255, 254, 0]), said: /holds no text.*Give the file as Bledsteam saved it/ },
    "letter.docx": { is: Buffer.from(zipSync({ "word/document.xml": strToU8("<w/>") })), said: /packed folder \(ZIP\) or an office document/ },
    "debrief.html": { is: "<!doctype html><title>Debrief</title>", said: /page to read, such as a saved debrief.*\.jsonl or \.json/ },
    "notes.txt": { is: "HP 1 tripped at noon", said: /plain text.*Give one ending in/ },
    "other.json": { is: '{"a": 1}', said: /“format” is missing/ },
  };
}
const REST = {
  newer: { name: "newer.json", is: () => shipped("exercises/heater-trip").replace("bledsteam-exercise/1", "bledsteam-exercise/9") },
  plant: { name: "plant.json", is: () => shipped("plants/reheat250") },
};

/** @param {import("playwright-core").Page} page @param {string} input @param {string} name @param {string | Buffer} is */
const give = (page, input, name, is) => page.setInputFiles(input, { name, mimeType: "application/octet-stream", buffer: Buffer.from(is) });

/** Waits for words and gives them. @param {import("playwright-core").Page} page @param {string} where @param {RegExp} wanted @param {string} what */
async function refused(page, where, wanted, what) {
  await page
    .waitForFunction(([where, source]) => new RegExp(source ?? "", "s").test(document.querySelector(where ?? "")?.textContent ?? ""), [where, wanted.source], { timeout: 8000 })
    .catch(async () => assert.fail(`${what}: ${await page.locator(where).first().innerText()} instead of ${wanted}`));
}

test("exercise, editor and desk: what cannot be opened says why, and nothing changes", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  const views = [
    { view: "exercise", input: ".ex-drop input[type=file]", says: ".ex-faults", stays: async () => assert.equal(await page.locator(".ex-list").count(), 1) },
    { view: "editor", input: '[data-action="ed_file"]', says: ".ed-side .refusal", stays: async () => assert.equal(await page.inputValue('[id="ed:title"]'), "My own") },
    { view: "desk", input: "#snap-file", says: ".start .refusal", stays: async () => await told(page, ".start .desk-answer", "") },
  ];
  for (const { view, input, says, stays } of views) {
    await page.click(`.rail [data-view="${view}"]`);
    await page.waitForSelector(`body[data-view="${view}"]`);
    if (view === "editor") await page.fill('[id="ed:title"]', "My own");
    for (const [name, { is, said }] of Object.entries(broken())) {
      await give(page, input, name, is);
      await refused(page, says, new RegExp(`${name.replace(".", "\\.")} was not opened, and nothing has changed.*${said.source}`), `${view}, ${name}`);
      await stays();
    }
    await give(page, input, "run.jsonl", record);
    await refused(page, says, /run\.jsonl was not opened.*It is a record: drop it in Review/, view);
    if (view === "desk") {
      await give(page, input, REST.plant.name, REST.plant.is());
      await refused(page, says, /plant\.json was not opened.*It is a plant: open it under the plant's name/, view);
    }
    await give(page, input, REST.newer.name, REST.newer.is());
    await refused(page, says, /bledsteam-exercise\/9; this page reads bledsteam-exercise\/1/, view);
    await stays();
  }
  // Sound JSON with a field too many is mended in the editor: it cannot be seen in a form, so it is taken out.
  await page.click('.rail [data-view="editor"]');
  await give(page, '[data-action="ed_file"]', "hand.json", JSON.stringify({ ...JSON.parse(shipped("exercises/heater-trip")), lenght_s: 3 }));
  await refused(page, ".ed-faults", /lenght_s.*no such field/, "editor, by hand");
  await page.click('[data-action="ed_take_out"]');
  await page.waitForSelector('.ed-state[data-sound="yes"]:has-text("No faults")');
  // The exercise that was written before comes back.
  await page.click('[data-action="ed_undo"]');
  await page.click('[data-action="ed_undo"]');
  await page.waitForFunction(() => /** @type {HTMLInputElement | null} */ (document.querySelector('[id="ed:title"]'))?.value === "My own");
  await close();
});

test("review: each broken file says why beside the records that count, a packed folder is unpacked", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await page.click('.rail [data-view="review"]');
  const files = broken();
  const packed = zipSync({ "class/a.jsonl": strToU8(record), "class/read me.txt": strToU8("hello"), "__MACOSX/._a.jsonl": strToU8("x") });
  await page.setInputFiles('[data-action="rev_files"]', [
    ...Object.entries(files).map(([name, { is }]) => ({ name, mimeType: "application/octet-stream", buffer: Buffer.from(is) })),
    { name: "evening.zip", mimeType: "application/zip", buffer: Buffer.from(packed) },
  ]);
  await page.waitForFunction(() => /verified in/.test(document.querySelector(".rev-state")?.textContent ?? ""));
  for (const [name, { said }] of Object.entries(files)) {
    assert.match((await page.innerText(`tr[data-record="${name}"]`)).replace(/\n/g, " "), said, name);
  }
  await told(page, 'tr[data-record="evening.zip/class/a.jsonl"]', /Bo[^]*verified[^]*100\.0/);
  assert.equal(await page.locator("tr[data-record]").count(), Object.keys(files).length + 1);
  await close();
});
