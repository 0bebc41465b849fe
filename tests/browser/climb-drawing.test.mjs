// The drawing of the climb in five states of the plant, held to drawings that were looked at and kept in `climb/`.
//
// What is compared is what is drawn, shape by shape, not pixels: on another machine letters are drawn otherwise, lines are
// not. Where it differs, the shapes are listed, and both drawings lie in target/climb to be opened side by side.
//
// BLEDSTEAM_RENEW_CLIMB=1 keeps the drawings as they are now; look at each before it is committed.

import assert from "node:assert/strict";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { after, before, test } from "node:test";
import { fileURLToPath } from "node:url";
import { launch, LONG, open, served } from "./helpers.mjs";

/** The picture's size (px), whatever the letters around it take. */
const SIZE = { width: 940, height: 600 };
/** A shape may stand this far from where it was (px): less than an eye sees move, more than rounding and small changes of the model. */
const NEAR = 1.5;
/** A figure in a text may differ by this share, or by two of its last digits. */
const SHARE = 0.02;
/** Shapes that are listed when a drawing differs. */
const MOST = 12;

/** @typedef {import("playwright-core").Page} Page */
/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launch()));
after(() => browser.close());

/** Runs the frozen plant to a moment, to the step. @param {Page} page @param {string} time  h:mm:ss @param {number} seconds */
async function to(page, time, seconds) {
  await page.click('nav [data-view="desk"]');
  await page.fill("#desk-time", time);
  await page.click('[data-desk="go"]');
  await page.waitForFunction((seconds) => Number(document.querySelector(".desk-strip")?.getAttribute("data-time")) === seconds, seconds);
  await page.click('nav [data-view="climb"]');
  // Keys act on the view that is shown: the address changes a moment before it.
  await page.locator(".climb svg").first().waitFor();
}

/** Each begins with the plant at rest at its first moment. @type {Record<string, (page: Page) => Promise<void>>} */
const STATES = {
  "at-rest": async () => {},
  "heater-tripping": async (page) => {
    await page.click('[data-action="trip_heater"][data-heater="hp1"]');
    await to(page, "0:00:45", 45);
  },
  "heater-out": async (page) => {
    await page.click('[data-action="trip_heater"][data-heater="hp1"]');
    await to(page, "0:15:00", 900);
  },
  "steam-shut": async (page) => {
    await page.keyboard.press("6");
    await page.click('[data-action="isolate_extraction"][data-heater="lp6"]');
    await to(page, "0:15:00", 900);
  },
  "drains-shut": async (page) => {
    await page.keyboard.press("2");
    for (const valve of ["normal", "emergency"]) {
      await page.fill(`[data-action="move_drain"][data-heater="hp2"][data-valve="${valve}"]`, "0");
      await page.keyboard.press("Enter");
    }
    await to(page, "0:00:20", 20);
  },
};

