// What the page tests share: the browser, a page whose every complaint is a failure, reading the plant off the screen.

import assert from "node:assert/strict";
import { cpSync, mkdtempSync, rmSync } from "node:fs";
import { createServer } from "node:http";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { pathToFileURL } from "node:url";

// The packages belong to the page, so they are looked up from there.
const require = createRequire(new URL("../../www/package.json", import.meta.url));
const { chromium } = require("playwright-core");

/** Milliseconds for a test that follows the plant through some minutes of its time; ten times what it takes alone. */
export const LONG = 120_000;
/** Milliseconds for one wait inside a test. */
const WAIT = 60_000;

/** @param {string} name */
function setting(name) {
  const value = process.env[name];
  assert.ok(value, `${name} is not set: run these tests through \`cargo xtask test --only page\``);
  return value;
}

/** The served page. */
export const served = setting("BLEDSTEAM_URL");
/** The single file, as a path and as the address that a double click opens. */
export const singleFilePath = setting("BLEDSTEAM_SINGLE_FILE");
export const singleFile = pathToFileURL(singleFilePath).href;
/** The generated module that loads the wasm, and the wasm that is shipped. */
export const gluePath = setting("BLEDSTEAM_GLUE");
export const wasmPath = setting("BLEDSTEAM_WASM");
/** The program for a shell, which must judge as the page does. */
export const shellPath = () => setting("BLEDSTEAM_SHELL");
/** Firefox, where one is installed. */
export const firefoxPath = process.env.BLEDSTEAM_FIREFOX;
/** What drives it. */
export const firefoxDriver = () => require("puppeteer-core");
/** The source of the accessibility checker. */
const axeSource = require("axe-core").source;

/** A copy of the built folder, as somebody would put it on a stick. */
export function copiedFolder() {
  const folder = mkdtempSync(join(tmpdir(), "bledsteam-folder-"));
  cpSync(dirname(wasmPath), folder, { recursive: true });
  return { index: pathToFileURL(join(folder, "index.html")).href, remove: () => rmSync(folder, { recursive: true }) };
}

/**
 * The served page once more, headers and all, from a server that can be stopped, counts what it is asked for, and can serve
 * another build: one whose file of that name ends differently.
 */
export async function site() {
  /** @type {string[]} */
  const asked = [];
  /** @type {Map<string, (text: string) => string>} */
  const changed = new Map();
  const server = createServer(async (request, answer) => {
    const path = request.url ?? "/";
    asked.push(path);
    const { status, headers, ...body } = await fetch(new URL(path, served)).then(async (r) => ({ status: r.status, headers: r.headers, bytes: Buffer.from(await r.arrayBuffer()) }));
    const change = changed.get(path.split("?")[0]);
    const bytes = change ? Buffer.from(change(body.bytes.toString())) : body.bytes;
    for (const name of ["content-type", "content-security-policy", "x-content-type-options", "cache-control"]) {
      const value = headers.get(name);
      if (value) answer.setHeader(name, value);
    }
    answer.writeHead(status).end(bytes);
  });
  await new Promise((done) => server.listen(0, "127.0.0.1", () => done(null)));
  const { port } = /** @type {import("node:net").AddressInfo} */ (server.address());
  return {
    address: `http://127.0.0.1:${port}/`,
    asked,
    changed,
    stop: () =>
      new Promise((done) => {
        server.close(done);
        server.closeAllConnections();
      }),
  };
}

/** A browser without the services that look for the network. */
export function launch() {
  return chromium.launch({
    executablePath: setting("BLEDSTEAM_CHROMIUM"),
    args: [
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
    ],
  });
}

/**
 * Opens an address, waits until the plant runs, and gathers what goes wrong: errors, console errors, breaches of the content policy,
 * answers of 400 and more, and anything asked of another place than the page's own. The page is not kept in the browser unless a
 * test asks for it: each would copy it once more.
 * @param {import("playwright-core").Browser} browser
 * @param {string} address
 * @param {import("playwright-core").BrowserContextOptions} [options]
 */
