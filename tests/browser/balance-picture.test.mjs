// The balance at every size and in either colour: its picture stays legible, and everybody can reach everything.

import assert from "node:assert/strict";
import { after, before, test } from "node:test";
import { costs, put, start } from "./balance-view.mjs";
import { accessibilityFaults, launch, LONG, served } from "./helpers.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => {
  browser = await launch();
});
after(() => browser.close());

/** Cases that put every kind of label into the picture. @type {Record<string, [string, "out" | "isolated"][][]>} */
const CASES = {
  reheat250: [
    [],
    [["hp1", "out"]],
    [["hp2", "isolated"]],
    [
      ["lp6", "out"],
      ["hp2", "isolated"],
    ],
    [
      ["lp5", "isolated"],
      ["lp6", "isolated"],
      ["hp3", "out"],
    ],
    [
      ["hp1", "out"],
      ["hp2", "out"],
      ["hp3", "out"],
      ["lp5", "out"],
      ["lp6", "out"],
    ],
  ],
  // With a moisture separator and a steam reheater, and a drain pumped forward.
  saturated300: [[], [["hp1", "out"]], [["lp5", "out"]], [["hp2", "isolated"]]],
};

for (const [name, width, height] of /** @type {const} */ ([
  ["laptop", 1366, 768],
  ["projector", 1280, 720],
  ["tablet", 820, 1180],
  ["phone", 390, 844],
  ["large screen", 1920, 1080],
])) {
  for (const [plant, cases] of Object.entries(CASES)) {
    const what = `${name}, ${width} x ${height}, ${plant}: no label in the picture covers another, nothing runs out sideways`;
    test(what, { timeout: LONG }, async () => {
      const address = `${served}?plant=${plant}`;
      const { page, close: done } = await start(browser, { viewport: { width, height } }, address);
      for (const off of cases) {
        await page.click('[data-preset="design"]');
        for (const [heater, outage] of off) await put(page, heater, outage);
        for (const load of ["25", "105", "100"]) {
          await page.fill("#bal-load", load);
          await page.waitForFunction(
            (load) => document.querySelector(".asked-words")?.textContent?.startsWith(`${load} %`),
            load,
          );
          await page.waitForTimeout(50);
          const covered = await page.evaluate(() => {
            const frame = document.querySelector("svg.flows")?.getBoundingClientRect();
            const words = [...document.querySelectorAll("svg.flows text")].map((one) => ({
              text: one.textContent,
              box: one.getBoundingClientRect(),
            }));
            if (!frame || words.length < 6) return ["no labels"];
            const found = words
              .filter(
                ({ box }) =>
                  box.left < frame.left || box.right > frame.right || box.top < frame.top || box.bottom > frame.bottom,
              )
              .map(({ text }) => `${text} is cut`);
            // A line's box is taller than its letters by about so much on either side (px).
            const air = 2.5;
            words.forEach((a, at) => {
              for (const b of words.slice(at + 1)) {
                const across = Math.min(a.box.right, b.box.right) - Math.max(a.box.left, b.box.left);
                const down = Math.min(a.box.bottom, b.box.bottom) - Math.max(a.box.top, b.box.top) - 2 * air;
                if (across > 0 && down > 0) found.push(`${a.text} on ${b.text}`);
              }
            });
            return found;
          });
          assert.deepEqual(covered, [], `${JSON.stringify(off)} at ${load} %`);
        }
      }
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      assert.ok(wide <= width, `${wide} px wide`);
      await done();
    });
  }
}

test("what the picture brings to a heater is what its heater drains", { timeout: LONG }, async () => {
  const { page, close: done } = await start(browser, {}, `${served}?plant=saturated300`);
  const flows = await page.evaluate(() =>
    Object.fromEntries(
      [...document.querySelectorAll("svg.flows [data-band]")].map((band) => [
        band.getAttribute("data-band"),
        Number(/([\d.]+) kg\/s/.exec(band.getAttribute("aria-label") ?? "")?.[1]),
      ]),
    ),
  );
  const f = (/** @type {string} */ id) => flows[id] ?? NaN;
  // In hundredths as they are written.
  const close = (/** @type {number} */ a, /** @type {number} */ b) => assert.ok(Math.abs(a - b) < 0.025, `${a}, ${b}`);
  close(f("heated-drain") + f("hp1-extraction") - f("hp1-vent"), f("hp1-drain"));
  close(f("hp1-drain") + f("hp2-extraction") - f("hp2-vent"), f("hp2-drain"));
  close(f("heated-drain"), f("heating"));
  // Both vents lead there too.
  const vents = f("hp1-vent") + f("hp2-vent") - f("open3-vent");
  const open = f("open3-extraction") + f("hp2-drain") + f("moisture-drain") + f("open3-water") + vents;
  close(open, f("hp2-water"));
  await done();
});

for (const [colorScheme, width] of /** @type {const} */ ([
  ["light", 1366],
  ["dark", 1366],
  ["light", 390],
])) {
  test(`no serious accessibility fault, ${colorScheme}, ${width} px wide`, { timeout: LONG }, async () => {
    const { page, close: done } = await start(browser, { colorScheme, viewport: { width, height: 768 } });
    await put(page, "lp6", "out");
    await put(page, "hp2", "isolated");
    await costs(page);
    assert.deepEqual(await accessibilityFaults(page), []);
    await page.fill("#bal-load", "7");
    await page.waitForSelector('.paper[data-solved="no"]');
    assert.deepEqual(await accessibilityFaults(page), []);
    await done();
  });
}
