// Reporting by cmi5 (quartz, 1st edition): xAPI statements to the learning record store that the launch names.

import { say } from "../words.js";
import { isoDuration } from "./duration.js";
import { pattern, response, TYPES, letters } from "./interactions.js";

/** Version of xAPI that is spoken. */
const VERSION = "1.0.3";
/** Largest text that is kept between sittings [characters]; the standard sets no limit, a store may. */
const MOST = 64_000;
const CATEGORY = "https://w3id.org/xapi/cmi5/context/categories/cmi5";
const MOVE_ON = "https://w3id.org/xapi/cmi5/context/categories/moveon";
const MASTERY = "https://w3id.org/xapi/cmi5/context/extensions/masteryscore";
const LAUNCH_DATA = "LMS.LaunchData";
const PREFERENCES = "cmi5LearnerPreferences";
/** Name under which the record is kept. */
const KEPT = "bledsteam.record";

/** @type {Record<string, string>} */
const VERBS = {
  initialized: "http://adlnet.gov/expapi/verbs/initialized",
  completed: "http://adlnet.gov/expapi/verbs/completed",
  passed: "http://adlnet.gov/expapi/verbs/passed",
  failed: "http://adlnet.gov/expapi/verbs/failed",
  terminated: "http://adlnet.gov/expapi/verbs/terminated",
  answered: "http://adlnet.gov/expapi/verbs/answered",
};

const none = () => ({ code: "no_platform", place: "", message: say("learn_none"), remedy: say("learn_none_remedy") });

/**
 * Leaves of the page's policy only the store's own origin: a further policy can but narrow the first.
 * @param {string[]} addresses
 */
function narrow(addresses) {
  const meta = document.createElement("meta");
  meta.httpEquiv = "Content-Security-Policy";
  const origins = [...new Set(addresses.map((address) => new URL(address, location.href).origin))];
  meta.content = `connect-src 'self' ${origins.join(" ")}`;
  document.head.append(meta);
}

/** @typedef {import("./port.js").Port} Port */
/** @implements {Port} */
export class Cmi5 {
  most = MOST;
  /** @type {string | null} */
  back = null;
  closed = false;
  /** Statements go one after the other, so that the store has them in order. @type {Promise<unknown>} */
  work = Promise.resolve();
  reported = false;

