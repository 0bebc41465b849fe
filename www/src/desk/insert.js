// Making something go wrong: where, what, how far, and when: at once, after a delay, or when a condition holds.

import { h, set, setText, show } from "../dom.js";
import { asFault } from "../fault.js";
import { segmented } from "../header.js";
import { fullNameOf } from "../trends/names.js";
import { say } from "../words.js";
import { createConditions } from "./conditions.js";
import { conditionText, kindName, befallen, placeOf, shortly, truthOf } from "./say.js";
import { own } from "./travel.js";

/**
 * @param {import("../app.js").App} app
 * @param {() => void} changed
 */
export function createInsert(app, changed) {
  const { manifest, units } = app;
  /** What can happen at a place. @type {Map<string, { kind: string, device: string }[]>} */
  const at = new Map();
  const order = [...manifest.heaters].sort((a, b) => a.number - b.number).map(({ id }) => id);
  for (const id of order) at.set(id, []);
  for (const { kind, devices } of manifest.malfunctions)
    for (const device of devices) {
      const place = placeOf(device);
      at.set(place, [...(at.get(place) ?? []), { kind, device }]);
    }
  const places = [...at].filter(([, list]) => list.length > 0);

  const where = h(
    "select",
    { id: "wrong-device", "data-desk": "device" },
    ...places.map(([place]) => h("option", { value: place, text: app.short(place) })),
  );
  const what = h("select", { id: "wrong-kind", "data-desk": "kind" });
  const size = h("input", { type: "number", id: "wrong-size", step: "any", inputmode: "decimal" });
  const sizeUnit = h("span", { class: "unit" });
  const range = h("span", { class: "label" });
  const sizeField = h("div", { class: "field" }, h("label", { for: "wrong-size", text: say("wrong_size") }), h("span", { class: "with-unit" }, size, sizeUnit), range);
  const ramp = h("input", { type: "number", id: "wrong-ramp", min: 0, step: "any", value: 0 });
  const rampField = h("div", { class: "field" }, h("label", { for: "wrong-ramp", text: say("wrong_ramp") }), h("span", { class: "with-unit" }, ramp, h("span", { text: "s" })));
  const delay = h("input", { type: "number", id: "wrong-delay", min: 0, step: "any", value: 60 });
  const delayField = h("div", { class: "field" }, h("label", { for: "wrong-delay", text: say("wrong_delay") }), h("span", { class: "with-unit" }, delay, h("span", { text: "s" })));
  const conditions = createConditions(app);
  /** @type {"now" | "later" | "if"} */
  let when = "now";
  const whens = segmented(
    say("wrong_when"),
    /** @type {const} */ (["now", "later", "if"]).map((one) => ({
      text: say(`wrong_${one}`),
      data: { when: one },
      click: () => {
        when = one;
        arrange();
      },
    })),
  );
  const truth = h("p", { class: "wrong-truth", role: "status" });
  const answer = h("p", { class: "desk-answer", role: "status" });
  const refusal = h("p", { class: "refusal", role: "status" });
  const insert = h("button", { type: "button", class: "primary", "data-desk": "insert", text: say("wrong_insert"), on: { click: send } });

  const chosen = () => (at.get(where.value) ?? [])[Number(what.value)];
  const spec = () => manifest.malfunctions.find(({ kind }) => kind === chosen()?.kind);

  function fillKinds() {
    const list = at.get(where.value) ?? [];
    /** Many transmitters stand at a heater: each has a group of its own. @type {Map<string, HTMLElement>} */
    const groups = new Map();
    what.replaceChildren();
    list.forEach(({ kind, device }, n) => {
      if (kind.startsWith("transmitter_")) {
        const group = groups.get(device) ?? h("optgroup", { label: fullNameOf(app, device) });
        groups.set(device, group);
        group.append(h("option", { value: n, text: kindName(kind) }));
        return;
      }
      const which = /\.level_(control|protection)$/.exec(device)?.[1];
      const more = which
        ? ` (${say(which === "control" ? "wrong_control" : "wrong_protection")})`
        : device.includes(".")
          ? ` (${befallen(app, device)})`
          : "";
      what.append(h("option", { value: n, text: kindName(kind) + more }));
    });
    what.append(...groups.values());
    fillSize();
  }
  function fillSize() {
    const own = spec()?.size;
    show(sizeField, Boolean(own));
    if (own) {
      const digits = Math.max(2, units.display(own.quantity).digits);
      const text = (/** @type {number} */ inside) => String(Number(units.shown(own.quantity, inside).toFixed(digits)));
      size.value = text(own.default);
      setText(sizeUnit, units.unit(own.quantity));
      setText(range, say("wrong_range", { low: text(own.low), high: text(own.high) }));
    }
    arrange();
  }
  /** The malfunction as the form stands. */
  function asked() {
    const one = chosen();
    const own = spec()?.size;
    if (!one) return null;
    return {
      ...one,
      ...(own ? { size: units.inside(own.quantity, size.value.trim() === "" ? NaN : Number(size.value)) } : {}),
      ...(when === "later" ? { delay_s: Number(delay.value) } : {}),
      ramp_s: Number(ramp.value),
    };
  }
  function arrange() {
    for (const button of whens.buttons) set(button, { "aria-pressed": String(button.dataset.when === when) });
    show(delayField, when === "later");
    show(conditions.el, when === "if");
    const malfunction = asked();
    setText(truth, malfunction ? truthOf(app, malfunction) : "");
  }

  function send() {
    const malfunction = asked();
    if (!malfunction) return;
    setText(answer, "");
    setText(refusal, "");
    /** @type {import("../types.js").Fault | null} */
    let fault = null;
    if (Object.values(malfunction).some((value) => typeof value === "number" && !Number.isFinite(value))) {
      setText(refusal, say("not_a_number"));
      return;
    }
    if (when === "if") {
      const condition = conditions.read();
      if (typeof condition === "string") {
        setText(refusal, condition);
        return;
      }
      try {
        own(app).schedule(condition, malfunction);
        app.version += 1;
        setText(answer, `${say("wrong_set", { what: shortly(app, malfunction) })} (${conditionText(app, condition)})`);
      } catch (thrown) {
        fault = asFault(thrown);
      }
    } else {
      fault = app.command({ do: "insert_malfunction", malfunction });
      if (!fault) setText(answer, say(when === "later" ? "wrong_set" : "wrong_inserted", { what: shortly(app, malfunction) }));
    }
    if (fault) setText(refusal, app.explain({ ...fault, place: "" }));
    changed();
  }

  where.addEventListener("change", fillKinds);
  what.addEventListener("change", fillSize);
  for (const field of [size, ramp, delay]) field.addEventListener("input", arrange);
  if (at.get(app.picked)?.length) where.value = app.picked;
  fillKinds();
  let system = units.system;

  return {
    el: h(
      "div",
      { class: "wrong" },
      h(
        "div",
        { class: "desk-fields" },
        h("div", { class: "field" }, h("label", { for: "wrong-device", text: say("wrong_device") }), where),
        h("div", { class: "field wide" }, h("label", { for: "wrong-kind", text: say("wrong_kind") }), what),
        sizeField,
        rampField,
      ),
      h("div", { class: "desk-fields" }, h("div", { class: "field" }, h("span", { class: "label", text: say("wrong_when") }), whens.el), delayField),
      conditions.el,
      h("div", { class: "wrong-end" }, insert, h("div", {}, h("span", { class: "label", text: say("wrong_truth") }), truth)),
      answer,
      refusal,
    ),
    update() {
      if (system === units.system) return;
      system = units.system;
      fillSize();
      conditions.renew();
    },
  };
}
