// Every controller: what it shows and does, its tuning, and the way back to the plant file's figures.

import { nameOf } from "../alarms/name.js";
import { h, set, setText } from "../dom.js";
import { say } from "../words.js";
import { own } from "./travel.js";

/** @typedef {import("bledsteam_web").ControllerView} Controller */
/** @typedef {"setpoint" | "gain" | "integral_time" | "output"} Field */

/** @param {import("../app.js").App} app */
export function createTune(app) {
  const session = own(app);
  const { units } = app;
  const refusal = h("p", { class: "refusal", role: "status" });
  const body = h("tbody");
  const what = (/** @type {string} */ id) => nameOf(app, id, "controller");

  // Percent for outputs; gains in percent for each unit of level that is shown.
  const level = () => units.display("level_offset");
  /** @type {Record<Field, { shown: (inside: number) => number, inside: (shown: number) => number, digits: number }>} */
  const scale = {
    setpoint: { shown: (v) => units.shown("level_offset", v), inside: (v) => units.inside("level_offset", v), digits: 1 },
    output: { shown: (v) => v * 100, inside: (v) => v / 100, digits: 1 },
    gain: { shown: (v) => (v * 100) / level().factor, inside: (v) => (v * level().factor) / 100, digits: 4 },
    integral_time: { shown: (v) => v, inside: (v) => v, digits: 1 },
  };
  /** @param {Field} field @param {number} inside */
  const text = (field, inside) => String(Number(scale[field].shown(inside).toFixed(scale[field].digits)));

  /** @param {Controller} c */
  const changed = (c) =>
    c.setpoint !== c.file.setpoint || c.gain !== c.file.gain || c.integral_time !== c.file.integral_time;
  /** @param {Controller} c */
  function back(c) {
    const { setpoint, gain, integral_time } = c.file;
    return app.command({
      do: "set_controller",
      id: c.id,
      setpoint,
      gain,
      ...(integral_time === null ? {} : { integral_time }),
    });
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
      gain: input("gain", say("tune_gain", { unit: "" })),
      integral_time: input("integral_time", say("tune_integral")),
    });
    const measured = h("td", { class: "num" });
    const limits = h("td", { class: "num label" });
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
      h("td", {}, fields.setpoint),
      measured,
      h("td", {}, fields.output),
      limits,
      h("td", {}, fields.gain),
      integral,
      h("td", {}, undo),
    );
    /** Writes what is so into every field that nobody is typing in. */
    function fill() {
      for (const field of /** @type {const} */ (["setpoint", "output", "gain", "integral_time"])) {
        const inside = last[field];
        const box = fields[field];
        if (inside === null || document.activeElement === box) continue;
        const now = text(field, inside);
        if (box.value !== now) box.value = now;
        const was = field === "output" ? null : last.file[field];
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
        setText(measured, units.text("level_offset", c.measured));
        setText(limits, `${text("output", c.limits[0])}–${text("output", c.limits[1])}`);
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
  const gainHead = h("th", { scope: "col" });
  const setHead = h("th", { scope: "col" });
  const measuredHead = h("th", { scope: "col" });
  const head = (/** @type {import("../words.js").Word} */ word) => h("th", { scope: "col", text: say(word) });

  function update() {
    const unit = units.unit("level_offset");
    setText(gainHead, say("tune_gain", { unit }));
    setText(setHead, `${say("tune_setpoint")}, ${unit}`);
    setText(measuredHead, `${say("tune_measured")}, ${unit}`);
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
            h("tr", {}, head("tune_controller"), head("tune_mode"), setHead, measuredHead, h("th", { scope: "col", text: `${say("tune_output")}, %` }), h("th", { scope: "col", text: `${say("tune_limits")}, %` }), gainHead, head("tune_integral"), h("th", { scope: "col" }, h("span", { class: "visually-hidden", text: say("tune_back") }))),
          ),
          body,
        ),
      ),
    ),
    update,
  };
}
