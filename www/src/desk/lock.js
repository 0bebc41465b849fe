// A trainee's copy: the desk is shut by a code, of which only a salted hash is kept, or by the address. No security: it keeps
// honest people out.

import { h, set, setText, show } from "../dom.js";
import { code_hash } from "../engine.js";
import { recall, remember } from "../settings.js";
import { say } from "../words.js";
import { packed } from "../learning/packed.js";
import { isOwn } from "./travel.js";

const KEPT = "desk-lock";
/** A link can start so; what comes in a learning package is a trainee's. */
const started = packed !== null || new URLSearchParams(location.search).has("trainee");
const trainee = () => started;

/** What is kept, looked up once: it is asked for at every frame. @type {{ salt: string, hash: string } | null | undefined} */
let known;

/** @returns {{ salt: string, hash: string } | null} */
function lock() {
  return (known = known === undefined ? read() : known);
}

/** @returns {{ salt: string, hash: string } | null} */
function read() {
  try {
    const kept = JSON.parse(recall(KEPT) ?? "null");
    return kept && typeof kept.salt === "string" && typeof kept.hash === "string" ? kept : null;
  } catch {
    return null;
  }
}

/** Whether this copy has no desk. */
export const isShut = () => lock() !== null || trainee();

/** @param {string} code */
function shut(code) {
  const salt = Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, "0")).join("");
  known = { salt, hash: code_hash(salt, code) };
  remember(KEPT, JSON.stringify(known));
}

/** @param {string} code */
function opens(code) {
  const kept = lock();
  if (!kept || code_hash(kept.salt, code) !== kept.hash) return false;
  known = null;
  remember(KEPT, "null");
  return true;
}

/** A code and its button. @param {string} id @param {import("../words.js").Word} word @param {(code: string) => string} act  gives what to tell */
function form(id, word, act) {
  const code = h("input", { type: "password", id, autocomplete: "off" });
  const told = h("p", { class: "refusal", role: "status" });
  const send = () => {
    setText(told, act(code.value));
    code.value = "";
  };
  code.addEventListener("keydown", (event) => {
    if (event.key === "Enter") send();
  });
  return h(
    "div",
    {},
    h("div", { class: "desk-fields" }, h("div", { class: "field" }, h("label", { for: id, text: say("lock_code") }), code), h("button", { type: "button", "data-desk": id, text: say(word), on: { click: send } })),
    told,
  );
}

/** The tab that shuts the desk. @param {import("../app.js").App} app */
export function createLock(app) {
  return {
    el: h(
      "div",
      { class: "lock" },
      h("p", { text: say("lock_note") }),
      form("lock-set", "lock_set", (code) => {
        if (code.length < 4) return say("lock_short");
        shut(code);
        app.takeReading();
        app.version += 1;
        return "";
      }),
    ),
    update() {},
  };
}

/**
 * Why the desk is shut, and its opening.
 * @param {import("../app.js").App} app
 * @param {() => void} opened
 */
export function whyShut(app, opened) {
  const why = h("p", { class: "lock-why" });
  const enter = form("lock-open", "lock_open", (code) => {
    if (!opens(code)) return say("lock_wrong");
    app.takeReading();
    app.version += 1;
    opened();
    return "";
  });
  return {
    el: h("div", {}, h("h2", { text: say("desk") }), why, enter),
    update() {
      setText(why, trainee() ? say("lock_trainee") : lock() ? say("lock_shut") : isOwn(app) ? "" : say("desk_closed"));
      show(enter, !trainee() && lock() !== null);
      set(enter, { "data-shut": isShut() ? "yes" : null });
    },
  };
}
