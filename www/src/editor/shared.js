// An address that holds an exercise: it is checked and offered; a faulty one is refused with place and reason.

import { h } from "../dom.js";
import { offer } from "../exercise/exercise.js";
import { plantTitle } from "../exercise/file.js";
import { say } from "../words.js";
import { Checker } from "./checker.js";
import { open } from "./editor.js";
import { isShared, unpack } from "./share.js";

/** Faults that are listed; the rest is counted. */
const MOST = 8;

/**
 * @param {AbortSignal} signal  ends it
 */
export function createShared(signal) {
  const body = h("div", { class: "ed-shared-body" });
  const dialog = h("dialog", { class: "ed-shared", "aria-labelledby": "ed-shared-title" }, body);
  const title = (/** @type {string} */ text) => h("h2", { id: "ed-shared-title", text });
  /** @param {string} view */
  const leave = (view) => {
    dialog.close();
    // The exercise does not stay in the address: a reload is not a second offer.
    if (isShared()) history.replaceState(null, "", `#${view}`);
    dispatchEvent(new HashChangeEvent("hashchange"));
  };
  const not = () => h("button", { type: "button", "data-action": "shared_not", text: say("ed_shared_not"), on: { click: () => leave("climb") } });
  dialog.addEventListener("cancel", () => leave("climb"));

  /** @param {string} why @param {import("../types.js").Fault[]} faults */
  function refuse(why, faults) {
    body.replaceChildren(
      title(say("ed_shared_refused")),
      h("p", { class: "refusal", text: why }),
      h("ul", { class: "ed-shared-faults" }, ...faults.slice(0, MOST).map((f) => h("li", {}, h("strong", { text: f.place }), `: ${f.message} ${f.remedy}`))),
      faults.length > MOST ? h("p", { text: say("ed_more_faults", { n: faults.length - MOST }) }) : "",
      h("p", { class: "ed-buttons" }, not()),
    );
  }

  /** @param {string} json */
  function show(json) {
    const e = JSON.parse(json);
    body.replaceChildren(
      title(say("ed_shared_title", { title: e.title })),
      h("p", { class: "label", text: say("ed_shared_facts", { plant: plantTitle(e), minutes: Math.round(e.length_s / 60) }) }),
      ...String(e.brief).split(/\n\n+/).slice(0, 6).map((text) => h("p", { text })),
      h("p", { class: "label", text: say("ed_shared_who") }),
      h(
        "p",
        { class: "ed-buttons" },
        h("button", {
          type: "button",
          class: "primary",
          "data-action": "shared_take",
          text: say("ed_shared_take"),
          on: {
            click: () => {
              leave("exercise");
              offer(json);
            },
          },
        }),
        h("button", {
          type: "button",
          "data-action": "shared_edit",
          text: say("ed_shared_edit"),
          on: {
            click: () => {
              open(e);
              leave("editor");
            },
          },
        }),
        not(),
      ),
    );
  }

  async function look() {
    if (!isShared()) return;
    body.replaceChildren(title(say("ed_shared_opening")), h("p", { role: "status", text: say("ed_checking") }));
    if (!dialog.open) dialog.showModal();
    const found = await unpack(location.hash);
    if ("refused" in found) return refuse(found.refused, []);
    const checker = new Checker(() => {});
    const faults = await checker.faultsOf(found.json);
    checker.end();
    if (signal.aborted || !dialog.open) return;
    if (faults.length > 0) refuse(say("ed_shared_faulty", { n: faults.length }), faults);
    else show(found.json);
  }
  addEventListener("hashchange", look, { signal });
  // Once it stands in the page.
  queueMicrotask(look);
  return dialog;
}
