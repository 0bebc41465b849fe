// Time of a step in the shipped module, in Node: `node step.mjs GLUE WASM CASES`; prints microseconds by case as JSON.

import { readFileSync } from "node:fs";

/** As in the native measurement (`examples/step_cost.rs`). */
const REPEATS = 5;
const PARTS = 20;

const [glue, wasm, cases] = process.argv.slice(2).map((path) => readFileSync(path));
const module = await import(`data:text/javascript;base64,${glue.toString("base64")}`);
module.initSync({ module: wasm });
const found = {};
for (const { name, plant, commands, settle, steps } of JSON.parse(cases.toString("utf8"))) {
  const part = Math.floor(steps / PARTS);
  const quickest = new Array(PARTS).fill(Infinity);
  for (let repeat = 0; repeat < REPEATS; repeat++) {
    const session = new module.Session(plant);
    for (const command of commands) session.command(command);
    session.advance(settle);
    for (let k = 0; k < PARTS; k++) {
      const start = performance.now();
      session.advance(part);
      quickest[k] = Math.min(quickest[k], ((performance.now() - start) * 1000) / part);
    }
    session.free();
  }
  found[name] = quickest.reduce((sum, cost) => sum + cost) / PARTS;
}
console.log(JSON.stringify(found));
