// Learning packages: made on the page, from the served one and from the single file; opened in a general-purpose SCORM runtime
// and by a cmi5 launch against a record store; begun, left, taken up, finished, reported.

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createServer } from "node:http";
import { createRequire } from "node:module";
import { after, before, test } from "node:test";
import { answer, interactions, pattern, response } from "../../www/src/learning/interactions.js";
import { isoDuration, timespan } from "../../www/src/learning/duration.js";
import { accessibilityFaults, launch, LONG, open, served, singleFile, told } from "./helpers.mjs";

const require = createRequire(new URL("../../www/package.json", import.meta.url));
const { deflateSync, inflateSync, strToU8, strFromU8, unzipSync } = require("fflate");
const validate = require("@learninglocker/xapi-validation").default;

/** @typedef {import("playwright-core").Page} Page */
/** @typedef {import("playwright-core").Frame} Frame */
/** @type {import("playwright-core").Browser} */
let browser;
before(async () => void (browser = await launch()));
after(() => browser.close());

/** A minute on the small unit, with every kind of question. */
const EXERCISE = {
  format: "bledsteam-exercise/1",
  id: "a-minute",
  title: 'A minute <at> "LP 4" & more',
  plant: "drum60",
  brief: "A minute.",
  idea: "To be packed & sent.",
  explanation: "Nothing more.",
  length_s: 60,
  timeline: [{ id: "trip", at_s: 30, commands: [{ do: "trip_heater", heater: "lp4" }] }],
  trends: ["lp4.ttd"],
  predictions: [
    { id: "way", text: "The output", signal: "unit.gross_output", moment: { happening: "trip" }, window_s: 20, what: { kind: "direction", dead_band: 0.001 }, explanation: "Up." },
  ],
  questions: [
    { id: "many", text: "Which are even?", explanation: "Two and four.", answer: { kind: "choice", choices: ["One", "Two", "Three", "Four"], right: [1, 3] } },
    { id: "number", text: "Fifty, in K", explanation: "50.", answer: { kind: "number", quantity: "temperature_difference", value: 50, tolerance: 1 } },
    { id: "which", text: "Which heater?", explanation: "lp4.", answer: { kind: "component", right: ["lp4"] } },
  ],
  objectives: [
    { id: "way", text: "Foresee it", weight: 1, rule: { kind: "predict", prediction: "way" } },
    { id: "many", text: "Say which", weight: 1, rule: { kind: "answer", question: "many" } },
    { id: "number", text: "Say how much", weight: 1, rule: { kind: "answer", question: "number" } },
    { id: "which", text: "Find it", weight: 1, rule: { kind: "answer", question: "which" } },
  ],
  pass_mark: 70,
};

/** The same on a plant that is not shipped, which it carries: packages of the served page are made of it. */
const HOME = { ...JSON.parse(readFileSync(new URL("../../crates/catalog/plants/drum60.json", import.meta.url), "utf8")), name: "home", title: "Home" };
const AT_HOME = { ...EXERCISE, plant: HOME.name, plant_file: HOME };

/**
 * Makes a package on the page, as an instructor does.
 * @param {string} address @param {string} standard @param {string} [lrs]
 * @returns {Promise<Record<string, Uint8Array>>}
 */
async function made(address, standard, lrs = "") {
  const key = `${address} ${standard} ${lrs}`;
  const had = packages.get(key) ?? (await packed(address, standard, lrs));
  packages.set(key, had);
  // A copy of the list: a test may change what it serves.
  return { ...had };
}

/** Packages that were made, so that each is made once. @type {Map<string, Record<string, Uint8Array>>} */
const packages = new Map();

/** @param {string} address @param {string} standard @param {string} lrs @returns {Promise<Record<string, Uint8Array>>} */
async function packed(address, standard, lrs) {
  const { page, close } = await open(browser, address);
  await page.click('.rail [data-view="exercise"]');
  await page.setInputFiles(".ex-drop input[type=file]", { name: "a-minute.json", mimeType: "application/json", buffer: Buffer.from(JSON.stringify(address === served ? AT_HOME : EXERCISE)) });
  await page.click(".ex-package summary");
  await page.selectOption("#learn-standard", standard);
  assert.equal(await page.isVisible("#learn-lrs"), standard === "cmi5");
  if (lrs) {
    await page.fill("#learn-lrs", "nowhere");
    await page.click('[data-action="save_package"]');
    await page.waitForFunction(() => /no address/.test(document.querySelector(".ex-package [role=status]")?.textContent ?? ""));
    await page.fill("#learn-lrs", `${lrs}/below/it`);
  }
  if (lrs) assert.deepEqual(await accessibilityFaults(page), []);
  const [saved] = await Promise.all([page.waitForEvent("download"), page.click('[data-action="save_package"]')]);
  assert.equal(saved.suggestedFilename(), `a-minute-${standard}.zip`);
  const bytes = readFileSync(await saved.path());
  await close();
  return unzipSync(bytes);
}

