// Words and figures in the pictures: none over another, none cut by the picture's edge, at the sizes the page is made for; and
// what an upset began with stays in sight.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { launch, LONG, open, served, told, until } from "./helpers.mjs";

/** Letters may come this near (px): their boxes are taller than they are. */
const NEAR = 1;

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launch()));
after(() => browser.close());

/** What lies over something else or outside its picture, in words. @param {import("playwright-core").Page} page */
const clashes = (page) =>
  page.evaluate((near) => {
    /** @type {string[]} */
    const found = [];
    for (const picture of document.querySelectorAll("main:not([hidden]) svg.picture")) {
      const frame = picture.getBoundingClientRect();
      const boxes = [...picture.querySelectorAll("text")].flatMap((text) =>
        [...(text.childElementCount ? text.children : [text])].flatMap((part) => {
          const { left, right, top, height, width } = part.getBoundingClientRect();
          if (width < 1 || !part.textContent?.trim() || getComputedStyle(part).visibility !== "visible") return [];
          return [{ text, words: part.textContent, left: left + near, right: right - near, top: top + height * 0.2 + near, foot: top + height * 0.8 - near }];
        }),
      );
      boxes.forEach((a, at) => {
        if (a.left < frame.left - 2 || a.right > frame.right + 2 || a.top < frame.top - 2 || a.foot > frame.bottom + 2) found.push(`${a.words} leaves the picture`);
        for (const b of boxes.slice(at + 1))
          if (a.text !== b.text && a.left < b.right && b.left < a.right && a.top < b.foot && b.top < a.foot) found.push(`${a.words} over ${b.words}`);
      });
    }
    return found;
  }, NEAR);

for (const [width, height] of /** @type {const} */ ([[1366, 768], [1280, 720], [390, 844]]))
  test(`${width} x ${height}: no label over another, at rest and while a heater trips`, { timeout: LONG }, async () => {
    const { page, close } = await open(browser, served, { viewport: { width, height }, reducedMotion: "reduce" });
    await page.click('[data-action="freeze"]');
    const look = async (/** @type {string} */ state) => {
      for (const view of ["climb", "sheet", "heater"]) {
        await page.click(`nav [data-view="${view}"]`);
        await page.waitForSelector(`body[data-view="${view}"]`);
        await page.waitForTimeout(400);
        assert.deepEqual(await clashes(page), [], `${view}, ${state}`);
      }
      await page.click('nav [data-view="climb"]');
    };
    await look("at rest");
    await page.click('[data-action="trip_heater"][data-heater="hp1"]');
    await page.click('[data-speed="30"]');
    for (const seconds of [25, 90]) {
      await page.click('[data-action="run"]');
      await until(page, seconds);
      await page.click('[data-action="freeze"]');
      await look(`${seconds} s after the trip`);
    }
    // Who looks later still sees what began it, and what came of it.
    const began = /HP 1 tripped by the operator/;
    await told(page, ".story", new RegExp(`${began.source}\\s+\\S+ ago: feedwater .* colder, output .* higher`));
    await page.waitForFunction((began) => {
      const list = document.querySelector(".event-list")?.getBoundingClientRect();
      const seen = (/** @type {Element} */ el) => {
        const box = el.getBoundingClientRect();
        return box.height > 0 && new RegExp(began).test(el.textContent ?? "") && (el.matches("p") || (list !== undefined && box.top < list.bottom && box.bottom > list.top));
      };
      return [...document.querySelectorAll(".event-began:not([hidden]), .event-list li")].some(seen);
    }, began.source);
    // The list ends with a whole row: none is cut by what stands under it.
    await page.waitForFunction(() => {
      const list = document.querySelector(".event-list");
      const foot = list?.getBoundingClientRect().bottom ?? 0;
      const rows = [...(list?.children ?? [])].map((row) => row.getBoundingClientRect());
      return rows.length > 0 && !rows.some(({ top, bottom }) => top < foot - 1 && bottom > foot + 1);
    });
    await close();
  });