export async function open(browser, address, options) {
  const context = await browser.newContext({ viewport: { width: 1366, height: 768 }, serviceWorkers: "block", ...options });
  context.setDefaultTimeout(WAIT);
  const page = await context.newPage();
  /** @type {string[]} */
  const faults = [];
  page.on("pageerror", (error) => faults.push(`error: ${error.stack ?? error}`));
  page.on("console", (message) => {
    if (message.type() === "error") faults.push(`console: ${message.text()}`);
  });
  page.on("response", (response) => {
    if (response.status() >= 400) faults.push(`${response.status()}: ${response.url()}`);
  });
  const [place = address] = address.split(/[?#]/);
  page.on("request", (request) => {
    const url = request.url();
    const own = url.startsWith(place) || url.startsWith("data:") || url.startsWith("blob:");
    if (!own) faults.push(`asked for ${url}`);
  });
  await page.addInitScript(() => {
    document.addEventListener("securitypolicyviolation", (breach) => {
      console.error(`policy: ${breach.violatedDirective} blocked ${breach.blockedURI} ${breach.sample}`);
    });
  });
  await page.goto(address);
  try {
    await page.waitForFunction(() => document.body?.dataset.ready === "true");
  } catch (late) {
    assert.fail(`the plant does not run: ${late}\n${faults.join("\n") || "the page has not complained"}`);
  }
  return {
    page,
    /** Closes the page, which must not have complained. */
    async close() {
      await context.close();
      assert.deepEqual(faults, []);
    },
  };
}

/**
 * Follows the inside-unit numbers behind what the page shows, frame by frame, until the plant's clock has reached a
 * time. Each row holds values of one moment, in the order of the signals asked for.
 * @param {import("playwright-core").Page} page
 * @param {number} end seconds of plant time
 * @param {string[]} signals
 * @returns {Promise<number[][]>}
 */
export async function record(page, end, ...signals) {
  const rows = await page.evaluate(
    ([end, signals, limit]) =>
      new Promise((resolve) => {
        const began = performance.now();
        /** @type {number[][]} */
        const rows = [];
        const read = (/** @type {string} */ id) => {
          const shown = document.querySelector(`[data-signal="${id}"][data-value]`);
          return Number(shown?.getAttribute("data-value") ?? NaN);
        };
        const frame = () => {
          rows.push(signals.map(read));
          // A stopped clock ends it as well; the caller sees from the last row how far it went.
          if (read("unit.time") >= end || performance.now() - began > limit) resolve(rows);
          else requestAnimationFrame(frame);
        };
        frame();
      }),
    /** @type {const} */ ([end, signals, WAIT]),
  );
  signals.forEach((id, i) => assert.ok(Number.isFinite(rows[0][i]), `the page shows no number for ${id}`));
  return rows;
}

/**
 * The numbers of this moment: what was done just now, as freezing, shows with the next picture.
 * @param {import("playwright-core").Page} page
 * @param {string[]} signals
 */
export async function values(page, ...signals) {
  await page.evaluate(() => new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn))));
  return (await record(page, 0, ...signals))[0];
}

/**
 * Waits until an element says something: what an action leads to is on the page with its next picture, on a busy machine some
 * moments later.
 * @param {import("playwright-core").Page} page
 * @param {string} selector
 * @param {RegExp | string} what  a pattern, or the whole of it
 * @param {string} [attribute]   of this, not of its text
 */
export async function told(page, selector, what, attribute) {
  const end = Date.now() + WAIT;
  for (;;) {
    const text = (attribute ? await page.getAttribute(selector, attribute) : await page.innerText(selector)) ?? "";
    if (typeof what === "string" ? text === what : what.test(text)) return;
    if (Date.now() > end) assert.fail(`${selector} says ${JSON.stringify(text)}, not ${what}`);
    await page.waitForTimeout(50);
  }
}

/**
 * Waits until the plant's clock has reached a time.
 * @param {import("playwright-core").Page} page
 * @param {number} seconds
 */
export async function until(page, seconds) {
  const last = (await record(page, seconds, "unit.time")).at(-1);
  assert.ok(last && last[0] >= seconds, `the plant's clock stands at ${last} s instead of ${seconds} s`);
}

/**
 * Serious and critical faults of accessibility on the page as it stands, each in a line.
 * @param {import("playwright-core").Page} page
 * @param {string[]} [rules]  by these rules alone
 * @returns {Promise<string[]>}
 */
export async function accessibilityFaults(page, rules) {
  await page.evaluate(axeSource);
  return page.evaluate(async (rules) => {
    // @ts-ignore: put there by the line above
    const { violations } = await window.axe.run(document, {
      runOnly: rules ?? ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    });
    return violations
      .filter((/** @type {{ impact: string }} */ v) => v.impact === "serious" || v.impact === "critical")
      .map((/** @type {any} */ v) => `${v.id}: ${v.help}: ${v.nodes.slice(0, 3).map((/** @type {any} */ n) => n.html)}`);
  }, rules);
}
