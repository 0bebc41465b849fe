// Every view at 200 % of the reference laptop (683 px) and at 320 px, WCAG 2.2's measure of reflow (1.4.10): nothing runs out
// sideways, nothing to be pressed is smaller than 24 px (2.5.8), the focus is seen; and with the system's own colours.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { launch, LONG, open, served } from "./helpers.mjs";

const VIEWS = ["climb", "sheet", "heater", "trends", "balance", "alarms", "editor", "exercise", "desk", "review"];
/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launch()));
after(() => browser.close());

/** @param {import("playwright-core").Page} page @param {string} view */
async function turn(page, view) {
  await page.click(`nav [data-view="${view}"]`);
  await page.waitForSelector(`body[data-view="${view}"]`);
  await page.waitForTimeout(300);
}

for (const [width, height] of /** @type {const} */ ([[683, 384], [320, 640]])) {
  test(`${width} px wide: nothing sideways, nothing too small to press`, { timeout: LONG }, async () => {
    const { page, close } = await open(browser, served, { viewport: { width, height } });
    for (const view of VIEWS) {
      await turn(page, view);
      const { wide, small } = await page.evaluate(() => {
        const targets = document.querySelectorAll("button, a[href], input, select, summary, [role=button], [role=tab]");
        const small = [...targets].flatMap((el) => {
          // Figures in running text and shapes in a picture are the exceptions that the criterion names; a box is pressed by its label.
          if (el.closest("svg, .visually-hidden, dialog:not([open])") || el.matches("[data-signal], .visually-hidden")) return [];
          const box = (el.closest("label") ?? el).getBoundingClientRect();
          return box.width > 0 && (box.width < 24 || box.height < 24) ? [`${el.outerHTML.slice(0, 90)} ${box.width.toFixed(0)} x ${box.height.toFixed(0)}`] : [];
        });
        return { wide: document.documentElement.scrollWidth, small };
      });
      assert.ok(wide <= width, `${view} is ${wide} px wide`);
      assert.deepEqual(small, [], view);
    }
    await close();
  });
}

test("the focus is seen on whatever takes it, in each view", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  await page.click('[data-action="freeze"]');
  for (const view of VIEWS) {
    await turn(page, view);
    for (let press = 0; press < 25; press += 1) {
      await page.keyboard.press("Tab");
      const dull = await page.evaluate(() => {
        const el = document.activeElement;
        if (!el || el === document.body) return null;
        // A shape in a picture has a ring of its own, a hidden box the label's.
        const shown = el.matches(".visually-hidden, .choice input, .segmented input") ? (el.nextElementSibling ?? el.parentElement) : el instanceof SVGElement ? (el.querySelector(".ring, .zone") ?? el) : el;
        if (!shown) return null;
        const style = getComputedStyle(shown);
        const ring = style.outlineStyle !== "none" && Number.parseFloat(style.outlineWidth) >= 1.5;
        const drawn = shown.matches(".ring, .zone") && style.stroke !== "none";
        return ring || drawn || style.boxShadow !== "none" ? null : el.outerHTML.slice(0, 140);
      });
      assert.equal(dull, null, view);
    }
  }
  await close();
});

test("with colours forced by the system, what is chosen and what is drawn can be told", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served, { forcedColors: "active", colorScheme: "dark" });
  const of = (/** @type {string} */ selector, /** @type {string} */ property) =>
    page.$eval(selector, (el, property) => getComputedStyle(el).getPropertyValue(property), property);
  const ground = await of("body", "background-color");
  assert.notEqual(await of('[data-speed="1"]', "background-color"), await of('[data-speed="60"]', "background-color"));
  for (const [selector, property] of [[".climb .heater-name", "fill"], [".climb .shell", "stroke"], [".climb path.water", "stroke"]])
    assert.notEqual(await of(selector ?? "", property ?? ""), ground, selector);
  await close();
});
