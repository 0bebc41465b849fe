// One whole exercise with the mouse alone: open, draw, foresee, act, answer, hand in, save, drop the record into the review.
// No key is pressed and no field is filled from outside.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, before, test } from "node:test";
import { launch, LONG, open, served } from "./helpers.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launch()));
after(() => browser.close());

test("by mouse alone: draw, foresee, act, answer, hand in, save, and drop the record into the review", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  // A key pressed anywhere would be a cheat.
  await page.evaluate(() => addEventListener("keydown", () => (document.body.dataset.key = "pressed"), true));
  const { mouse } = page;
  await page.click('.rail [data-view="exercise"]');
  await page.click('[data-exercise="heater-trip"]');
  await page.click('[data-action="begin_exercise"]');

  // The curve: level for a quarter of a minute, then down by 27 K in two minutes, and level.
  const chart = page.locator('[data-prediction="feedwater"] .u-over');
  await chart.scrollIntoViewIfNeeded();
  const box = await chart.boundingBox();
  assert.ok(box);
  const { top, perK, left, perS } = await page.evaluate(() => {
    const slider = /** @type {HTMLElement} */ (document.querySelector('[data-prediction="feedwater"] [role="slider"]'));
    const [low, high] = [Number(slider.ariaValueMin), Number(slider.ariaValueMax)];
    const over = /** @type {HTMLElement} */ (slider.querySelector(".u-over")).getBoundingClientRect();
    // A third of the window lies before the moment: 120 s of 480 s.
    return { top: high, perK: over.height / (high - low), left: over.width / 4, perS: over.width / 480 };
  });
  const at = (/** @type {number} */ s, /** @type {number} */ t) => /** @type {const} */ ([box.x + left + s * perS, box.y + (top - t) * perK]);
  await mouse.move(...at(0, 271));
  await mouse.down();
  for (const [s, t] of [[15, 271], [30, 268], [60, 255], [90, 247], [120, 244], [350, 244]]) await mouse.move(...at(Number(s), Number(t)), { steps: 8 });
  await mouse.up();
  await page.click('[data-prediction="feedwater"] [data-action="predict"]');
  await page.click('[data-prediction="output"] [data-way="up"]');
  await page.click('[data-prediction="next-steam"] [data-way="up"]');

  await page.click('[data-speed="60"]');
  await page.click('[data-action="ex_run"]');
  await page.waitForFunction(() => Number(document.querySelector('[data-signal="unit.time"]')?.getAttribute("data-value")) > 182);
  await page.click('.bar [data-action="freeze"]');
  await page.waitForFunction(() => /HP 1 has tripped/.test(document.querySelector(".ex-notes")?.textContent ?? ""));

  // Less load, in whichever view one looks at: roughly by its slider, then by the arrows that a number shows under the pointer.
  await page.click('.rail [data-view="climb"]');
  await page.waitForSelector('body[data-view="climb"]');
  const track = await page.locator("#load-slider").boundingBox();
  const number = await page.locator("#load-number").boundingBox();
  assert.ok(track && number);
  const load = async () => Number(await page.inputValue("#load-number"));
  await mouse.click(track.x + track.width * 0.7, track.y + track.height / 2);
  const rough = await load();
  assert.ok(rough < 100 && rough > 60, `the slider asks for ${rough} %`);
  for (let presses = 0; presses < 80 && (await load()) !== 96; presses += 1)
    await mouse.click(number.x + number.width - 9, number.y + number.height / 2 + ((await load()) < 96 ? -5 : 5));
  assert.equal(await load(), 96);
  await page.click(".strip .ex-back");
  await page.click('[data-action="ex_run"]');
  await page.waitForFunction(() => Number(document.querySelector('[data-signal="unit.time"]')?.getAttribute("data-value")) > 560);
  await page.click('.bar [data-action="freeze"]');
  for (const [id, choice] of [["first", 1], ["fuel", 1]]) {
    await page.locator(`[data-question="${id}"] label`).nth(Number(choice)).click();
    await page.click(`[data-question="${id}"] [data-action="answer"]`);
    await page.waitForSelector(`[data-question="${id}"][data-made]`);
  }
  await page.click('[data-action="hand_in"]');
  await page.click('[data-answer="yes"]');
  await page.waitForSelector(".ex-debrief[data-drawn]");
  const total = Number(await page.getAttribute(".ex-total", "data-total"));
  const [saved] = await Promise.all([page.waitForEvent("download"), page.click('[data-action="save_record"]')]);
  const record = readFileSync(await saved.path(), "utf8");
  await page.click('.ex-result [data-action="leave_exercise"]');
  await page.waitForSelector(".ex-records [data-over]");

  await page.click('.rail [data-view="review"]');
  // A file that the mouse carries over the page and lets go.
  const carried = await page.evaluateHandle(([name, text]) => {
    const transfer = new DataTransfer();
    transfer.items.add(new File([text], name));
    return transfer;
  }, /** @type {const} */ ([saved.suggestedFilename(), record]));
  for (const kind of ["dragenter", "dragover", "drop"]) await page.dispatchEvent(".review", kind, { dataTransfer: carried });
  await page.waitForSelector('tr[data-verdict="reproduced"]');
  const row = await page.innerText('tr[data-verdict="reproduced"]');
  assert.ok(row.includes(total.toFixed(1)), `${row} instead of ${total}`);
  await page.click('tr[data-verdict="reproduced"] button');
  await page.waitForSelector(".rev-paper .rev-timeline li");
  assert.equal(await page.evaluate(() => document.body.dataset.key), undefined);
  assert.ok(total > 95, `${total} points`);
  await close();
});

test("by mouse alone: a number is stepped to, and goes on while the button is held", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await page.click('.rail [data-view="exercise"]');
  await page.click('[data-exercise="middle-extraction"]');
  await page.click('[data-action="begin_exercise"]');
  const asked = page.locator('article[data-prediction="final"]');
  const less = asked.locator('[data-step="less"]');
  const shown = async () => Number(await asked.locator("input").inputValue());
  // It begins at what the plant shows.
  await less.click();
  const first = await shown();
  assert.ok(first > 250 && first < 290, `${first}`);
  await less.click();
  assert.ok(Math.abs((await shown()) - first + 0.1) < 1e-6);
  await less.hover();
  await page.mouse.down();
  await page.waitForFunction((limit) => Number(/** @type {HTMLInputElement} */ (document.querySelector('[data-prediction="final"] input')).value) < limit, first - 8);
  await page.mouse.up();
  const stopped = await shown();
  await page.waitForTimeout(300);
  assert.equal(await shown(), stopped);
  await asked.locator('[data-action="give_number"]').click();
  await page.waitForSelector('[data-prediction="final"][data-made]');
  assert.ok((await asked.innerText()).includes(`You said: ${stopped.toFixed(1)}`));
  await close();
});
