// By hand at the valve: somebody is sent, is heard of, holds the valve and hands it back; and what a heater out of service
// cannot be judged by is not shown as if it could.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { accessibilityFaults, launch, LONG, open, served, singleFile, told } from "./helpers.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launch()));
after(() => browser.close());

/** @param {import("playwright-core").Page} page @param {string} text */
const happened = (page, text) =>
  page.waitForFunction((text) => [...document.querySelectorAll(".event-list li")].some((li) => li.textContent?.includes(text)), text);

test("by keyboard alone an emergency drain is shut at the valve, held, and handed back", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await page.keyboard.press("2");
  await page.waitForSelector("#card-hp2:visible");
  await page.focus("#card-hp2 .local summary");
  await page.keyboard.press("Enter");
  await page.keyboard.press("Tab");
  // By its first letters, as a list is used.
  await page.keyboard.type("Emer");
  await page.keyboard.press("Tab");
  await page.keyboard.type("40");
  await page.keyboard.press("Tab");
  assert.equal(await page.evaluate(() => document.activeElement?.getAttribute("data-valve")), "emergency_drain");
  await page.keyboard.press("Enter");
  await happened(page, "on the way to the valve");
  await page.waitForSelector("#card-hp2 .local-left:visible");
  assert.deepEqual(await accessibilityFaults(page), []);
  // There is one person.
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => /busy for \d+ s/.test(document.querySelector("#card-hp2 .local .refusal")?.textContent ?? ""));

  await page.click('[data-speed="60"]');
  await happened(page, "turned by hand to 40.0 %");
  await page.waitForFunction(() => document.querySelector("#hand-hp2-emergency")?.value === "40");
  await page.waitForSelector('#card-hp2 [data-hand-back="emergency_drain"]');
  await told(page, "#card-hp2 .local summary", /1 in hand/);
  await told(page, "#card-hp2 .local-held", /Emergency drain:\s*40\.0 %/);
  assert.equal(await page.locator("#card-hp1 .local-held li").count(), 0, "another heater's card shows none of it");
  await page.waitForSelector("#card-hp2 .local-left", { state: "hidden" });

  await page.focus('#card-hp2 [data-hand-back="emergency_drain"]');
  await page.keyboard.press("Enter");
  await happened(page, "handed back to its drive");
  await page.waitForSelector('#card-hp2 [data-hand-back="emergency_drain"]', { state: "detached" });
  // The focus is not lost with the button.
  assert.equal(await page.evaluate(() => document.activeElement?.getAttribute("data-action")), "local_valve");
  // Nobody holds it any more: its controller shuts it.
  await page.waitForFunction(() => Number(document.querySelector('[data-signal="hp2.emergency_drain_flow"]')?.getAttribute("data-value")) < 0.01);
  await close();
});

test("what is no position is refused, and an exercise that does not leave it to the trainee locks it", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, singleFile);
  await page.click("#card-hp1 .local summary");
  for (const [typed, why] of [["", /not a number/], ["140", /1\.4 is not a valve position/]]) {
    await page.fill("#card-hp1 .local input", String(typed));
    await page.click("#card-hp1 .local-ask button");
    await told(page, "#card-hp1 .local .refusal", /** @type {RegExp} */ (why));
  }
  await page.click('.rail [data-view="exercise"]');
  await page.click('[data-exercise="heater-trip"]');
  await page.click('[data-action="begin_exercise"]');
  await page.click('.rail [data-view="climb"]');
  await page.waitForSelector('#card-hp1 .local-ask [data-action="local_valve"][data-locked]', { state: "attached" });
  await close();
});

for (const [language, water, cooler] of [["en", "no water", "no cooler"], ["de", "kein Wasser", "kein Kühler"]]) {
  test(`${language}: TTD and DCA of a heater out of service give way to the reason, in every view`, { timeout: LONG }, async () => {
    const { page, close } = await open(browser, served, { locale: language });
    const card = (/** @type {string} */ gap) => page.innerText(`#card-hp1 [data-signal="hp1.${gap}"]`);
    assert.match(await card("ttd"), /^[+−]?[\d.,]+ K$/);
    await page.click('[data-action="trip_heater"][data-heater="hp1"]');
    await page.click('[data-speed="60"]');
    await page.waitForFunction((water) => document.querySelector('#card-hp1 [data-signal="hp1.ttd"]')?.textContent === `– ${water}`, water);
    assert.equal(await card("dca"), `– ${water}`);
    const spoken = await page.getAttribute('[data-pick="hp1"]', "aria-label");
    assert.ok(spoken?.includes(`– (${water})`), spoken ?? "no name");
    // The climb draws no gap; the others keep theirs.
    assert.equal(await page.locator('.climb [data-signal="hp1.ttd"]:visible').count(), 0);
    assert.equal(await page.locator('.climb [data-signal="hp2.ttd"]:visible').count(), 1);
    await page.click('#card-hp1 [data-signal="hp1.ttd"]');
    await page.waitForFunction((water) => document.querySelector("dialog.working .wk-value")?.textContent?.includes(water), water);
    await page.keyboard.press("Escape");
    await page.goto(`${served}?plant=drum60`);
    await page.waitForFunction(() => document.body.dataset.ready === "true");
    const without = await page.evaluate((text) => [...document.querySelectorAll('.card [data-signal$=".dca"]')].filter((el) => el.textContent === `– ${text}`).length, cooler);
    const kinds = await page.locator(".card .kind").evaluateAll((all) => all.map((one) => one.textContent ?? ""));
    const closed = kinds.filter((kind) => /condens|Kondens/i.test(kind));
    const cooled = closed.filter((kind) => /drain cool|Kondensatkühl/i.test(kind));
    assert.equal(without, closed.length - cooled.length, kinds.join(" | "));
    await close();
  });
}

test("a trainee's copy closes the workings and balances that show what no instrument does", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, `${served}?trainee`);
  const show = async (/** @type {string} */ id) => {
    await page.keyboard.press("w");
    await page.selectOption("dialog.working select >> nth=0", id.split(".")[0] ?? "");
    await page.selectOption("dialog.working select >> nth=1", id);
    await page.click("dialog.working .wk-other button");
    await page.waitForTimeout(300);
    const [told, shown] = [await page.innerText("dialog.working .refusal"), await page.innerText("dialog.working .wk-value")];
    const books = await page.locator("dialog.working .wk-closed").count();
    await page.keyboard.press("Escape");
    await page.waitForSelector("dialog.working", { state: "hidden" });
    return { told, shown, books };
  };
  for (const id of ["hp1.level_true", "hp1.leak_flow"]) {
    const { told, shown } = await show(id);
    assert.match(told, /closed in a trainee's copy/, id);
    assert.equal(shown, "", id);
  }
  const open_ = await show("hp1.ttd");
  assert.equal(open_.told, "");
  assert.match(open_.shown, /K/);
  assert.equal(open_.books, 1, "the balance says why it is closed");
  await close();
});
