// The shipped module gives the same plant, to the last bit, as the native one: in Node, in the browser, and inside
// the single file.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { homedir } from "node:os";
import { after, before, test } from "node:test";
import { golden, native, replay } from "./golden.mjs";
import { gluePath, launch, LONG, open, served, singleFilePath, wasmPath } from "./helpers.mjs";

const shipped = readFileSync(wasmPath);
const glue = readFileSync(gluePath);

test("the golden script is worth running", () => {
  assert.ok(golden.script.length > 0 && golden.steps > golden.script.at(-1).at);
  assert.match(native.state_hash, /^[0-9a-f]{64}$/);
  assert.match(native.property_fingerprint, /^[0-9a-f]{16}$/);
});

test("in Node the shipped module reaches the native state", { timeout: LONG }, async () => {
  const module = await import(`data:text/javascript;base64,${glue.toString("base64")}`);
  module.initSync({ module: shipped });
  assert.deepEqual(replay(module, golden), native);
  // The detector itself: without the last command, it must be another state.
  const other = replay(module, { ...golden, script: golden.script.slice(0, -1) });
  assert.notEqual(other.state_hash, native.state_hash);
});

test("the shipped module tells nothing of the machine that built it", () => {
  const text = shipped.toString("latin1");
  for (const folder of [homedir() + "/", "/.cargo/", "/usr/src/"]) {
    assert.ok(!text.includes(folder), `it holds ${folder}`);
  }
});

test("the single file holds the very same module", () => {
  const page = readFileSync(singleFilePath, "utf8");
  const [, text] = page.match(/<script type="text\/plain" id="bledsteam-wasm">([^<]*)</) ?? [];
  assert.ok(text, "no module in the single file");
  assert.ok(Buffer.from(text, "base64").equals(shipped));
});

let browser;
before(async () => {
  browser = await launch();
});
after(() => browser.close());

test("in the browser the served module reaches the native state", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, served);
  // The page has the glue inside its bundle; here it is handed out by itself, the script's runner with it.
  const alone = new URL("alone.js", served).href;
  const body = `${glue}\nexport ${replay}`;
  await page.route(alone, (route) => route.fulfill({ body, contentType: "text/javascript" }));
  const reached = await page.evaluate(
    async ([alone, golden]) => {
      const module = await import(alone);
      await module.default({ module_or_path: "bledsteam_web_bg.wasm" });
      return module.replay(module, golden);
    },
    [alone, golden],
  );
  assert.deepEqual(reached, native);
  await close();
});
