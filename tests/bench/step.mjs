// Time of a step in the shipped module, in Node: `node step.mjs GLUE WASM CASES`; prints microseconds by case as JSON.

import { readFileSync } from "node:fs";
import { run } from "./run.mjs";

const [glue, wasm, cases] = process.argv.slice(2).map((path) => readFileSync(path));
const module = await import(`data:text/javascript;base64,${glue.toString("base64")}`);
module.initSync({ module: wasm });
console.log(JSON.stringify(run(module, JSON.parse(cases.toString("utf8")))));
