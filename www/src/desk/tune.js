// Every controller: what it shows and does, its tuning, and the way back to the plant file's figures.

import { nameOf } from "../alarms/name.js";
import { h, set, setText } from "../dom.js";
import { say } from "../words.js";
import { own } from "./travel.js";

/** @typedef {import("bledsteam_web").ControllerView} Controller */
/** @typedef {"setpoint" | "gain" | "integral_time" | "output" | "lowest" | "highest"} Field */

/** @param {import("../app.js").App} app */
export function createTune(app) {
  const session = own(app);
  const { units } = app;
  const refusal = h("p", { class: "refusal", role: "status" });
  const body = h("tbody");
  const what = (/** @type {string} */ id) => nameOf(app, id, "controller");

  /**
   * Percent for outputs; gains in percent for each unit that is shown of what is measured.
   * @param {Controller["quantity"]} quantity
   * @returns {Record<Field, { shown: (inside: number) => number, inside: (shown: number) => number, digits: number }>}
   */
  function scaleOf(quantity) {
    const factor = () => units.display(quantity).factor;
    const percent = { shown: (/** @type {number} */ v) => v * 100, inside: (/** @type {number} */ v) => v / 100, digits: 1 };
    const digits = quantity === "pressure" ? 4 : 1;
    return {
      setpoint: { shown: (v) => units.shown(quantity, v), inside: (v) => units.inside(quantity, v), digits },
      output: percent,
      lowest: percent,
      highest: percent,
      gain: { shown: (v) => (v * 100) / factor(), inside: (v) => (v * factor()) / 100, digits: 4 },
      integral_time: { shown: (v) => v, inside: (v) => v, digits: 1 },
    };
  }

  /** What stands in a field of a controller, or did in the plant file; none of an output, which is not kept there.
   * @param {Controller | Controller["file"]} c @param {Field} field */
  function valueOf(c, field) {
    if (field === "lowest") return c.limits[0];
    if (field === "highest") return c.limits[1];
    return field === "output" ? ("output" in c ? c.output : null) : c[field];
  }
  /** @type {readonly Field[]} */
  const KEPT = ["setpoint", "gain", "integral_time", "lowest", "highest"];
  /** @param {Controller} c */
  const changed = (c) => KEPT.some((field) => valueOf(c, field) !== valueOf(c.file, field));
  /** @param {Controller} c */
  function back(c) {
    const file = KEPT.map((field) => [field, valueOf(c.file, field)]).filter(([, value]) => value !== null);
    return app.command({ do: "set_controller", id: c.id, ...Object.fromEntries(file) });
  }
  /** @param {import("../types.js").Fault | null} fault @param {string} id */
  const tell = (fault, id) => {
    setText(refusal, fault ? `${what(id)}: ${app.explain({ ...fault, place: "" })}` : "");
    update();
  };

  /** @param {Controller} first */
  function makeRow(first) {
    const { id } = first;
    let last = first;
    const scale = scaleOf(first.quantity);
    /** @param {Field} field @param {number} inside */
    const text = (field, inside) => String(Number(scale[field].shown(inside).toFixed(scale[field].digits)));
    const name = what(id);
    const mode = h("button", {
      type: "button",
      "data-desk": "mode",
      on: {
        click: () =>
          tell(app.command({ do: "set_controller", id, mode: last.mode === "auto" ? "manual" : "auto" }), id),
      },
    });
    /** @param {Field} field @param {string} label */
    const input = (field, label) => {
      const el = h("input", {
        type: "number",
        step: "any",
        "data-tune": field,
        "aria-label": say("tune_field", { field: label, what: name }),
        on: {
          change: () => {
            const shown = el.value.trim() === "" ? NaN : Number(el.value);
            if (!Number.isFinite(shown)) return setText(refusal, say("not_a_number"));
            tell(app.command({ do: "set_controller", id, [field]: scale[field].inside(shown) }), id);
            fill();
          },
        },
      });
      return el;
    };
    const fields = /** @type {const} */ ({
      setpoint: input("setpoint", say("tune_setpoint")),
      output: input("output", say("tune_output")),
      lowest: input("lowest", say("tune_lowest")),
      highest: input("highest", say("tune_highest")),
      gain: input("gain", say("tune_gain", { unit: "" })),
      integral_time: input("integral_time", say("tune_integral")),
    });
    const measured = h("td", { class: "num" });
    const unit = h("td", { class: "label" });
    const undo = h("button", {
      type: "button",
      "data-desk": "undo_tune",
      text: say("tune_back"),
      "aria-label": `${say("tune_back")}: ${name}`,
      title: say("tune_back_of", { what: name }),
      on: {
        click: () => {
          if (changed(last)) tell(back(last), id);
          fill();
        },
      },
    });
    const integral = h("td", {}, first.integral_time === null ? h("span", { class: "label", text: say("tune_none") }) : fields.integral_time);
    const el = h(
      "tr",
      { "data-controller": id },
      h("th", { scope: "row", text: name }),
      h("td", {}, mode),
      unit,
      h("td", {}, fields.setpoint),
      measured,
      h("td", {}, fields.output),
      h("td", { class: "tune-limits" }, fields.lowest, h("span", { "aria-hidden": "true", text: "–" }), fields.highest),
      h("td", {}, fields.gain),
      integral,
      h("td", {}, undo),
    );
    /** Writes what is so into every field that nobody is typing in. */
    function fill() {
      for (const field of /** @type {readonly Field[]} */ (["output", ...KEPT])) {
        const inside = valueOf(last, field);
        const box = fields[field];
        if (inside === null || document.activeElement === box) continue;
        const now = text(field, inside);
        if (box.value !== now) box.value = now;
        const was = valueOf(last.file, field);
        const off = was !== null && was !== inside;
        set(box, { "data-changed": off ? "yes" : null, title: off ? say("tune_changed", { was: text(field, was) }) : null });
      }
    }
    return {
      el,
      /** @param {Controller} c */
      update(c) {
        last = c;
        setText(mode, say(c.mode === "auto" ? "tune_auto" : "tune_manual"));
        set(mode, { "aria-label": `${say("tune_field", { field: say("tune_mode"), what: name })}: ${say(c.mode === "auto" ? "tune_auto" : "tune_manual")}`, "data-mode": c.mode });
        setText(unit, units.unit(c.quantity));
        setText(measured, units.text(c.quantity, c.measured));
        // In automatic the output is the controller's own.
        fields.output.readOnly = c.mode === "auto";
        set(fields.output, { "data-own": c.mode === "auto" ? "yes" : null });
        set(undo, { "aria-disabled": changed(c) ? null : "true" });
        set(el, { "data-changed": changed(c) ? "yes" : null });
        fill();
      },
    };
  }
  /** @type {Map<string, ReturnType<typeof makeRow>>} */
  const rows = new Map();
  const all = h("button", {
    type: "button",
    "data-desk": "undo_all",
    text: say("tune_all"),
    on: {
      click: () => {
        for (const c of session.controllers()) if (changed(c)) tell(back(c), c.id);
        update();
      },
    },
  });
  const head = (/** @type {import("../words.js").Word} */ word) => h("th", { scope: "col", text: say(word) });

  function update() {
    const list = session.controllers();
    for (const c of list) {
      let row = rows.get(c.id);
      if (!row) {
        rows.set(c.id, (row = makeRow(c)));
        body.append(row.el);
      }
      row.update(c);
    }
    set(all, { "aria-disabled": list.some(changed) ? null : "true" });
  }

  return {
    el: h(
      "div",
      { class: "tune" },
      h("div", { class: "desk-head" }, h("p", { class: "label", text: say("tune_note") }), all),
      refusal,
      h(
        "div",
        { class: "alarm-scroll", role: "region", tabindex: 0, "aria-label": say("tune_tab") },
        h(
          "table",
          { class: "alarm-table tune-table" },
          h(
            "thead",
            {},
            h("tr", {}, head("tune_controller"), head("tune_mode"), head("tune_unit"), head("tune_setpoint"), head("tune_measured"), h("th", { scope: "col", text: `${say("tune_output")}, %` }), h("th", { scope: "col", text: `${say("tune_limits")}, %` }), h("th", { scope: "col", text: say("tune_gain", { unit: say("tune_per") }) }), head("tune_integral"), h("th", { scope: "col" }, h("span", { class: "visually-hidden", text: say("tune_back") }))),
          ),
          body,
        ),
      ),
    ),
    update,
  };
}
