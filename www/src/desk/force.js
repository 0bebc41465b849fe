// What is wrong and what waits, each in one true sentence, and its removal.

import { h, set, setText, show } from "../dom.js";
import { say } from "../words.js";
import { conditionText, plantTime, shortly, truthOf } from "./say.js";
import { own } from "./travel.js";

/** Moments that came, shown at the end of the list. */
const FIRED = 3;

/** @param {import("../app.js").App} app */
export function createForce(app) {
  const session = own(app);
  const list = h("ul", { class: "force-list" });
  const none = h("p", { class: "nothing", text: say("force_none") });
  const told = h("p", { class: "refusal", role: "status" });
  const title = h("h2", { id: "force-title", tabindex: -1, text: say("force") });
  const all = h("button", {
    type: "button",
    "data-desk": "remove_all",
    text: say("force_all"),
    on: {
      click: () => {
        const view = session.desk();
        for (const { kind, device } of view.in_force) act({ kind, device });
        for (const { id } of view.waiting) cancel(id);
        update();
        title.focus();
      },
    },
  });
  /** @param {{ kind: string, device: string }} one */
  const act = ({ kind, device }) => {
    const fault = app.command({ do: "remove_malfunction", kind, device });
    setText(told, fault ? app.explain({ ...fault, place: "" }) : "");
  };
  /** @param {number} id */
  const cancel = (id) => {
    try {
      session.cancel(id);
      app.version += 1;
    } catch (thrown) {
      setText(told, app.explain({ ...(/** @type {any} */ (thrown)), place: "" }));
    }
  };

  /** @type {Map<string, { el: HTMLElement, state: HTMLElement }>} */
  const rows = new Map();
  /**
   * @param {string} key
   * @param {"force" | "waits" | "came"} is
   * @param {string} text
   * @param {string} what
   * @param {(() => void) | null} remove
   */
  function row(key, is, text, what, remove) {
    const known = rows.get(key);
    if (known) return known;
    const state = h("span", { class: "force-state" });
    const action = say(is === "waits" ? "force_cancel" : "force_remove");
    const el = h(
      "li",
      { "data-force": key, "data-is": is },
      h("span", { class: "shape", "aria-hidden": "true", text: is === "force" ? "✕" : is === "waits" ? "◷" : "✓" }),
      h("div", {}, h("p", { text }), state),
      remove
        ? h("button", {
            type: "button",
            "data-desk": "remove",
            text: action,
            "aria-label": say("force_act", { action, what }),
            on: {
              click: () => {
                remove();
                update();
                const next = list.querySelector("button");
                (next instanceof HTMLElement ? next : title).focus();
              },
            },
          })
        : null,
    );
    const made = { el, state };
    rows.set(key, made);
    return made;
  }

  let builtFor = "";
  function update() {
    const view = session.desk();
    const stamp = app.units.system;
    if (stamp !== builtFor) {
      builtFor = stamp;
      rows.clear();
    }
    /** @type {{ el: HTMLElement, state: HTMLElement }[]} */
    const wanted = [];
    const keys = new Set();
    for (const one of view.in_force) {
      const key = `${one.kind} ${one.device} ${one.begins} ${one.size}`;
      keys.add(key);
      const made = row(key, "force", truthOf(app, one), shortly(app, one), () => act(one));
      setText(
        made.state,
        view.time_s < one.begins
          ? say("force_begins", { time: plantTime(one.begins) })
          : one.share < 1
            ? say("force_grown", { share: Math.round(one.share * 100) })
            : say("force_full", { time: plantTime(one.begins + one.ramp) }),
      );
      set(made.el, { "data-is": view.time_s < one.begins ? "waits" : "force" });
      wanted.push(made);
    }
    for (const one of view.waiting) {
      const key = `waits ${one.id} ${one.since_s}`;
      keys.add(key);
      const made = row(key, "waits", truthOf(app, one.malfunction), shortly(app, one.malfunction), () => cancel(one.id));
      setText(made.state, say("force_waits", { when: conditionText(app, one.when) }));
      wanted.push(made);
    }
    for (const one of view.fired.slice(-FIRED).reverse()) {
      const key = `fired ${one.id} ${one.at_s}`;
      keys.add(key);
      const what = shortly(app, one.malfunction);
      const text = one.refused
        ? say("force_refused", { what, time: plantTime(one.at_s), why: app.explain({ ...one.refused, place: "" }) })
        : say("force_fired", { time: plantTime(one.at_s), what });
      wanted.push(row(key, "came", text, what, null));
    }
    for (const [key, made] of rows)
      if (!keys.has(key)) {
        made.el.remove();
        rows.delete(key);
      }
    wanted.forEach(({ el }, at) => {
      if (list.children[at] !== el) list.insertBefore(el, list.children[at] ?? null);
    });
    while (list.children.length > wanted.length) list.lastElementChild?.remove();
    show(none, view.in_force.length + view.waiting.length === 0);
    show(all, view.in_force.length + view.waiting.length > 1);
  }

  return {
    el: h(
      "section",
      { class: "desk-part desk-force", "aria-labelledby": "force-title" },
      h("div", { class: "desk-head" }, title, all),
      told,
      none,
      list,
    ),
    update,
  };
}
