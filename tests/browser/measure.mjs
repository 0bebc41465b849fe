// Measures the page against its budgets and prints a table as the README has it: `cargo xtask bench --page`. Never a test: what a
// machine needs depends on the machine, and on what else it does.

import { readdirSync, readFileSync, statSync } from "node:fs";
import { dirname, join } from "node:path";
import { gzipSync } from "node:zlib";
import { launch, served, singleFile, singleFilePath, wasmPath } from "./helpers.mjs";

/** The reference laptop is slower than most machines that build: the processor is slowed by this factor. */
const SLOWER = 4;
/** Frames are looked at for this long (ms). */
const LOOK = 10_000;
/** Plant hours between two looks at the memory. */
const HOURS = 2;

const browser = await launch();
/** @type {[string, string][]} */
const rows = [];
const row = (/** @type {string} */ what, /** @type {string} */ figure) => {
  rows.push([what, figure]);
  console.error(`${what}: ${figure}`);
};

/** @param {string} address @param {number} slower */
async function page(address, slower) {
  const context = await browser.newContext({ viewport: { width: 1366, height: 768 }, serviceWorkers: "block" });
  const page = await context.newPage();
  const session = await context.newCDPSession(page);
  if (slower > 1) await session.send("Emulation.setCPUThrottlingRate", { rate: slower });
  await page.goto(address);
  await page.waitForFunction(() => document.body?.dataset.ready === "true");
  return { page, session, close: () => context.close() };
}

/** From the navigation to the first picture with the plant on it (ms), the middle of five. @param {string} address @param {number} slower */
async function first(address, slower) {
  const times = [];
  for (let round = 0; round < 5; round += 1) {
    const context = await browser.newContext({ viewport: { width: 1366, height: 768 }, serviceWorkers: "block" });
    const page = await context.newPage();
    const session = await context.newCDPSession(page);
    await session.send("Emulation.setCPUThrottlingRate", { rate: slower });
    await page.addInitScript(() => {
      const look = () => {
        // Two frames on, it has been painted.
        if (document.querySelector(".climb .heater .shell")) requestAnimationFrame(() => requestAnimationFrame((now) => (window.name = String(now))));
        else requestAnimationFrame(look);
      };
      requestAnimationFrame(look);
    });
    await page.goto(address);
    await page.waitForFunction(() => window.name !== "");
    times.push(Number(await page.evaluate(() => window.name)));
    await context.close();
  }
  return times.sort((a, b) => a - b)[2] ?? NaN;
}

/** What a frame of the running page costs: script and the picture (ms), the shares late, the plant's pace. @param {number} speed @param {number} slower @param {string} [view] */
async function frames(speed, slower, view = "climb") {
  const { page: tab, session, close } = await page(served, slower);
  await tab.click(`nav [data-view="${view}"]`);
  await tab.click(`[data-speed="${speed}"]`);
  await tab.waitForTimeout(1500);
  await session.send("Performance.enable");
  const figures = async () => Object.fromEntries((await session.send("Performance.getMetrics")).metrics.map(({ name, value }) => [name, value]));
  const was = await figures();
  const seen = await tab.evaluate(
    (look) =>
      new Promise((done) => {
        /** @type {number[]} */
        const times = [];
        const clock = () => Number(document.querySelector('[data-signal="unit.time"][data-value]')?.getAttribute("data-value"));
        const [began, plant] = [performance.now(), clock()];
        const frame = (/** @type {number} */ now) => {
          times.push(now);
          if (now - began < look) requestAnimationFrame(frame);
          else done({ times, seconds: (performance.now() - began) / 1000, plant: clock() - plant });
        };
        requestAnimationFrame(frame);
      }),
    LOOK,
  );
  const now = await figures();
  await close();
  const { times, seconds, plant } = /** @type {{ times: number[], seconds: number, plant: number }} */ (seen);
  const gaps = times.slice(1).map((time, at) => time - (times[at] ?? time)).sort((a, b) => a - b);
  const busy = ((now.TaskDuration ?? 0) - (was.TaskDuration ?? 0)) * 1000;
  return { rate: times.length / seconds, busy: busy / times.length, late: gaps[Math.floor(0.95 * gaps.length)] ?? NaN, pace: plant / seconds };
}

for (const [name, address] of /** @type {const} */ ([["served", served], ["single file from the disk", singleFile]]))
  for (const slower of [1, SLOWER]) row(`first picture of the plant, ${name}${slower > 1 ? `, processor ${slower} times slower` : ""}`, `${Math.round(await first(address, slower))} ms`);

for (const slower of [1, SLOWER])
  for (const [speed, view] of /** @type {const} */ ([[1, "climb"], [60, "climb"], [60, "trends"]])) {
    const { rate, busy, late, pace } = await frames(speed, slower, view);
    row(
      `${view} at ${speed}x${slower > 1 ? `, processor ${slower} times slower` : ""}`,
      `${rate.toFixed(0)} frames/s, ${busy.toFixed(1)} ms of work each, 95 % within ${late.toFixed(0)} ms; plant at ${pace.toFixed(1)}x`,
    );
  }

{
  const { page: tab, session, close } = await page(served, 1);
  await tab.click('[data-speed="60"]');
  const heap = async () => {
    await session.send("HeapProfiler.collectGarbage");
    const { usedSize } = await session.send("Runtime.getHeapUsage");
    return usedSize / 1e6;
  };
  const after = async (/** @type {number} */ hours) => {
    await tab.waitForFunction((end) => Number(document.querySelector('[data-signal="unit.time"][data-value]')?.getAttribute("data-value")) >= end, hours * 3600, { timeout: 600_000, polling: 500 });
    return heap();
  };
  const [early, half, late] = [await after(0.1), await after(HOURS / 2), await after(HOURS)];
  row(`JavaScript's memory after 6 minutes, ${HOURS / 2} and ${HOURS} hours of plant time at 60x`, [early, half, late].map((size) => `${size.toFixed(1)} MB`).join(", "));
  await close();
}
await browser.close();

const out = dirname(wasmPath);
const size = (/** @type {string[]} */ files) => {
  const raw = files.map((file) => readFileSync(file));
  const kB = (/** @type {number} */ bytes) => `${Math.round(bytes / 1000)} kB`;
  return `${kB(raw.reduce((sum, one) => sum + one.length, 0))}, ${kB(raw.reduce((sum, one) => sum + gzipSync(one, { level: 9 }).length, 0))} gzip`;
};
const all = readdirSync(out, { recursive: true }).map((name) => join(out, String(name))).filter((path) => statSync(path).isFile());
row("the module", size([wasmPath]));
row("code and style", size(all.filter((file) => /\.(js|css|html)$/.test(file))));
row("the whole page, with the guide's pictures", size(all));
row("the single file", size([singleFilePath]));

console.log(`\n| the page | measured |\n|---|---|\n${rows.map(([what, figure]) => `| ${what} | ${figure} |`).join("\n")}`);
