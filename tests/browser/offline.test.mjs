// The served page opens again without its server, and gives way to a newer build as a whole.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { after, before, test } from "node:test";
import { copiedFolder, launch, LONG, open, singleFile, site, until, wasmPath } from "./helpers.mjs";

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => {
  browser = await launch();
});
after(() => browser.close());

/** @param {import("playwright-core").Page} page @param {"kept" | "newer"} state */
const foot = (page, state) =>
  page.waitForFunction((newer) => {
    const el = document.querySelector(".kept [role=status]");
    return el?.textContent && document.querySelector("[data-action=take_newer]")?.hasAttribute("hidden") !== newer;
  }, state === "newer");

const allowed = { serviceWorkers: /** @type {const} */ ("allow") };

test("the page opens and runs with its server stopped, another plant and its workers too", { timeout: LONG }, async () => {
  const { address, asked, stop } = await site();
  const { page, close } = await open(browser, address, allowed);
  await foot(page, "kept");
  await stop();
  asked.length = 0;
  for (const query of ["", "index.html", "?plant=saturated300"]) {
    await page.goto(address + query);
    await page.waitForFunction(() => document.body.dataset.ready === "true");
    await until(page, 1);
  }
  const plant = await page.evaluate(() => document.title);
  assert.notEqual(plant, "Bledsteam");
  // What is only asked for later: the guide's pictures, and a worker's code.
  const later = await page.evaluate(async () => {
    const files = ["guide/climb.jpg", "src/worker.js", "bledsteam.webmanifest"];
    return Promise.all(files.map(async (file) => (await fetch(file)).status));
  });
  assert.deepEqual(later, [200, 200, 200]);
  assert.deepEqual(asked, [], "the stopped server was asked");
  await close();
});

test("a newer build is told, taken when asked for, and leaves nothing of the old one", { timeout: LONG }, async () => {
  const { address, changed, stop } = await site();
  const { page, close } = await open(browser, address, allowed);
  await foot(page, "kept");
  const names = () => page.evaluate(() => caches.keys());
  const before = await names();
  assert.equal(before.length, 1);

  // Another style sheet, and the list that says so.
  const was = readFileSync(join(dirname(wasmPath), "style.css"), "utf8");
  const now = `${was}\n:root{--build-of-the-test:1}`;
  const hash = async (/** @type {string} */ text) => Buffer.from(await crypto.subtle.digest("SHA-256", Buffer.from(text))).toString("base64");
  const [old, fresh] = [await hash(was), await hash(now)];
  changed.set("/style.css", () => now);
  changed.set("/offline.js", (text) => {
    assert.ok(text.includes(old), "the list holds the style sheet's hash");
    return text.replace(old, fresh).replace(/[0-9a-f]{16}/, "0123456789abcdef");
  });
  const marked = () => page.evaluate(() => getComputedStyle(document.documentElement).getPropertyValue("--build-of-the-test"));
  await page.reload();
  await foot(page, "newer");
  assert.equal(await marked(), "", "what is open stays of one build");
  await Promise.all([page.waitForEvent("load"), page.click('[data-action="take_newer"]')]);
  await page.waitForFunction(() => document.body.dataset.ready === "true");
  assert.equal(await marked(), "1");
  await foot(page, "kept");
  const after = await names();
  assert.equal(after.length, 1, after.join());
  assert.notEqual(after[0], before[0]);
  await close();
  await stop();
});

test("a build whose files do not fit its list is not kept", { timeout: LONG }, async () => {
  const { address, changed, stop } = await site();
  changed.set("/icon.svg", (text) => `${text} `);
  const { page, close } = await open(browser, address, allowed);
  // Its refusal is the browser's complaint in the console of the worker, not of the page.
  const state = await page.evaluate(async () => {
    const registration = await new Promise((found) => {
      const look = async () => {
        const one = await navigator.serviceWorker.getRegistration();
        if (one?.installing) found(one);
        else setTimeout(look, 20);
      };
      look();
    });
    const { installing } = registration;
    return new Promise((done) => {
      const look = () => (installing.state === "installing" ? undefined : done(installing.state));
      installing.addEventListener("statechange", look);
      look();
    });
  });
  assert.equal(state, "redundant");
  assert.deepEqual(await page.evaluate(() => caches.keys()), []);
  await close();
  await stop();
});

test("the browser finds nothing that keeps the page from being installed", { timeout: LONG }, async () => {
  const { address, stop } = await site();
  const { page, close } = await open(browser, address, allowed);
  await foot(page, "kept");
  const session = await page.context().newCDPSession(page);
  const { errors, data } = await session.send("Page.getAppManifest");
  assert.deepEqual(errors, []);
  assert.equal(JSON.parse(data ?? "").display, "standalone");
  const { installabilityErrors } = await session.send("Page.getInstallabilityErrors");
  // A context of its own is a private window to the browser; that is all that it may say.
  assert.deepEqual(installabilityErrors.map((e) => e.errorId).filter((id) => id !== "in-incognito"), []);
  await close();
  await stop();
});

test("the single file registers nothing", { timeout: LONG }, async () => {
  const { page, close } = await open(browser, singleFile, allowed);
  await until(page, 3);
  assert.equal(await page.textContent(".kept [role=status]"), "");
  await close();
});

test("the folder opened from the disk says what it lacks", { timeout: LONG }, async () => {
  const { index, remove } = copiedFolder();
  const page = await browser.newPage();
  await page.goto(index);
  const text = await page.innerText("body");
  assert.match(text, /from the disk without its server/);
  assert.match(text, /cargo xtask package/);
  await page.close();
  remove();
});
