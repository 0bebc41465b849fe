// The same plant in another engine: Firefox runs the shipped module to the native state, paints the page, changes units, takes an
// exercise, judges its record, does all that from the single file on the disk too, and opens what it kept when
// the server is gone. Driven through WebDriver BiDi.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createServer } from "node:http";
import { after, before, test } from "node:test";
import { copiedFolder, firefoxDriver, firefoxPath, gluePath, LONG, served, singleFile, site, wasmPath } from "./helpers.mjs";
import { golden, native, replay } from "./golden.mjs";

/** Milliseconds for one wait in the browser; the driver has no limit of its own for what a page computes. */
const WAIT = 90_000;

const skip = firefoxPath
  ? false
  : "no Firefox is installed: install firefox-esr, or let BLEDSTEAM_FIREFOX name its program, to run this";
const options = { skip, timeout: LONG };

/** @type {import("puppeteer-core").Browser} */
let browser;
before(async () => {
  if (skip) return;
  browser = await firefoxDriver().launch({
    browser: "firefox",
    executablePath: firefoxPath,
    headless: true,
    timeout: WAIT,
    protocolTimeout: WAIT,
    defaultViewport: { width: 1366, height: 768 },
    // Nothing that looks for the network by itself.
    extraPrefsFirefox: {
      "app.normandy.enabled": false,
      "app.update.disabledForTesting": true,
      "browser.newtabpage.enabled": false,
      "browser.safebrowsing.malware.enabled": false,
      "browser.safebrowsing.phishing.enabled": false,
      "datareporting.healthreport.uploadEnabled": false,
      "extensions.update.enabled": false,
      "network.captive-portal-service.enabled": false,
      "network.connectivity-service.enabled": false,
      // As it comes to a reader: the driver would let pages from the disk read other files.
      "security.fileuri.strict_origin_policy": true,
      "toolkit.telemetry.enabled": false,
    },
  });
}, { timeout: LONG });
after(() => browser?.close());

/**
 * Opens an address and gathers what goes wrong on it, with anything asked of another place than the page's own.
 * @param {string} address
 */
