// Time of a step in the shipped module, in Node: `node step.mjs GLUE WASM CASES`; prints microseconds by case as JSON.

import { readFileSync } from "node:fs";

const [glue, wasm, cases] = process.argv.slice(2).map((path) => readFileSync(path));
const module = await import(`data:text/javascript;base64,${glue.toString("base64")}`);
module.initSync({ module: wasm });
const found = {};
for (const { name, plant, commands, settle, steps } of JSON.parse(cases.toString("utf8"))) {
  const session = new module.Session(plant);
  for (const command of commands) session.command(command);
  session.advance(settle);
  const start = performance.now();
  // A call of the page takes at most an hour of plant time.
  for (let done = 0; done < steps; done += 4000) session.advance(Math.min(4000, steps - done));
  found[name] = ((performance.now() - start) * 1000) / steps;
  session.free();
}
console.log(JSON.stringify(found));