/** A server on this machine. @param {(request: import("node:http").IncomingMessage, body: string) => { status?: number, headers?: Record<string, string>, body?: string | Uint8Array }} answers */
async function server(answers) {
  const one = createServer((request, out) => {
    let body = "";
    request.on("data", (part) => (body += part));
    request.on("end", () => {
      const answer = answers(request, body);
      out.writeHead(answer.status ?? 200, answer.headers).end(answer.body ?? "");
    });
  });
  await new Promise((done) => one.listen(0, "127.0.0.1", () => done(null)));
  const { port } = /** @type {import("node:net").AddressInfo} */ (one.address());
  return { address: `http://127.0.0.1:${port}`, stop: () => new Promise((done) => (one.close(done), one.closeAllConnections())) };
}

/** @type {Record<string, string>} */
const TYPES = { html: "text/html", js: "text/javascript", css: "text/css", wasm: "application/wasm", svg: "image/svg+xml", xml: "application/xml" };

/** What a platform serves of a package: its files, and the page around them. @param {Record<string, Uint8Array>} files @param {Record<string, string>} [host] */
const content = (files, host = {}) =>
  server((request) => {
    const path = new URL(request.url ?? "/", "http://x").pathname.slice(1);
    const body = host[path] ?? files[path.replace(/^content\//, "")];
    const type = TYPES[path.split(".").at(-1) ?? ""] ?? "application/octet-stream";
    return body === undefined ? { status: 404 } : { headers: { "content-type": type }, body };
  });

/** Faults of a page and its frames. @param {Page} page */
function faultsOf(page) {
  /** @type {string[]} */
  const faults = [];
  page.on("pageerror", (error) => faults.push(`error: ${error.stack ?? error}`));
  page.on("console", (message) => message.type() === "error" && !/favicon|404/.test(message.text()) && faults.push(`console: ${message.text()}`));
  return faults;
}

/** Predicts, and answers the first question half right. @param {Page | Frame} frame */
async function firstHalf(frame) {
  await frame.click('[data-prediction="way"] [data-way="up"]');
  await frame.waitForSelector('[data-prediction="way"][data-made]');
  await frame.check('[data-question="many"] input >> nth=1');
  await frame.click('[data-question="many"] [data-action="answer"]');
  await frame.waitForSelector('[data-question="many"][data-made]');
}

/** Answers the rest and runs to the end. @param {Page | Frame} frame */
async function secondHalf(frame) {
  await frame.waitForSelector('article[data-prediction="way"][data-made]');
  await frame.waitForSelector('article[data-question="many"][data-made]');
  await frame.fill('[data-question="number"] input', "50");
  await frame.click('[data-question="number"] [data-action="give_number"]');
  await frame.selectOption('[data-question="which"] select', "lp4");
  await frame.click('[data-question="which"] [data-action="answer"]');
  await frame.waitForSelector('[data-question="which"][data-made]');
  await frame.click('[data-speed="60"]');
  await frame.click('[data-action="ex_run"]');
  await frame.waitForSelector(".ex-debrief[data-drawn]");
  await frame.waitForFunction(() => /Reported to the learning platform/.test(document.querySelector(".ex-learning")?.textContent ?? ""));
  assert.match(await frame.innerText(".ex-learning"), /87\.5 points, passed|88 points, passed|87 points, passed/);
}

test("durations are written as the standards ask", () => {
  assert.deepEqual([0, 59.999, 61.5, 3600, 1e9].map(timespan), ["0000:00:00.00", "0000:01:00.00", "0000:01:01.50", "0001:00:00.00", "9999:59:59.99"]);
  assert.deepEqual([0, 59.999, 61.5, 3600, 3661.25].map(isoDuration), ["PT0S", "PT1M", "PT1M1.5S", "PT1H", "PT1H1M1.25S"]);
});

test("answers and patterns are written as the standards ask", () => {
  const head = { id: "q", text: "Q", share: 0.25, credit: 1 };
  const choice = /** @type {const} */ ({ ...head, kind: "choice", choices: ["x", "y", "z"], given: [2, 0], right: [0, 2] });
  assert.deepEqual([response(/** @type {any} */ (choice)), pattern(/** @type {any} */ (choice))], ["c[,]a", ["a[,]c"]]);
  const number = /** @type {any} */ ({ ...head, kind: "number", given: 1.5, right: 2, tolerance: 0.25 });
  assert.deepEqual([response(number), pattern(number)], ["1.5", ["1.75[:]2.25"]]);
  assert.deepEqual(pattern({ ...number, right: null }), []);
  const word = /** @type {any} */ ({ ...head, kind: "word", given: "hp1", right: ["hp2", "hp3"] });
  assert.deepEqual([response(word), pattern(word)], ["hp1", ["hp2", "hp3"]]);
  // A drawn curve is thinned, first and last point kept, until it fits.
  const points = /** @type {[number, number][]} */ (Array.from({ length: 400 }, (_, k) => [k * 1.25, 100.123456 + k]));
  const text = answer(points, 255);
  assert.ok(text.length <= 255 && text.startsWith("0:100.12 ") && text.endsWith(" 499:499.12"), text);
  // What was left open is no interaction.
  const nothing = /** @type {any} */ ({ score: { objectives: [] }, predictions: [], questions: [] });
  assert.deepEqual(interactions(/** @type {any} */ (EXERCISE), nothing, /** @type {any} */ ({ questions: [] })), []);
});

for (const standard of /** @type {const} */ (["scorm12", "scorm2004", "cmi5"])) {
  test(`${standard}: the manifest is well-formed, names what is there, and holds what its standard demands`, { timeout: LONG }, async () => {
    const files = await made(standard === "scorm12" ? singleFile : served, standard);
    const page = await browser.newPage();
    const name = standard === "cmi5" ? "cmi5.xml" : "imsmanifest.xml";
    const found = await page.evaluate((text) => {
      const xml = new DOMParser().parseFromString(text, "application/xml");
      const all = [...xml.querySelectorAll("*")];
      return {
        fault: xml.querySelector("parsererror")?.textContent ?? null,
        root: [xml.documentElement.localName, xml.documentElement.namespaceURI],
        titles: all.filter((el) => el.localName === "title").map((el) => el.textContent?.trim()),
        version: xml.querySelector("schemaversion")?.textContent,
        files: all.filter((el) => el.localName === "file").map((el) => el.getAttribute("href")),
        types: all.flatMap((el) => [...el.attributes].filter((a) => a.localName.toLowerCase() === "scormtype").map((a) => `${a.name}=${a.value}`)),
        organisation: [xml.querySelector("organizations")?.getAttribute("default"), xml.querySelector("organization")?.getAttribute("identifier")],
        item: [xml.querySelector("item")?.getAttribute("identifierref"), xml.querySelector("resource")?.getAttribute("identifier")],
        start: xml.querySelector("resource")?.getAttribute("href") ?? xml.querySelector("url")?.textContent,
        ids: [xml.querySelector("course")?.getAttribute("id"), xml.querySelector("au")?.getAttribute("id")],
      };
    }, strFromU8(files[name]));
    assert.equal(found.fault, null, standard);
    assert.ok(found.titles.length > 0 && found.titles.every((title) => title === EXERCISE.title), JSON.stringify(found.titles));
    assert.ok(files[/** @type {string} */ (found.start)], "what is started is in the package");
    if (standard === "cmi5") {
      assert.deepEqual(found.root, ["courseStructure", "https://w3id.org/xapi/profiles/cmi5/v1/CourseStructure.xsd"]);
      assert.match(found.ids.join(" "), /^urn:uuid:[0-9a-f-]{36} urn:uuid:[0-9a-f-]{36}#exercise$/);
    } else {
      assert.equal(found.root[1], standard === "scorm12" ? "http://www.imsproject.org/xsd/imscp_rootv1p1p2" : "http://www.imsglobal.org/xsd/imscp_v1p1");
      assert.equal(found.version, standard === "scorm12" ? "1.2" : "2004 4th Edition");
      assert.deepEqual(found.types, [standard === "scorm12" ? "adlcp:scormtype=sco" : "adlcp:scormType=sco"]);
      assert.equal(...found.organisation);
      assert.equal(...found.item);
      assert.deepEqual(found.files, Object.keys(files).filter((file) => file !== name).sort());
    }
    // The page's own policy goes along, and opens one door only, where cmi5 needs it.
    const index = strFromU8(files["index.html"]);
    const policy = /http-equiv="Content-Security-Policy" content="([^"]+)"/.exec(index)?.[1] ?? "";
    assert.match(policy, /default-src 'none'/);
    assert.match(policy, /require-trusted-types-for 'script'/);
    assert.doesNotMatch(policy, /unsafe-inline|'unsafe-eval'|\*/);
    const connect = /connect-src ([^;]+)/.exec(policy)?.[1] ?? "";
    assert.equal(connect.trim(), standard === "cmi5" ? "'self' https:" : standard === "scorm2004" ? "'self'" : "");
    await page.close();
  });
}

/** The page around a SCORM package: the runtime in the frame above it. @param {"scorm12" | "scorm2004"} standard */
const platform = (standard) => ({
  "runtime.js": readFileSync(require.resolve(`scorm-again/${standard}`), "utf8"),
  "lms.html": `<!doctype html><title>A platform</title><script src="runtime.js"></script><script>
    window.start = (kept) => {
      const Runtime = window.${standard === "scorm12" ? "Scorm12API" : "Scorm2004API"};
      const api = new Runtime({ autocommit: false, logLevel: 5, mastery_override: false });
      if (kept) api.loadFromJSON(kept, "cmi");
      else api.${standard === "scorm12" ? 'cmi.core.student_name = "Learner, Ada"' : 'cmi.learner_name = "Learner, Ada"'};
      window.${standard === "scorm12" ? "API" : "API_1484_11"} = api;
      // What the page says, as it says it: the runtime writes some of it anew.
      const set = api.${standard === "scorm12" ? "LMSSetValue" : "SetValue"}.bind(api);
      window.said = [];
      api.${standard === "scorm12" ? "LMSSetValue" : "SetValue"} = (element, value) => (window.said.push([element, value]), set(element, value));
      const frame = document.createElement("iframe");
      frame.src = "content/index.html";
      frame.style = "width:1300px;height:740px;border:0";
      frame.id = "sco";
      document.body.append(frame);
      return api;
    };
    window.kept = () => JSON.parse(JSON.stringify(window.${standard === "scorm12" ? "API" : "API_1484_11"}.renderCMIToJSONObject().cmi));
  </script>`,
});

for (const standard of /** @type {const} */ (["scorm12", "scorm2004"])) {
  const from = standard === "scorm12" ? "the single file" : "the served page";
  test(`${standard}, packed by ${from}: begun, left, taken up, finished, reported`, { timeout: LONG }, async () => {
    const files = await made(standard === "scorm12" ? singleFile : served, standard);
    const host = await content(files, platform(standard));
    const page = await browser.newPage({ viewport: { width: 1366, height: 768 } });
    const faults = faultsOf(page);
    const begin = async (/** @type {any} */ kept) => {
      await page.goto(`${host.address}/lms.html`);
      await page.evaluate((kept) => void (/** @type {any} */ (window).start(kept)), kept);
      const handle = await page.waitForSelector("#sco");
      const frame = await handle.contentFrame();
      assert.ok(frame);
      await frame.waitForSelector(".ex-learning");
      return frame;
    };
    // First sitting: straight to the brief, under the platform's name, without what is for those who teach.
    let frame = await begin(null);
    await frame.waitForSelector(".ex-brief");
    await frame.waitForFunction(() => /** @type {HTMLInputElement} */ (document.querySelector("#ex-by"))?.value === "Ada Learner");
    assert.equal(await frame.locator('.rail [data-view="desk"], .rail [data-view="editor"], .rail [data-view="review"], [data-action="back_to_list"], .ex-package').count(), 0);
    await frame.click('[data-action="begin_exercise"]');
    await frame.waitForSelector(".ex-task");
    await firstHalf(frame);
    await frame.waitForTimeout(2500);
    const open = await page.evaluate(() => /** @type {any} */ (window).kept());
    if (standard === "scorm12") assert.equal(open.core.lesson_status, "incomplete");
    else assert.equal(open.completion_status, "incomplete");
    assert.match(open.suspend_data, /^bledsteam1::/);
    assert.ok(open.suspend_data.length <= (standard === "scorm12" ? 4096 : 64000));
    // The window is closed: the sitting is ended as one to be taken up.
    await page.evaluate(() => document.querySelector("#sco")?.remove());
    const left = await page.evaluate(() => /** @type {any} */ (window).kept());

    // Second sitting: where it was left, then to the end.
    const again = standard === "scorm12" ? { ...left, core: { ...left.core, entry: "resume" } } : { ...left, entry: "resume" };
    delete again.session_time;
    delete again.exit;
    if (again.core) {
      delete again.core.session_time;
      delete again.core.exit;
    }
    frame = await begin(again);
    await frame.waitForSelector(".ex-task");
    await secondHalf(frame);
    const done = await page.evaluate(() => /** @type {any} */ (window).kept());
    const list = Object.values(done.interactions?.childArray ?? done.interactions ?? {}).filter((one) => one && typeof one === "object" && one.id);
    assert.equal(list.length, 4, JSON.stringify(done.interactions).slice(0, 400));
    const by = (/** @type {string} */ id) => /** @type {any} */ (list.find((one) => /** @type {any} */ (one).id === id));
    if (standard === "scorm12") {
      assert.equal(done.core.lesson_status, "passed");
      assert.equal(Number(done.core.score.raw), 87.5);
      assert.deepEqual([by("question-many").type, by("question-many").student_response, Number(by("question-many").result)], ["choice", "b", 0.5]);
      assert.deepEqual([by("question-number").type, by("question-number").student_response, by("question-number").result], ["numeric", "50", "correct"]);
      assert.deepEqual([by("question-which").type, by("question-which").student_response], ["fill-in", "lp4"]);
      assert.deepEqual([by("prediction-way").student_response, by("prediction-way").result], ["a", "correct"]);
    } else {
      assert.deepEqual([done.completion_status, done.success_status], ["completed", "passed"]);
      assert.deepEqual([Number(done.score.scaled), Number(done.score.raw)], [0.875, 87.5]);
      assert.deepEqual([by("question-many").type, by("question-many").learner_response, Number(by("question-many").result)], ["choice", "b", 0.5]);
      assert.equal(by("question-number").learner_response, "50");
      assert.equal(by("question-which").learner_response, "lp4");
      assert.equal(by("prediction-way").result, "correct");
    }
    /** @type {[string, string][]} */
    const said = await page.evaluate(() => /** @type {any} */ (window).said);
    const times = said.filter(([element]) => element.endsWith("session_time"));
    assert.ok(times.length > 1 && times.every(([, time]) => (standard === "scorm12" ? /^\d{4}:[0-5]\d:[0-5]\d\.\d\d$/ : /^PT(\d+H)?(\d+M)?(\d+(\.\d+)?S)?$/).test(time)), JSON.stringify(times));
    // Taking it again is practice.
    await frame.click('[data-action="again"]');
    await frame.waitForFunction(() => /Practice/.test(document.querySelector(".ex-learning")?.textContent ?? ""));
    await frame.click('[data-action="leave_platform"]');
    await frame.waitForFunction(() => /sitting .* is over/.test(document.querySelector(".ex-learning")?.textContent ?? ""));
    assert.equal(await page.evaluate((name) => /** @type {any} */ (window)[name].isTerminated(), standard === "scorm12" ? "API" : "API_1484_11"), true);
    assert.deepEqual(faults, []);
    await page.close();
    await host.stop();
  });
}

const CMI5 = "https://w3id.org/xapi/cmi5/context/categories/cmi5";
const MOVE_ON = "https://w3id.org/xapi/cmi5/context/categories/moveon";
const SESSION = "https://w3id.org/xapi/cmi5/context/extensions/sessionid";

/** A record store that refuses what the standards refuse, and the launches of a platform. */
async function recordStore() {
  /** @type {any[]} */
  const statements = [];
  /** @type {string[]} */
  const refused = [];
  /** @type {Map<string, string>} */
  const states = new Map();
  let launches = 0;
  let tokens = 0;
  /** @type {Record<string, unknown>} */
  const launchData = { launchMode: "Normal", moveOn: "CompletedAndPassed" };
  const cors = {
    "access-control-allow-origin": "*",
    "access-control-allow-headers": "authorization,content-type,x-experience-api-version",
    "access-control-allow-methods": "GET,PUT,POST,DELETE",
  };
  const store = await server((request, body) => {
    const url = new URL(request.url ?? "/", "http://x");
    const json = (/** @type {unknown} */ value, status = 200) => ({ status, headers: { ...cors, "content-type": "application/json" }, body: JSON.stringify(value) });
    if (request.method === "OPTIONS") return { status: 204, headers: cors };
    if (url.pathname === "/fetch") {
      assert.equal(request.method, "POST");
      // A token is handed out once for each launch.
      if (tokens === launches) return json({ "error-code": "1", "error-text": "used" });
      tokens = launches;
      return json({ "auth-token": "dG9rZW4=" });
    }
    const version = request.headers["x-experience-api-version"];
    if (request.headers.authorization !== "Basic dG9rZW4=" || !/^1\.0\./.test(String(version))) {
      refused.push(`${request.method} ${url.pathname}: ${request.headers.authorization} ${version}`);
      return { status: 401, headers: cors };
    }
    if (url.pathname === "/lrs/agents/profile") return { status: 404, headers: cors };
    if (url.pathname === "/lrs/activities/state") {
      for (const key of ["activityId", "agent", "registration", "stateId"]) if (!url.searchParams.get(key)) refused.push(`state without ${key}`);
      const id = url.searchParams.get("stateId") ?? "";
      if (id === "LMS.LaunchData" && request.method === "GET") {
        return json({ ...launchData, contextTemplate: { contextActivities: { grouping: [{ id: "https://platform.example/au/7" }] }, extensions: { [SESSION]: `session-${launches}` } } });
      }
      if (request.method === "PUT") return states.set(id, body), { status: 204, headers: cors };
      if (request.method === "DELETE") return states.delete(id), { status: 204, headers: cors };
      const kept = states.get(id);
      return kept === undefined ? { status: 404, headers: cors } : { headers: { ...cors, "content-type": "text/plain" }, body: kept };
    }
    if (url.pathname === "/lrs/statements" && request.method === "POST") {
      const got = [JSON.parse(body)].flat();
      for (const one of got) {
        const wrong = validate(one);
        if (wrong?.length) refused.push(JSON.stringify(wrong).slice(0, 500));
      }
      statements.push(...got);
      return json(got.map((one) => one.id));
    }
    refused.push(`${request.method} ${url.pathname}`);
    return { status: 400, headers: cors };
  });
  return {
    ...store,
    statements,
    states,
    refused,
    launchData,
    /** The part of an address by which a platform launches. */
    launched() {
      launches += 1;
      return new URLSearchParams({
        endpoint: `${store.address}/lrs/`,
        fetch: `${store.address}/fetch`,
        actor: JSON.stringify({ objectType: "Agent", name: "Ada Learner", account: { homePage: "https://platform.example", name: "7" } }),
        registration: "3f2b1c9e-6d53-4c9c-9a5e-0d2f6f0e1a11",
        activityId: "https://platform.example/activity/a-minute",
      }).toString();
    },
  };
}

/** What cmi5 demands of a sitting's statements. @param {any[]} all @param {string} session */
function sitting(all, session) {
  const own = all.filter((one) => one.context.extensions?.[SESSION] === session);
  const verbs = own.map((one) => one.verb.id.split("/").at(-1));
  assert.equal(verbs[0], "initialized");
  assert.equal(verbs.at(-1), "terminated");
  for (const verb of ["initialized", "terminated"]) assert.equal(verbs.filter((one) => one === verb).length, 1, verb);
  for (const one of own) {
    const verb = one.verb.id.split("/").at(-1);
    const categories = (one.context.contextActivities.category ?? []).map((/** @type {any} */ c) => c.id);
    const defined = verb !== "answered";
    assert.equal(categories.includes(CMI5), defined, verb);
    assert.equal(categories.includes(MOVE_ON), ["completed", "passed", "failed"].includes(verb), verb);
    assert.equal(one.context.registration, "3f2b1c9e-6d53-4c9c-9a5e-0d2f6f0e1a11");
    assert.deepEqual(one.context.contextActivities.grouping, [{ id: "https://platform.example/au/7" }]);
    assert.equal(one.object.id.startsWith("https://platform.example/activity/a-minute"), true);
    if (["completed", "passed", "failed", "terminated"].includes(verb)) assert.match(one.result.duration, /^PT/);
    if (verb === "completed") assert.deepEqual([one.result.completion, one.result.score], [true, undefined]);
  }
  return { own, verbs };
}

test("cmi5: launched, left, taken up, finished; nothing is said after the end", { timeout: LONG }, async () => {
  const store = await recordStore();
  const files = await made(served, "cmi5", store.address);
  assert.match(strFromU8(files["index.html"]), new RegExp(`connect-src 'self' ${store.address}"`));
  // Before the launch as wide as can be: what narrows it is the page itself.
  files["index.html"] = strToU8(strFromU8(files["index.html"]).replace(`connect-src 'self' ${store.address}"`, `connect-src 'self' http:"`));
  const host = await content(files, { "away.html": "<!doctype html><title>Back</title>Back" });
  store.launchData.returnURL = `${host.address}/away.html`;
  const page = await browser.newPage({ viewport: { width: 1366, height: 768 } });
  const faults = faultsOf(page);
  const go = () => page.goto(`${host.address}/content/index.html?${store.launched()}`);
  const settled = (/** @type {number} */ n) => assert.doesNotReject(async () => {
    for (let k = 0; k < 100 && store.statements.length < n; k += 1) await new Promise((done) => setTimeout(done, 50));
  });

  await go();
  await page.waitForFunction(() => /** @type {HTMLInputElement} */ (document.querySelector("#ex-by"))?.value === "Ada Learner");
  assert.deepEqual(await accessibilityFaults(page), []);
  // From the launch on, the page can speak to the store and to nobody else.
  const other = await server(() => ({ headers: { "access-control-allow-origin": "*" }, body: "no" }));
  assert.equal(await page.evaluate((address) => fetch(address).then(() => "reached", () => "refused"), other.address), "refused");
  await other.stop();
  // The browser tells of it when it comes to it.
  for (let k = 0; k < 100 && faults.length === 0; k += 1) await page.waitForTimeout(50);
  assert.ok(faults.length > 0 && faults.every((fault) => fault.includes("Content Security Policy")), faults.join("\n"));
  faults.length = 0;
  await page.click('[data-action="begin_exercise"]');
  await page.waitForSelector(".ex-task");
  await firstHalf(page);
  await page.waitForTimeout(2500);
  assert.match(store.states.get("bledsteam.record") ?? "", /^bledsteam1::/);
  await page.goto("about:blank");
  await settled(2);
  assert.deepEqual(sitting(store.statements, "session-1").verbs, ["initialized", "terminated"]);

  await go();
  await page.waitForSelector(".ex-task");
  await secondHalf(page);
  await page.click('[data-action="leave_platform"]');
  await page.waitForURL(/away/);
  await settled(10);
  const { own, verbs } = sitting(store.statements, "session-2");
  assert.deepEqual(verbs, ["initialized", "answered", "answered", "answered", "answered", "completed", "passed", "terminated"]);
  const passed = own.find((one) => one.verb.id.endsWith("/passed"));
  assert.deepEqual(passed.result.score, { scaled: 0.875, raw: 87.5, min: 0, max: 100 });
  assert.equal(passed.result.success, true);
  const many = own.find((one) => one.object.id.endsWith("question-many"));
  assert.deepEqual([many.result.response, many.result.success, many.object.definition.interactionType, many.object.definition.correctResponsesPattern], ["b", false, "choice", ["b[,]d"]]);
  assert.deepEqual(many.object.definition.choices.map((/** @type {any} */ c) => c.id), ["a", "b", "c", "d"]);

  // A third: the finished run is shown, and what is done again is not said again.
  await go();
  await page.waitForSelector(".ex-debrief[data-drawn]");
  await page.goto("about:blank");
  await settled(12);
  assert.deepEqual(sitting(store.statements, "session-3").verbs, ["initialized", "terminated"]);

  // Somebody who only looks leaves no result, whatever they do.
  store.states.clear();
  store.launchData.launchMode = "Browse";
  await go();
  await page.waitForSelector(".ex-brief");
  await page.click('[data-action="begin_exercise"]');
  await page.waitForSelector(".ex-task");
  await page.click('[data-action="hand_in"]');
  await page.click('.ask-first [data-answer="yes"]');
  await page.waitForSelector(".ex-debrief[data-drawn]");
  await page.goto("about:blank");
  await settled(14);
  assert.deepEqual(sitting(store.statements, "session-4").verbs, ["initialized", "terminated"]);
  assert.equal(store.states.size, 0);

  assert.deepEqual(store.refused, []);
  assert.equal(new Set(store.statements.map((one) => one.id)).size, store.statements.length);
  assert.deepEqual(faults, []);
  await page.close();
  await Promise.all([host.stop(), store.stop()]);
});

test("cmi5: what was not passed may be bettered in a later sitting, and is completed once", { timeout: LONG }, async () => {
  const store = await recordStore();
  const host = await content(await made(served, "cmi5", store.address));
  const page = await browser.newPage({ viewport: { width: 1366, height: 768 } });
  const faults = faultsOf(page);
  const arrived = async (/** @type {number} */ n) => {
    for (let k = 0; k < 200 && store.statements.length < n; k += 1) await new Promise((done) => setTimeout(done, 50));
  };
  await page.goto(`${host.address}/content/index.html?${store.launched()}`);
  await page.waitForFunction(() => /Connected/.test(document.querySelector(".ex-learning")?.textContent ?? ""));
  await page.click('[data-action="begin_exercise"]');
  await page.waitForSelector(".ex-task");
  await page.click('[data-action="hand_in"]');
  await page.click('.ask-first [data-answer="yes"]');
  await page.waitForFunction(() => /0 points, not passed/.test(document.querySelector(".ex-learning")?.textContent ?? ""));
  await page.goto("about:blank");
  await arrived(4);
  assert.deepEqual(sitting(store.statements, "session-1").verbs, ["initialized", "completed", "failed", "terminated"]);

  await page.goto(`${host.address}/content/index.html?${store.launched()}`);
  await page.waitForSelector(".ex-debrief[data-drawn]");
  await told(page, ".ex-learning", /The next one counts/);
  await page.click('[data-action="again"]');
  await page.waitForSelector(".ex-task");
  await firstHalf(page);
  await secondHalf(page);
  await page.goto("about:blank");
  await arrived(11);
  const { verbs } = sitting(store.statements, "session-2");
  assert.deepEqual(verbs, ["initialized", "answered", "answered", "answered", "answered", "passed", "terminated"]);
  assert.deepEqual([store.refused, faults], [[], []]);
  await page.close();
  await Promise.all([host.stop(), store.stop()]);
});

test("without a platform the exercise can be taken; what is too long or not ours is refused in words", { timeout: LONG }, async () => {
  const files = await made(singleFile, "scorm12");
  const host = await content(files, platform("scorm12"));
  const page = await browser.newPage({ viewport: { width: 1366, height: 768 } });
  await page.goto(`${host.address}/content/index.html`);
  await page.waitForFunction(() => /No learning platform was found/.test(document.querySelector(".ex-learning")?.textContent ?? ""));
  await page.click('[data-action="begin_exercise"]');
  await page.waitForSelector(".ex-task");

  const sco = async (/** @type {any} */ kept) => {
    await page.goto(`${host.address}/lms.html`);
    await page.evaluate((kept) => void (/** @type {any} */ (window).start(kept)), kept);
    const frame = await (await page.waitForSelector("#sco")).contentFrame();
    assert.ok(frame);
    await frame.waitForSelector(".ex-brief, .ex-task");
    return frame;
  };
  const started = { core: { student_name: "Learner, Ada", lesson_status: "incomplete", entry: "resume" } };
  let frame = await sco({ ...started, suspend_data: "of another page" });
  await frame.waitForFunction(() => /none of this exercise/.test(document.querySelector(".ex-learning")?.textContent ?? ""));

  // A record that was edited leads elsewhere.
  await frame.click('[data-action="begin_exercise"]');
  await frame.waitForSelector(".ex-task");
  await firstHalf(frame);
  await frame.waitForTimeout(2500);
  const kept = await page.evaluate(() => /** @type {any} */ (window).kept().suspend_data);
  const short = strFromU8(inflateSync(Buffer.from(kept.slice("bledsteam1::".length), "base64")));
  const edited = short.replace(/"state":"./, (/** @type {string} */ found) => found.slice(0, -1) + (found.endsWith("0") ? "1" : "0"));
  assert.notEqual(edited, short);
  frame = await sco({ ...started, suspend_data: `bledsteam1::${Buffer.from(deflateSync(strToU8(edited))).toString("base64")}` });
  await frame.waitForFunction(() => /does not lead where it says/.test(document.querySelector(".ex-learning")?.textContent ?? ""));

  // What does not fit into 4,096 characters is not cut but left out, and that is said: here by ever new answers.
  await frame.click('[data-action="begin_exercise"]');
  await frame.waitForSelector(".ex-task");
  for (let k = 0; k < 400; k += 1) {
    await frame.evaluate((k) => {
      const item = document.querySelector('[data-question="number"]');
      const change = /** @type {HTMLButtonElement | null} */ (item?.querySelector('[data-action="change_answer"]'));
      if (change && !change.hidden) change.click();
      const input = /** @type {HTMLInputElement} */ (item?.querySelector("input"));
      input.value = String((k * 7919) % 1000 + k / 997);
      input.dispatchEvent(new Event("input", { bubbles: true }));
      /** @type {HTMLButtonElement} */ (item?.querySelector('[data-action="give_number"]')).click();
    }, k);
  }
  await frame.waitForFunction(() => /keeps 4096: it cannot be taken up/.test(document.querySelector(".ex-learning")?.textContent ?? ""));
  assert.equal(await page.evaluate(() => /** @type {any} */ (window).kept().suspend_data), "");
  await page.close();
  await host.stop();
});
