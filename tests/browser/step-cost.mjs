// Time of a step in the shipped module, in Chromium: prints microseconds by case as JSON; called by `cargo xtask bench`.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { gluePath, launch, wasmPath } from "./helpers.mjs";

/** A place of its own, answered from here; its pages get the fine clock that only isolated ones get. */
const PLACE = "http://localhost/";
const ISOLATED = { "cross-origin-opener-policy": "same-origin", "cross-origin-embedder-policy": "require-corp" };
const bench = new URL("../bench/", import.meta.url);
/** @type {Record<string, [string, string | Buffer]>} */
const files = {
  "/": ["text/html", "<!doctype html><title>Time of a step</title>"],
  "/glue.js": ["text/javascript", readFileSync(gluePath)],
  "/run.js": ["text/javascript", readFileSync(new URL("run.mjs", bench))],
  "/module.wasm": ["application/wasm", readFileSync(wasmPath)],
};

const browser = await launch();
const page = await (await browser.newContext({ serviceWorkers: "block" })).newPage();
await page.route(`${PLACE}**`, (route) => {
  const [contentType, body] = files[new URL(route.request().url()).pathname] ?? ["text/plain", ""];
  return route.fulfill({ contentType, body, headers: ISOLATED });
});
await page.goto(PLACE);
const found = await page.evaluate(async (cases) => {
  if (!crossOriginIsolated) return null;
  // Their addresses are of this place, which the checker of types does not know.
  const [glue, run] = ["/glue.js", "/run.js"];
  const module = await import(glue);
  module.initSync({ module: await (await fetch("/module.wasm")).arrayBuffer() });
  return (await import(run)).run(module, cases);
}, JSON.parse(readFileSync(new URL("cases.json", bench), "utf8")));
assert(found, "the page is not isolated, and its clock too coarse to measure by");
console.log(JSON.stringify(found));
await browser.close();
