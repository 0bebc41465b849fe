// What is printed, on A4 across: a head that says what it is and the caution, dark on white from a dark screen too, nothing cut
// off, nothing to press, and no page more than it takes.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { launch, LONG, open, served, until } from "./helpers.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launch()));
after(() => browser.close());

/** What fits between margins of 9 mm at 96 dpi. */
const PAPER = { width: 1054, height: 725 };

/** Everything that must not be on paper, each in a line. @param {import("playwright-core").Page} page */
const wrong = (page) =>
  page.evaluate((width) => {
    /** @type {string[]} */
    const found = [];
    const light = (/** @type {number[]} */ [r = 0, g = 0, b = 0]) => (0.2126 * r + 0.7152 * g + 0.0722 * b) / 255;
    const rgb = (/** @type {string} */ text) => {
      const figures = (text.match(/[\d.]+/g) ?? []).map(Number);
      return text.startsWith("color(srgb") ? figures.map((one, at) => (at < 3 ? 255 * one : one)) : figures;
    };
    for (const el of document.querySelectorAll("body *")) {
      const box = el.getBoundingClientRect();
      if (box.width === 0 || box.height === 0 || el.closest(".visually-hidden") || !(el instanceof HTMLElement)) continue;
      const style = getComputedStyle(el);
      if (style.visibility === "hidden") continue;
      const name = `${el.tagName.toLowerCase()}.${el.className} “${(el.textContent ?? "").slice(0, 30)}”`;
      if (el.matches("button:not(.link), select, input, textarea")) found.push(`to be pressed: ${name}`);
      const ground = rgb(style.backgroundColor);
      if (ground.length > 0 && (ground[3] ?? 1) > 0.5 && light(ground) < 0.5) found.push(`dark ground: ${name} ${style.backgroundColor}`);
      const words = [...el.childNodes].some((node) => node.nodeType === Node.TEXT_NODE && node.textContent?.trim());
      if (words && light(rgb(style.color)) > 0.55) found.push(`pale words: ${name} ${style.color}`);
      if (box.right > width + 1) found.push(`beyond the paper: ${name} ends at ${Math.round(box.right)} px`);
      if (/auto|scroll|hidden/.test(style.overflowY + style.overflowX) && (el.scrollHeight > el.clientHeight + 3 || el.scrollWidth > el.clientWidth + 3))
        found.push(`cut off: ${name}`);
      if (el instanceof HTMLCanvasElement && el.width > 0) {
        const { data } = el.getContext("2d")?.getImageData(0, 0, el.width, el.height) ?? { data: [] };
        let [dark, pale, drawn] = [0, 0, 0];
        for (let at = 0; at < data.length; at += 4) {
          if ((data[at + 3] ?? 0) < 200) continue;
          drawn += 1;
          const bright = light([data[at] ?? 0, data[at + 1] ?? 0, data[at + 2] ?? 0]);
          if (bright < 0.25) dark += 1;
          if (bright > 0.75) pale += 1;
        }
        // On white a grid is pale: drawn for a dark ground, it would be the darkest there is.
        if (drawn === 0 || dark > pale) found.push(`drawn for a dark ground: ${name}, ${dark} dark and ${pale} pale of ${drawn}`);
      }
    }
    return found;
  }, PAPER.width);

test("every printed view: its head and caution, dark on white, nothing cut, no more pages than it takes", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served, { colorScheme: "dark", locale: "en" });
  await page.click('[data-action="trip_heater"][data-heater="hp1"]');
  await page.click('[data-speed="60"]');
  await until(page, 150);
  await page.click('[data-action="freeze"]');
  const shown = await page.getAttribute("html", "data-theme");
  assert.equal(shown, "dark");
  /** @param {string} view @param {number} most pages @param {RegExp} head */
  async function check(view, most, head) {
    const pdf = (await page.pdf({ preferCSSPageSize: true })).toString("latin1");
    const pages = pdf.match(/\/Type \/Page\b/g)?.length ?? 0;
    assert.ok(pages >= 1 && pages <= most, `${view}: ${pages} pages`);
    assert.equal(await page.getAttribute("html", "data-theme"), "dark", `${view}: the screen keeps its theme`);
    await page.evaluate(() => void dispatchEvent(new Event("beforeprint")));
    await page.emulateMedia({ media: "print" });
    await page.setViewportSize(PAPER);
    assert.deepEqual(await wrong(page), [], view);
    const said = await page.innerText(".paper-title");
    assert.match(said, head);
    assert.match(said, /A training aid of invented plants\. Not for operating, protecting or designing a real unit\./);
    await page.emulateMedia({ media: null });
    await page.setViewportSize({ width: 1366, height: 768 });
    await page.evaluate(() => void dispatchEvent(new Event("afterprint")));
    assert.ok(!(await page.isVisible(".paper-title")), "the head is for paper alone");
  }
  const turn = (/** @type {string} */ view) => page.click(`nav [data-view="${view}"]`);
  await check("climb", 1, /Ostrey Haven, unit 1 · Climb\s+Plant time 0:0\d:\d\d · printed .*20\d\d/);
  for (const [view, most] of /** @type {const} */ ([["sheet", 1], ["heater", 1], ["trends", 1], ["alarms", 2]])) {
    await turn(view);
    if (view === "trends") await page.waitForSelector(".trends-main .u-over");
    await page.waitForTimeout(400);
    await check(view, most, /Plant time/);
  }
  await turn("balance");
  await page.waitForSelector('.paper[data-solved="yes"]');
  await page.waitForTimeout(300);
  await check("balance", 3, /· Balance\s+printed/);
  await turn("exercise");
  await page.click('[data-exercise="heater-trip"]');
  await page.click('[data-action="begin_exercise"]');
  await page.click('[data-prediction="output"] [data-way="down"]');
  await page.click('[data-action="hand_in"]');
  await page.click('[data-answer="yes"]');
  await page.waitForSelector(".ex-debrief[data-drawn]");
  await check("debrief", 4, /· The top heater trips\s+Plant time/);
  await close();
});