  async open() {
    const asked = new URLSearchParams(location.search);
    const [endpoint, fetchAt, actor, registration, activity] = ["endpoint", "fetch", "actor", "registration", "activityId"].map((key) => asked.get(key));
    if (!endpoint || !fetchAt || !actor || !registration || !activity) throw none();
    this.endpoint = endpoint.replace(/\/*$/, "/");
    this.actor = JSON.parse(actor);
    this.registration = registration;
    this.activity = activity;
    narrow([endpoint, fetchAt]);
    // The token is given once: a second launch by the same address is refused by the platform.
    const answer = await (await fetch(fetchAt, { method: "POST" })).json();
    if (!answer["auth-token"]) {
      throw { ...none(), message: `${say("learn_refused")} (${answer["error-text"] ?? answer["error-code"] ?? "fetch"})` };
    }
    this.token = String(answer["auth-token"]);
    this.launch = await this.state(LAUNCH_DATA).then((r) => r.json());
    this.counts = this.launch.launchMode === "Normal";
    this.back = typeof this.launch.returnURL === "string" ? this.launch.returnURL : null;
    // The standard has them asked for before anything is said; none is needed here.
    await this.ask("agents/profile", { agent: JSON.stringify(this.actor), profileId: PREFERENCES });
    await this.say("initialized", { categories: [CATEGORY] });
    const kept = await this.state(KEPT);
    return { name: String(this.actor.name ?? ""), kept: kept.ok ? await kept.text() : "", counts: this.counts };
  }

  /** @param {string} path @param {Record<string, string>} query @param {RequestInit} [init] */
  ask(path, query, init = {}) {
    const address = new URL(path, this.endpoint);
    for (const [key, value] of Object.entries(query)) address.searchParams.set(key, value);
    return fetch(address, {
      ...init,
      headers: { Authorization: `Basic ${this.token}`, "X-Experience-API-Version": VERSION, ...init.headers },
    });
  }

  /** @param {string} id @param {RequestInit} [init] */
  state(id, init) {
    const query = { activityId: String(this.activity), agent: JSON.stringify(this.actor), registration: String(this.registration), stateId: id };
    return this.ask("activities/state", query, init);
  }

  /**
   * A statement, with what the launch says has to be in each.
   * @param {string} verb
   * @param {{ categories?: string[], result?: object, object?: object, extensions?: object }} what
   */
  statement(verb, { categories = [], result, object, extensions }) {
    const context = structuredClone(this.launch.contextTemplate ?? {});
    context.registration = this.registration;
    context.contextActivities ??= {};
    if (categories.length) context.contextActivities.category = [...(context.contextActivities.category ?? []), ...categories.map((id) => ({ id }))];
    if (extensions) context.extensions = { ...context.extensions, ...extensions };
    return {
      id: crypto.randomUUID(),
      timestamp: new Date().toISOString(),
      actor: this.actor,
      verb: { id: VERBS[verb], display: { "en-US": verb } },
      object: object ?? { objectType: "Activity", id: this.activity },
      context,
      ...(result ? { result } : {}),
    };
  }

  /** @param {object | object[]} statements @param {boolean} [last]  the page may be gone before the answer */
  post(statements, last = false) {
    const send = async () => {
      const answer = await this.ask("statements", {}, {
        method: "POST",
        headers: { "Content-Type": "application/json" },
        body: JSON.stringify(statements),
        keepalive: last,
      });
      if (!answer.ok) {
        throw { code: "platform_refuses", place: "statements", message: `${say("learn_refused")} (${answer.status})`, remedy: say("learn_refused_remedy") };
      }
    };
    // The last must leave at once, not behind an answer that the page may not live to hear.
    const sent = last ? send() : this.work.then(send);
    this.work = sent.catch(() => {});
    return sent;
  }

  /** @param {string} verb @param {Parameters<Cmi5["statement"]>[1]} what */
  say(verb, what) {
    return this.post(this.statement(verb, what));
  }

  /** @param {string | null} text */
  async keep(text) {
    if (!this.counts || this.closed) return;
    const done = await this.state(KEPT, text === null ? { method: "DELETE" } : { method: "PUT", headers: { "Content-Type": "text/plain" }, body: text, keepalive: text.length < 32_000 });
    if (!done.ok) throw { code: "platform_refuses", place: KEPT, message: `${say("learn_refused")} (${done.status})`, remedy: say("learn_refused_remedy") };
  }

  /** @param {import("./port.js").Result} result */
  async report(result) {
    if (!this.counts || this.closed || this.reported) return;
    this.reported = true;
    const duration = isoDuration(result.seconds);
    const scaled = Number((result.points / 100).toFixed(4));
    const mastery = typeof this.launch.masteryScore === "number" ? this.launch.masteryScore : null;
    const passed = result.passed && (mastery === null || scaled >= mastery);
    // Failed for what must not happen, though the points would do: the standard allows no such score beside it.
    const told = passed || mastery === null || scaled < mastery;
    await this.post([
      ...result.interactions.map((one) => this.answered(one)),
      // Said once in a registration, whatever becomes of later sittings.
      ...(result.completedBefore ? [] : [this.statement("completed", { categories: [CATEGORY, MOVE_ON], result: { completion: true, duration } })]),
      this.statement(passed ? "passed" : "failed", {
        categories: [CATEGORY, MOVE_ON],
        result: { success: passed, duration, ...(told ? { score: { scaled, raw: result.points, min: 0, max: 100 } } : {}) },
        ...(mastery === null ? {} : { extensions: { [MASTERY]: mastery } }),
      }),
    ]);
  }

  /** @param {import("./interactions.js").Interaction} one */
  answered(one) {
    const right = pattern(one);
    const choices = one.kind === "choice" || one.kind === "order" ? letters(one.choices.map((_, k) => k)).map((id, k) => ({ id, description: { "en-US": one.choices[k] } })) : null;
    return this.statement("answered", {
      object: {
        objectType: "Activity",
        id: `${this.activity}${String(this.activity).includes("#") ? "/" : "#"}${one.id}`,
        definition: {
          type: "http://adlnet.gov/expapi/activities/cmi.interaction",
          name: { "en-US": one.id },
          description: { "en-US": one.text },
          interactionType: TYPES[one.kind],
          ...(right.length ? { correctResponsesPattern: right } : {}),
          ...(choices ? { choices } : {}),
        },
      },
      result: { response: response(one), success: one.credit >= 0.999, score: { scaled: Number(one.credit.toFixed(4)) } },
    });
  }

  /** @param {number} seconds */
  close(seconds) {
    if (this.closed) return;
    this.closed = true;
    void this.post(this.statement("terminated", { categories: [CATEGORY], result: { duration: isoDuration(seconds) } }), true).catch(() => {});
  }
}
