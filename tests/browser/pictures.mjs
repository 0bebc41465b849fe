// Takes the pictures of the README and of the guide anew from the page as it is: `cargo xtask pictures`. With a folder,
// `cargo xtask pictures <folder>`, every scene at the sizes the page is made for, light and dark, to look at.

import { execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { launch, open, served, shellPath, until } from "./helpers.mjs";

/** @typedef {import("playwright-core").Page} Page */

const root = new URL("../../", import.meta.url);
/** Width and height of the README's pictures (px); the guide's are smaller, since they come with every copy of the page. */
const SIZE = { width: 1366, height: 768 };
const GUIDE = { scale: 900 / SIZE.width, quality: 68 };

/** Runs to a plant time and stands still. @param {Page} page @param {number} seconds @param {number} [speed] */
async function run(page, seconds, speed = 60) {
  await page.click(`[data-speed="${speed}"]`);
  if (await page.isVisible('[data-action="run"]')) await page.click('[data-action="run"]');
  await until(page, seconds);
  await page.click('[data-action="freeze"]');
  await page.click('[data-speed="1"]');
}

/** Trips heater 1 after a quiet minute. @param {Page} page */
async function trip(page) {
  await run(page, 60);
  await page.click('[data-action="trip_heater"][data-heater="hp1"]');
}

/** @param {Page} page @param {string} view */
const turn = (page, view) => page.click(`nav [data-view="${view}"]`);

/** Records of a class of six, made by the shell. */
function records() {
  const folder = mkdtempSync(join(tmpdir(), "bledsteam-pictures-"));
  const crew = [["Ada Fenn", "model"], ["Bo Larch", "wrong"], ["Cy Marsh", "nothing"], ["Di Quarry", "model"], ["Ed Thorn", "wrong"], ["Flo Weir", "model"]];
  const files = crew.map(([by, run], at) => {
    const file = join(folder, `${at + 1}.jsonl`);
    execFileSync(shellPath(), ["exercise", "take", "where-heat-comes-from", "--run", run ?? "", "--by", by ?? "", "--out-file", file], { stdio: "ignore" });
    return file;
  });
  return { folder, files };
}

/** Reviews that class. @param {Page} page @param {() => Promise<void>} [then]  while its files are still there */
async function reviewed(page, then) {
  const { folder, files } = records();
  await turn(page, "review");
  await page.setInputFiles('.review input[type="file"]', files);
  await page.waitForFunction(() => /verified in/.test(document.querySelector(".rev-state")?.textContent ?? ""));
  await then?.();
  rmSync(folder, { recursive: true });
}

/** @type {Record<string, { to: string[], scene: (page: Page) => Promise<void> }>} */
const SCENES = {
  before: { to: ["pictures/before"], scene: (page) => run(page, 60) },
  during: {
    to: ["pictures/during", "guide/climb"],
    scene: async (page) => {
      await trip(page);
      await run(page, 120, 10);
    },
  },
  after: {
    to: ["pictures/after"],
    scene: async (page) => {
      await trip(page);
      await page.click('[data-window="15"]');
      await run(page, 720);
    },
  },
  sheet: {
    to: ["guide/sheet"],
    scene: async (page) => {
      await run(page, 30);
      await turn(page, "sheet");
    },
  },
  heater: {
    to: ["guide/heater"],
    scene: async (page) => {
      await run(page, 30);
      await page.keyboard.press("2");
      await page.keyboard.press("o");
    },
  },
  trends: {
    to: ["guide/trends"],
    scene: async (page) => {
      await trip(page);
      await run(page, 720);
      await turn(page, "trends");
      await page.waitForSelector(".trends-main .u-over");
    },
  },
  balance: {
    to: ["pictures/balance", "guide/balance"],
    scene: async (page) => {
      await turn(page, "balance");
      await page.waitForSelector('.paper[data-solved="yes"]');
      await page.locator('label:has(> input[name="bal-hp1"][value="out"])').click();
      await page.waitForTimeout(1500);
    },
  },
  alarms: {
    to: ["guide/alarms"],
    scene: async (page) => {
      await run(page, 60);
      for (const valve of ["normal", "emergency"]) {
        await page.fill(`[data-action="move_drain"][data-heater="hp1"][data-valve="${valve}"]`, "0");
        await page.keyboard.press("Enter");
      }
      await page.click('[data-speed="30"]');
      await page.click('[data-action="run"]');
      await page.waitForSelector('[data-pick="hp1"][data-mode="out"]');
      await page.click('[data-action="freeze"]');
      await turn(page, "alarms");
    },
  },
  desk: {
    to: ["guide/desk"],
    scene: async (page) => {
      await run(page, 120);
      await turn(page, "desk");
      await page.selectOption("#wrong-device", "hp2");
      await page.selectOption("#wrong-kind", { label: "A tube leaks" });
      await page.click('[data-desk="insert"]');
      await page.selectOption("#wrong-device", "hp1");
      await page.selectOption("#wrong-kind", { label: "Level transmitter drifts (control)" });
      await page.fill("#wrong-ramp", "120");
      await page.click('[data-desk="insert"]');
      await run(page, 240);
      await page.locator("main:visible").evaluate((main) => main.scrollTo(0, 0));
    },
  },
  exercise: {
    to: ["guide/exercise"],
    scene: async (page) => {
      await turn(page, "exercise");
      await page.click('[data-exercise="heater-trip"]');
      await page.fill("#ex-by", "Ada Fenn");
      await page.click('[data-action="begin_exercise"]');
      const chart = page.locator('[data-prediction="feedwater"] .u-over');
      await chart.waitFor();
      await chart.scrollIntoViewIfNeeded();
      const box = await chart.boundingBox();
      if (!box) throw new Error("the chart to draw on has no place");
      const at = (/** @type {number} */ share, /** @type {number} */ down) => /** @type {const} */ ([box.x + share * box.width, box.y + down * box.height]);
      await page.mouse.move(...at(0.02, 0.3));
      await page.mouse.down();
      for (let step = 1; step <= 40; step += 1) await page.mouse.move(...at(0.02 + 0.024 * step, 0.3 + 0.45 * (1 - Math.exp(-step / 9))));
      await page.mouse.up();
    },
  },
  editor: {
    to: ["guide/editor"],
    scene: async (page) => {
      await turn(page, "editor");
      await page.waitForSelector(".ed-state");
      await page.selectOption("#ed-from", "middle-extraction");
      await page.click('[data-section="objectives"]');
      await page.waitForTimeout(1000);
    },
  },
  review: { to: ["guide/review"], scene: (page) => reviewed(page) },
  working: {
    to: ["guide/working"],
    scene: async (page) => {
      await trip(page);
      await run(page, 120, 10);
      await page.keyboard.press("2");
      await page.click('#card-hp2 [data-signal="hp2.ttd"]');
      await page.waitForSelector("dialog.working[open]");
    },
  },
  // To look at only.
  exercises: { to: [], scene: (page) => turn(page, "exercise") },
  brief: {
    to: [],
    scene: async (page) => {
      await turn(page, "exercise");
      await page.click('[data-exercise="tube-leak"], [data-exercise="find-the-leak"]');
    },
  },
  task: { to: [], scene: (page) => take(page, 400) },
  strip: {
    to: [],
    scene: async (page) => {
      await take(page, 200);
      await turn(page, "climb");
    },
  },
  debrief: {
    to: ["guide/debrief"],
    scene: async (page) => {
      await take(page, 600);
      await page.click('[data-action="hand_in"]');
      await page.click('[data-answer="yes"]');
      await page.waitForSelector(".ex-debrief[data-drawn]");
    },
  },
  "one-of-class": {
    to: [],
    scene: (page) =>
      reviewed(page, async () => {
        await page.locator(".rev-matrix tbody button").nth(1).click();
        await page.waitForSelector(".rev-paper");
      }),
  },
  local: {
    to: [],
    scene: async (page) => {
      await trip(page);
      await run(page, 90, 10);
      await page.locator("#card-hp1 details summary").evaluateAll((all) => all.forEach((one) => /** @type {HTMLElement} */ (one).click()));
    },
  },
  help: {
    to: [],
    scene: async (page) => {
      await page.keyboard.press("?");
      await page.waitForSelector("dialog.help[open]");
    },
  },
  tank: {
    to: [],
    scene: async (page) => {
      await run(page, 60);
      await page.keyboard.press("4");
      await page.keyboard.press("o");
    },
  },
};

/** Takes the exercise of a heater's trip, with two predictions, up to a time, and stands still. @param {Page} page @param {number} seconds */
async function take(page, seconds) {
  await SCENES["exercise"]?.scene(page);
  await page.click('[data-prediction="feedwater"] [data-action="predict"]');
  await page.click('[data-prediction="output"] [data-way="down"]');
  await page.click('[data-speed="60"]');
  await page.click('[data-action="run"]');
  await page.waitForSelector(".ex-call[data-waits]");
  await page.click('[data-action="go_on"]');
  await page.click('[data-answer="yes"]');
  await page.waitForFunction((end) => /** @type {HTMLProgressElement} */ (document.querySelector(".ex-head progress")).value >= end, seconds);
  if (await page.isVisible('[data-action="freeze"]')) await page.click('[data-action="freeze"]');
}

/**
 * Plays a scene, and leaves the picture as it was, without a pointer or a focus on it.
 * @param {import("playwright-core").Browser} browser
 * @param {string} name
 * @param {import("playwright-core").BrowserContextOptions} options
 */
async function play(browser, name, options) {
  const opened = await open(browser, served, { locale: "en", reducedMotion: "reduce", ...options });
  await SCENES[name]?.scene(opened.page);
  await opened.page.mouse.move(0, 0);
  await opened.page.evaluate(() => document.activeElement instanceof HTMLElement && document.activeElement.blur());
  await opened.page.waitForTimeout(700);
  return opened;
}

const [folder, ...only] = process.argv.slice(2);
const names = Object.keys(SCENES).filter((name) => only.length === 0 || only.includes(name));
const browser = await launch();
for (const name of names) {
  if (folder) {
    mkdirSync(folder, { recursive: true });
    const { page, close } = await play(browser, name, { viewport: SIZE });
    for (const viewport of [SIZE, { width: 1280, height: 720 }, { width: 820, height: 1180 }, { width: 390, height: 844 }])
      for (const colorScheme of /** @type {const} */ (["light", "dark"])) {
        await page.setViewportSize(viewport);
        await page.emulateMedia({ colorScheme });
        await page.waitForTimeout(600);
        await page.screenshot({ path: join(folder, `${name}-${viewport.width}-${colorScheme}.png`) });
      }
    await close();
  } else {
    for (const to of SCENES[name]?.to ?? []) {
      const { scale: deviceScaleFactor, quality } = to.startsWith("guide") ? GUIDE : { scale: 1, quality: 84 };
      const { page, close } = await play(browser, name, { viewport: SIZE, deviceScaleFactor });
      await page.screenshot({ path: fileURLToPath(new URL(`www/${to}.jpg`, root)), type: "jpeg", quality });
      await close();
    }
  }
  console.log(name);
}
await browser.close();