/** What is drawn, one shape a line, as a drawing that can be opened. @param {Page} page */
const drawn = (page) =>
  page.evaluate(({ width, height }) => {
    const kept = ["class", "d", "x", "y", "width", "height", "rx", "cx", "cy", "r", "x1", "y1", "x2", "y2", "dy", "transform", "text-anchor"];
    const states = ["data-mode", "data-flow", "data-sign", "data-weight", "data-picked"];
    /** @type {string[]} */
    const lines = [];
    const escape = (/** @type {string} */ text) => text.replace(/[&<>"]/g, (c) => `&#${c.charCodeAt(0)};`);
    const walk = (/** @type {Element} */ el, /** @type {string} */ indent) => {
      if (el.getAttribute("display") === "none" || el.getAttribute("visibility") === "hidden" || el.hasAttribute("hidden") || ["defs", "title", "clipPath"].includes(el.tagName)) return;
      const attributes = [...kept, ...states].flatMap((name) => (el.hasAttribute(name) ? [` ${name}="${escape(el.getAttribute(name) ?? "")}"`] : [])).join("");
      const text = [...el.childNodes].filter((node) => node.nodeType === Node.TEXT_NODE).map((node) => node.textContent).join("");
      if (el.childElementCount === 0) lines.push(`${indent}<${el.tagName}${attributes}>${escape(text)}</${el.tagName}>`);
      else {
        lines.push(`${indent}<${el.tagName}${attributes}>`);
        for (const kid of el.children) walk(kid, `${indent} `);
        lines.push(`${indent}</${el.tagName}>`);
      }
    };
    const picture = document.querySelector(".climb svg");
    if (!picture) throw new Error("there is no climb");
    for (const kid of picture.children) walk(kid, " ");
    const style = "*{fill:none;stroke:#345;font:11px sans-serif}text,tspan{fill:#123;stroke:none}.hit,.ring{stroke:none}";
    return [`<svg xmlns="http://www.w3.org/2000/svg" viewBox="${picture.getAttribute("viewBox")}" width="${width}" height="${height}"><style>${style}</style>`, ...lines, "</svg>", ""].join("\n");
  }, SIZE);

const NUMBER = /[+−-]?\d+(?:\.\d+)?/g;
/** A line with its numbers taken out, and these. @param {string} line */
const apart = (line) => ({ form: line.replace(NUMBER, "#"), numbers: [...line.matchAll(NUMBER)].map(([text]) => text) });

/** Whether two numbers are the same for this purpose. @param {string} a @param {string} b @param {boolean} text */
function near(a, b, text) {
  const [x, y] = [a, b].map((one) => Number(one.replace("−", "-")));
  const off = Math.abs((x ?? NaN) - (y ?? NaN));
  if (!text) return off <= NEAR;
  const digit = 10 ** -(b.split(".")[1]?.length ?? 0);
  return off <= Math.max(2.001 * digit, SHARE * Math.abs(y ?? 0));
}

/** Lines that differ, each with what was wanted. @param {string} got @param {string} wanted */
export function differences(got, wanted) {
  const [a, b] = [got.split("\n"), wanted.split("\n")];
  /** @type {string[]} */
  const found = [];
  for (let at = 0; at < Math.max(a.length, b.length); at += 1) {
    const [mine, theirs] = [a[at] ?? "(nothing)", b[at] ?? "(nothing)"];
    const [one, other] = [apart(mine), apart(theirs)];
    if (one.form !== other.form) {
      // From here on the lines need not belong together.
      found.push(`line ${at + 1}: drawn ${mine.trim()}\n   wanted ${theirs.trim()}\n   another shape or word: what follows is not compared`);
      break;
    }
    const words = mine.indexOf(">");
    const inText = [...mine.matchAll(NUMBER)].map(({ index }) => index > words);
    if (!one.numbers.every((number, k) => near(number, other.numbers[k] ?? "", inText[k] ?? false))) found.push(`line ${at + 1}: drawn ${mine.trim()}\n   wanted ${theirs.trim()}`);
  }
  return found;
}

test("a shape that moved, a figure that changed and a shape that is gone are found, and noise is not", () => {
  const was = ' <rect class="shell" x="10" y="20.5"></rect>\n <text x="1" y="2">271.3</text>';
  assert.deepEqual(differences(was.replace("20.5", "21.4").replace("271.3", "271.1"), was), []);
  assert.equal(differences(was.replace("20.5", "24"), was).length, 1);
  assert.equal(differences(was.replace("271.3", "244.1"), was).length, 1);
  assert.equal(differences(was.replace("shell", "ghost").replace("271.3", "0"), was).length, 1);
});

for (const [name, scene] of Object.entries(STATES)) {
  test(`the climb, ${name}`, { timeout: LONG }, async () => {
    const { page, close } = await open(browser, served, { locale: "en", reducedMotion: "reduce" });
    await page.click('[data-action="freeze"]');
    await to(page, "0:00:00", 0);
    await scene(page);
    await page.evaluate(({ width, height }) => {
      const picture = document.querySelector(".climb svg");
      if (picture instanceof SVGElement) Object.assign(picture.style, { position: "fixed", left: "0", top: "0", width: `${width}px`, height: `${height}px` });
    }, SIZE);
    await page.waitForFunction(({ width, height }) => {
      const box = document.querySelector(".climb svg")?.getAttribute("viewBox")?.split(" ").map(Number);
      return box && Math.abs(box[2] - width) < 1 && Math.abs(box[3] - height) < 1;
    }, SIZE);
    await page.waitForTimeout(700);
    const got = await drawn(page);
    const kept = new URL(`climb/${name}.svg`, import.meta.url);
    if (process.env.BLEDSTEAM_RENEW_CLIMB) {
      mkdirSync(new URL(".", kept), { recursive: true });
      writeFileSync(kept, got);
    }
    const wanted = readFileSync(kept, "utf8");
    const found = differences(got, wanted);
    if (found.length > 0) {
      const folder = new URL("../../target/climb/", import.meta.url);
      mkdirSync(folder, { recursive: true });
      writeFileSync(new URL(`${name}-drawn.svg`, folder), got);
      writeFileSync(new URL(`${name}-wanted.svg`, folder), wanted);
      await page.screenshot({ path: fileURLToPath(new URL(`${name}-page.png`, folder)) });
      assert.fail(`${found.length} shapes differ; both drawings are in ${fileURLToPath(folder)}\n${found.slice(0, MOST).join("\n")}`);
    }
    await close();
  });
}
