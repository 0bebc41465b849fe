// The working of one number, over any view: its equation with letters and with today's values, the terms with their
// own workings, what it rests on, and the balance that it belongs to.

import { isShut } from "../desk/lock.js";
import { h, setText } from "../dom.js";
import { asFault } from "../fault.js";
import { noGap } from "../gaps.js";
import { say, sayOr } from "../words.js";
import { createBalanceTable } from "./balance.js";
import { digits, equal, line, quantity, render, symbol } from "./math.js";
import { nameOf, nameOfId } from "./name.js";
import { numberOf, unitOf, valueOf } from "./show.js";
import { createTerms, sourceWords } from "./terms.js";

/** @typedef {import("bledsteam_web").Working} Working */

/** @param {import("../app.js").App} app */
export function createPanel(app) {
  /** Ids on the way to the number shown, which is the last. @type {string[]} */
  let way = [];
  /** What the parts in view were built for, so that the next values only change their texts. */
  let built = "";
  /** @type {((working: Working) => void)[]} */
  let updates = [];
  /** @type {Element | null} */
  let opener = null;

  const crumbs = h("ol", { class: "wk-crumbs" });
  const title = h("h2", { id: "wk-title", tabindex: -1 });
  const value = h("p", { class: "wk-value" });
  const body = h("div", { class: "wk-body" });
  const refusal = h("p", { class: "refusal", role: "status" });
  const devices = h("select", { "aria-label": say("wk_device") });
  const numbers = h("select", { "aria-label": say("wk_number") });
  const other = h("button", { type: "button", text: say("wk_open"), on: { click: () => start(numbers.value) } });
  const close = h("button", { type: "button", text: say("close"), "data-action": "close_working", on: { click: () => dialog.close() } });
  const systems = /** @type {const} */ (["si", "us"]).map((system) =>
    h("button", {
      type: "button",
      "data-system": system,
      title: say(`units_${system}_title`),
      text: say(`units_${system}`),
      on: { click: () => app.setUnits(system) },
    }),
  );
  const dialog = h(
    "dialog",
    { class: "working", "aria-labelledby": "wk-title" },
    h(
      "div",
      { class: "wk-head" },
      h("nav", { "aria-label": say("wk_way") }, crumbs),
      h(
        "div",
        { class: "wk-tools" },
        h("div", { class: "segmented", role: "group", "aria-label": say("units") }, ...systems),
        close,
      ),
    ),
    title,
    value,
    refusal,
    body,
    h("div", { class: "wk-other" }, h("span", { class: "label", text: say("wk_other") }), devices, numbers, other),
  );
  dialog.addEventListener("close", () => {
    if (opener instanceof HTMLElement || opener instanceof SVGElement) opener.focus();
    opener = null;
  });
  // A click beside the panel closes it.
  dialog.addEventListener("click", (event) => {
    if (event.target === dialog) dialog.close();
  });

  const ids = app.manifest.signals.map((signal) => signal.id);
  for (const device of new Set(app.manifest.signals.map((signal) => signal.device)))
    devices.append(h("option", { value: device, text: app.short(device) }));
  function list() {
    const of = ids.filter((id) => id.startsWith(`${devices.value}.`));
    numbers.replaceChildren(...of.map((id) => h("option", { value: id, text: nameOfId(app, id).split(" · ")[0] ?? id })));
  }
  devices.addEventListener("change", list);

  /** @param {string} id */
  function start(id) {
    way = [];
    go(id);
  }

  /** @param {string} id */
  function go(id) {
    const at = way.indexOf(id);
    way = at < 0 ? [...way, id] : way.slice(0, at + 1);
    refresh();
    title.focus();
    dialog.scrollTop = 0;
  }

  /** Shows the way here; each step leads back. */
  function trace() {
    crumbs.replaceChildren(
      ...way.map((id, at) => {
        const name = nameOfId(app, id);
        return h(
          "li",
          {},
          at === way.length - 1
            ? h("span", { "aria-current": "location", text: name })
            : h("button", { type: "button", class: "link", text: name, on: { click: () => go(id) } }),
        );
      }),
    );
  }

  /** @param {Working} w */
  function build(w) {
    updates = [];
    const parts = [];
    const { equation } = w;
    if (equation) {
      const { terms, formula } = equation;
      /** @param {boolean} shown  in the chosen units, with them; otherwise in the model's, bare */
      const filled = (shown) => (/** @type {number} */ index) => {
        const term = terms[index];
        if (!term) return render({ kind: "number", value: NaN }, () => document.createTextNode(""));
        return quantity(shown ? unitOf(app, term) : "", (el) =>
          updates.push((now) => {
            const t = now.equation?.terms[index];
            if (t) setText(el, shown ? numberOf(app, t, t.value) : digits(t.value));
          }),
        );
      };
      /** @param {boolean} shown */
      const result = (shown) =>
        quantity(shown ? unitOf(app, w) : "", (el) =>
          updates.push((now) => {
            const x = now.equation?.evaluated ?? NaN;
            setText(el, shown ? numberOf(app, now, x) : digits(x));
          }),
        );
      const letters = (/** @type {number} */ index) => {
        const term = terms[index];
        return symbol(term ? term.symbol : { base: "?", sub: "" });
      };
      parts.push(line(say("wk_letters"), ...equal(symbol(w.symbol), render(formula, letters))));
      /** @param {string} label @param {boolean} shown */
      const numbers = (label, shown) => {
        const el = line(label, ...equal(symbol(w.symbol), render(formula, filled(shown)), result(shown)));
        el.classList.add("numbers");
        return el;
      };
      parts.push(numbers(say("wk_values"), true));
      if (!equation.plain[app.units.system === "si" ? 0 : 1]) {
        parts.push(h("p", { class: "label wk-own", text: say("wk_own_units") }));
        parts.push(numbers(say("wk_own_units"), false));
      }
      if (equation.case)
        parts.push(h("p", { class: "wk-case" }, h("span", { class: "chip", text: sayOr(`case_${equation.case}`, equation.case) })));
      parts.push(h("p", { class: "wk-source" }, h("strong", { text: say("wk_source") }), ` ${sourceWords(equation.source)}`));
      const table = createTerms(app, terms, go);
      parts.push(table.el);
      updates.push((now) => table.update(now.equation?.terms ?? []));
    } else if (w.why) parts.push(h("p", { class: "wk-why", text: sayOr(`why_${w.why}`, w.why) }));
    if (w.see.length) {
      parts.push(
        h(
          "p",
          { class: "wk-see" },
          h("strong", { text: say(equation ? "wk_see_too" : "wk_see_instead") }),
          ...w.see.flatMap((id) => [
            " ",
            h("button", { type: "button", "data-working": id, text: nameOfId(app, id), on: { click: () => go(id) } }),
          ]),
        ),
      );
    }
    const balance = tableOf(w.balance);
    const details = h(
      "details",
      { class: "wk-books", open: w.see.some((id) => /\.(mass|energy)_rate$/.test(id)) || w.meaning.endsWith("_rate") },
      h("summary", { text: say("wk_balance") }),
      balance.el,
    );
    details.addEventListener("toggle", () => details.open && balance.update());
    updates.push(() => details.open && balance.update());
    parts.push(details);
    body.replaceChildren(...parts);
  }

  /** The balance of a component, or why it is closed to a trainee. @param {string} device */
  function tableOf(device) {
    try {
      return createBalanceTable(app, device, go);
    } catch (thrown) {
      return { el: h("p", { class: "wk-closed", text: app.explain(asFault(thrown)) }), update() {} };
    }
  }

  function refresh() {
    const id = way.at(-1);
    if (id === undefined) return;
    /** @type {Working} */
    let w;
    try {
      w = app.session.working(id);
    } catch (thrown) {
      // A term that the plant no longer reckons with, or a property out of range: the reason, and the way back.
      setText(refusal, app.explain(asFault(thrown)));
      setText(title, nameOfId(app, id));
      setText(value, "");
      trace();
      body.replaceChildren();
      built = "";
      return;
    }
    setText(refusal, "");
    const { equation } = w;
    const key = JSON.stringify([id, isShut(), app.units.system, w.see, equation?.case, equation?.formula, equation?.plain, equation?.terms.map((t) => t.origin)]);
    if (key !== built) {
      built = key;
      setText(title, nameOf(app, w));
      trace();
      build(w);
    }
    const why = noGap(app.store, id);
    setText(value, why ? `${valueOf(app, w, w.value)} (${say("gap_means_nothing", { why: say(why) })})` : valueOf(app, w, w.value));
    for (const one of systems) one.setAttribute("aria-pressed", String(one.dataset.system === app.units.system));
    for (const update of updates) update(w);
  }

  return {
    el: dialog,
    /**
     * Opens the working of a number; closing it returns to where it was opened.
     * @param {string} id
     */
    open(id) {
      opener = document.activeElement;
      devices.value = id.split(".")[0] ?? "";
      list();
      numbers.value = id;
      if (!dialog.open) dialog.showModal();
      start(id);
    },
    /** @param {boolean} slow */
    update(slow) {
      if (slow && dialog.open) refresh();
    },
  };
}
