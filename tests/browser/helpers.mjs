// What the page tests share: the browser, a page whose every complaint is a failure, reading the plant off the screen.

import assert from "node:assert/strict";
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";

// The packages belong to the page, so they are looked up from there.
const require = createRequire(new URL("../../www/package.json", import.meta.url));
const { chromium } = require("playwright-core");

/** Milliseconds for a test that follows the plant through some minutes of its time. */
export const LONG = 120_000;
/** Milliseconds for one wait inside a test. */
const WAIT = 30_000;

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
/** The source of the accessibility checker. */
export const axeSource = require("axe-core").source;

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
 * answers of 400 and more, and anything asked of another place than the page's own.
 * @param {import("playwright-core").Browser} browser
 * @param {string} address
 * @param {import("playwright-core").BrowserContextOptions} [options]
 */
export async function open(browser, address, options) {
  const context = await browser.newContext({ viewport: { width: 1366, height: 768 }, ...options });
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
  page.on("request", (request) => {
    const url = request.url();
    const own = url.startsWith(address) || url.startsWith("data:") || url.startsWith("blob:");
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
 * The inside-unit numbers behind what the page shows, all of the same moment.
 * @param {import("playwright-core").Page} page
 * @param {string[]} ids signals
 * @returns {Promise<number[]>}
 */
export async function values(page, ...ids) {
  const found = await page.evaluate(
    (ids) =>
      ids.map((id) => {
        const element = document.querySelector(`[data-signal="${id}"][data-value]`);
        return element instanceof HTMLElement || element instanceof SVGElement ? Number(element.dataset.value) : NaN;
      }),
    ids,
  );
  found.forEach((value, i) => assert.ok(Number.isFinite(value), `the page shows no number for ${ids[i]}`));
  return found;
}

/**
 * Waits until the plant's clock has reached a time.
 * @param {import("playwright-core").Page} page
 * @param {number} seconds
 */
export async function until(page, seconds) {
  await page.waitForFunction((seconds) => {
    const clock = document.querySelector('[data-signal="unit.time"][data-value]');
    return clock instanceof HTMLElement && Number(clock.dataset.value) >= seconds;
  }, seconds);
}