async function open(address) {
  const page = await browser.newPage();
  page.setDefaultTimeout(WAIT);
  /** @type {string[]} */
  const faults = [];
  page.on("pageerror", (error) => faults.push(`error: ${error}`));
  page.on("console", (message) => {
    if (message.type() === "error") faults.push(`console: ${message.text()}`);
  });
  const [place = address] = address.split(/[?#]/);
  page.on("request", (request) => {
    const url = request.url();
    if (!["data:", "blob:", place].some((own) => url.startsWith(own))) faults.push(`asked for ${url}`);
  });
  await page.goto(address);
  return { page, faults };
}

/** A page that computes must not outlast the test. */
const within = (/** @type {Promise<any>} */ work) => {
  /** @type {NodeJS.Timeout} */
  let timer;
  const late = new Promise((_, reject) => {
    timer = setTimeout(() => reject(new Error(`Firefox has not answered within ${WAIT / 1000} s`)), WAIT);
  });
  return Promise.race([work, late]).finally(() => clearTimeout(timer));
};

test("in Firefox the shipped module reaches the native state", options, async () => {
  // The page has the glue inside its bundle; here it is handed out by itself, the script's runner with it.
  const files = new Map([
    ["/", ["text/html", "<!doctype html><title>alone</title>"]],
    ["/alone.js", ["text/javascript", `${readFileSync(gluePath)}\nexport ${replay}`]],
    ["/alone.wasm", ["application/wasm", readFileSync(wasmPath)]],
  ]);
  const server = createServer((request, response) => {
    const [type, body] = files.get(request.url ?? "") ?? [];
    if (!type) return void response.writeHead(404).end();
    response.writeHead(200, { "content-type": type }).end(body);
  });
  await new Promise((ready) => server.listen(0, "127.0.0.1", () => ready(undefined)));
  const { port } = /** @type {import("node:net").AddressInfo} */ (server.address());
  const { page } = await open(`http://127.0.0.1:${port}/`);
  try {
    const reached = await within(
      page.evaluate(async (golden) => {
        // @ts-ignore: served above
        const module = await import("/alone.js");
        await module.default({ module_or_path: "/alone.wasm" });
        return module.replay(module, golden);
      }, golden),
    );
    assert.deepEqual(reached, native);
  } finally {
    await page.close();
    server.close();
  }
});

for (const [name, address] of [
  ["served", served],
  ["single file from the disk", singleFile],
]) {
  test(`Firefox, ${name}: the page paints and the plant answers a trip`, options, async () => {
    const { page, faults } = await open(address);
    const ready = page.waitForFunction(() => document.body?.dataset.ready === "true", { timeout: WAIT });
    await ready.catch((late) => assert.fail(`the plant does not run: ${late}\n${faults.join("\n")}`));
    const read = (/** @type {string} */ id) =>
      within(page.$eval(`[data-signal="${id}"][data-value]`, (shown) => Number(shown.getAttribute("data-value"))));
    const drawn = await within(
      page.evaluate(() => {
        const heater = document.querySelector('[data-signal="hp1.fw_out_temperature"]');
        const box = heater?.getBoundingClientRect();
        return { style: getComputedStyle(document.body).fontFamily, width: box?.width ?? 0, height: box?.height ?? 0 };
      }),
    );
    assert.ok(drawn.width > 10 && drawn.height > 8, `${JSON.stringify(drawn)}: the top heater's figure takes no room`);
    // An empty page is some kilobytes as a picture; one with a flow diagram and figures is a hundred.
    const picture = await within(page.screenshot({ type: "png" }));
    assert.ok(picture.length > 40_000, `the page as a picture is ${picture.length} bytes`);

    const warm = await read("unit.final_fw_temperature");
    assert.ok(warm > 200 && warm < 320, `${warm} °C to the boiler`);
    // It runs from the start.
    await page.click('[data-action="trip_heater"][data-heater="hp1"]');
    await page.click('[data-speed="30"]');
    // Three minutes of plant time after the trip.
    await page.waitForFunction(
      (end) => {
        const time = document.querySelector('[data-signal="unit.time"][data-value]')?.getAttribute("data-value");
        return Number(time) >= end;
      },
      { timeout: WAIT, polling: 100 },
      (await read("unit.time")) + 180,
    );
    const fell = warm - (await read("unit.final_fw_temperature"));
    assert.ok(fell > 15 && fell < 40, `the feedwater fell by ${fell} K`);
    await page.close();
    assert.deepEqual(faults, []);
  });
}

for (const [name, address] of [
  ["served", served],
  ["single file from the disk", singleFile],
]) {
  test(`Firefox, ${name}: other units, an exercise taken to its debrief, and its record verified`, options, async () => {
    const { page, faults } = await open(address);
    await page.waitForFunction(() => document.body?.dataset.ready === "true", { timeout: WAIT });
    const text = (/** @type {string} */ selector) => within(page.$eval(selector, (el) => el.textContent ?? ""));
    await page.click('[data-action="freeze"]');
    const shown = '#card-hp1 [data-signal="hp1.fw_out_temperature"]';
    const celsius = Number.parseFloat(await text(shown));
    await page.click('[data-units="us"]');
    await page.waitForFunction((shown) => /°F/.test(document.querySelector(shown)?.textContent ?? ""), { timeout: WAIT }, shown);
    const fahrenheit = Number.parseFloat(await text(shown));
    assert.ok(Math.abs(celsius * 1.8 + 32 - fahrenheit) < 0.2, `${celsius} °C is shown as ${fahrenheit} °F`);
    await page.click('[data-units="si"]');

    await page.click('nav [data-view="exercise"]');
    await page.waitForSelector('[data-exercise="where-heat-comes-from"]');
    await page.click('[data-exercise="where-heat-comes-from"]');
    await page.type("#ex-by", "F. Fox");
    await page.click('[data-action="begin_exercise"]');
    await page.waitForSelector('[data-prediction="output"] [data-way="up"]');
    await page.click('[data-prediction="output"] [data-way="up"]');
    await page.waitForSelector('[data-prediction="output"][data-made]');
    await page.click('[data-action="hand_in"]');
    await page.waitForSelector('[data-answer="yes"]');
    await page.click('[data-answer="yes"]');
    await page.waitForSelector(".ex-debrief[data-drawn]");
    assert.match(await text(".ex-result"), /You handed in/);
    // Its record, as the database of this browser kept it, goes to the review and is found true by a worker of this browser.
    const record = await within(
      page.evaluate(
        () =>
          new Promise((resolve) => {
            const save = URL.createObjectURL;
            URL.createObjectURL = (blob) => {
              URL.createObjectURL = save;
              void (/** @type {Blob} */ (blob).text().then(resolve));
              return save.call(URL, blob);
            };
            /** @type {HTMLElement | null} */ (document.querySelector('[data-action="save_record"]'))?.click();
          }),
      ),
    );
    assert.match(record, /"by":"F\. Fox"/);
    await page.click('nav [data-view="review"]');
    await page.waitForSelector(".review");
    await within(
      page.evaluate((record) => {
        const transfer = new DataTransfer();
        transfer.items.add(new File([record], "fox.jsonl"));
        document.querySelector(".review")?.dispatchEvent(new DragEvent("drop", { dataTransfer: transfer, bubbles: true, cancelable: true }));
      }, record),
    );
    await page.waitForFunction(() => /F\. Fox.*verified/s.test(document.querySelector(".rev-records")?.textContent ?? ""), { timeout: WAIT });
    await page.close();
    assert.deepEqual(faults, []);
  });
}

test("Firefox: the page opens and runs with its server stopped, another plant and the workers' code too", options, async () => {
  const { address, asked, stop } = await site();
  const { page, faults } = await open(address);
  await page.waitForFunction(() => document.querySelector(".kept [role=status]")?.textContent, { timeout: WAIT });
  await stop();
  asked.length = 0;
  const titles = [];
  for (const query of ["", "index.html", "?plant=saturated300"]) {
    await page.goto(address + query);
    await page.waitForFunction(() => Number(document.querySelector('[data-signal="unit.time"]')?.getAttribute("data-value")) >= 1, { timeout: WAIT });
    titles.push(await page.title());
  }
  assert.equal(new Set(titles).size, 2, titles.join());
  const later = await within(
    page.evaluate(async () => {
      const files = ["guide/climb.jpg", "src/worker.js", "bledsteam.webmanifest"];
      return Promise.all(files.map(async (file) => (await fetch(file)).status));
    }),
  );
  assert.deepEqual(later, [200, 200, 200]);
  assert.deepEqual(asked, [], "the stopped server was asked");
  await page.close();
  assert.deepEqual(faults, []);
});

test("Firefox: the folder opened from the disk says what it lacks and what helps", options, async () => {
  const { index, remove } = copiedFolder();
  const { page } = await open(index);
  const text = await within(page.$eval("body", (body) => body.innerText));
  assert.match(text, /from the disk without its server/);
  assert.match(text, /cargo xtask package/);
  await page.close();
  remove();
});
