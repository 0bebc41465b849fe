// Single fields: texts, numbers with their unit, choices, names of what the plant has.

import { h, setText } from "../dom.js";
import { plantTime } from "../units.js";
import { say } from "../words.js";
import { nameOf } from "../trends/names.js";
import { placeOf } from "./doc.js";
import { hintOf, kindText, labelOf } from "./label.js";
import { shortOf } from "./names.js";
import { unitOf, wordsOf } from "./schema.js";

/**
 * @typedef {import("./doc.js").Path} Path
 * @typedef {import("./schema.js").Schema} Schema
 * @typedef {{ doc: import("./doc.js").Doc, app: import("../app.js").App, names: import("./names.js").Names | null, takePlant: (file: File) => void }} Form
 * @typedef {{ name: string, of: string, required: boolean }} About  a property, what it belongs to, whether it must be given
 */

/** Texts of more than a line. */
const LONG = new Set(["brief", "idea", "explanation", "note", "text"]);
/** Lists of names, by the field that holds one. */
const LISTS = {
  /** @param {Form} f */ heater: (f) => f.names?.closed,
  /** @param {Form} f */ pump: (f) => f.names?.pumps,
  /** @param {Form} f */ alarm: (f) => f.names?.alarms,
  /** @param {Form} f */ row: (f) => f.names?.rows,
  /** @param {Form} f */ question: (f) => ids(f, "questions"),
  /** @param {Form} f */ prediction: (f) => ids(f, "predictions"),
  /** @param {Form} f */ happening: (f) => ids(f, "timeline"),
};

/** @param {Form} form @param {string} list */
export const ids = (form, list) =>
  /** @type {{ id?: string }[]} */ (form.doc.get([list]) ?? []).map(({ id }) => id ?? "").filter(Boolean);

/** Differences: no offset when a unit is changed. */
const DIFFERENCES = new Set(["tolerance", "lost_by"]);

/**
 * The frame of a field: its label, its control, what it means, and where a fault will stand.
 * @param {Path} path
 * @param {string} label
 * @param {HTMLElement} control  gets the id that the label names
 * @param {string} hint
 * @param {(Node | null)[]} more
 */
export function framed(path, label, control, hint, ...more) {
  const place = placeOf(path);
  control.id = `ed:${place}`;
  return h(
    "div",
    { class: "ed-field", "data-place": place },
    h("label", { for: control.id, text: label, title: hint || null }),
    h("span", { class: "ed-control" }, control, ...more),
    h("p", { class: "ed-fault", id: `ed-fault:${place}` }),
  );
}

/**
 * @param {{ value: string, text: string, title?: string }[]} options
 * @param {string} value
 * @param {(value: string) => void} put
 */
export function select(options, value, put) {
  const known = options.some((one) => one.value === value);
  const control = h(
    "select",
    { on: { change: () => put(control.value) } },
    // What the plant does not have is shown as it stands, so that its fault can be seen and mended.
    known ? null : h("option", { value, text: value ? `${value} ?` : "–" }),
    ...options.map((one) => h("option", { value: one.value, text: one.text, title: one.title || null })),
  );
  control.value = value;
  return control;
}

/** @param {Form} form @param {Path} path @param {About} about @param {Schema} schema */
export function textField(form, path, about, schema) {
  const long = LONG.has(about.name);
  const control = h(long ? "textarea" : "input", {
    class: "ed-text",
    ...(long ? { rows: path.length === 1 ? (about.name === "idea" ? 3 : 8) : 2 } : { type: "text", autocomplete: "off" }),
    spellcheck: long ? "true" : "false",
  });
  control.value = form.doc.get(path) ?? "";
  control.addEventListener("input", () => {
    const absent = !about.required && control.value === "";
    form.doc.set(path, absent ? undefined : control.value);
  });
  return framed(path, labelOf(about.name, about.of), control, hintOf(schema));
}

/** @param {Form} form @param {Path} path @param {About} about @param {Schema} schema */
export function wordField(form, path, about, schema) {
  const options = (wordsOf(schema) ?? []).map(({ word, means }) => ({
    value: word,
    text: about.name === "quantity" ? quantityText(form, word) : kindText(word, means),
    title: means,
  }));
  if (!about.required) options.unshift({ value: "", text: say("ed_any"), title: "" });
  const put = (/** @type {string} */ value) => form.doc.set(path, value || undefined, true);
  return framed(path, labelOf(about.name, about.of), select(options, form.doc.get(path) ?? "", put), hintOf(schema));
}

/** @param {Form} form @param {string} quantity */
function quantityText(form, quantity) {
  const unit = form.app.units.unit(quantity);
  const name = quantity.replaceAll("_", " ");
  return unit ? `${name} [${unit}]` : name;
}

/** @param {Form} form @param {Path} path @param {About} about @param {Schema} schema */
export function tickField(form, path, about, schema) {
  const control = h("input", { type: "checkbox", on: { change: () => form.doc.set(path, control.checked, true) } });
  control.checked = form.doc.get(path) ?? schema.default ?? false;
  return framed(path, labelOf(about.name, about.of), control, hintOf(schema));
}

/**
 * A name out of a list that the plant or the exercise itself has; null where there is no such list.
 * @param {Form} form @param {Path} path @param {About} about @param {Schema} schema
 */
export function nameField(form, path, about, schema) {
  const { name } = about;
  if (name === "signal" || path[0] === "trends") return signalField(form, path, about, schema);
  const list = listOf(form, path, name);
  if (!list) return null;
  const named = (/** @type {string} */ id) =>
    ["question", "prediction", "happening", "alarm", "row", "id"].includes(name) ? id : shortOf(form.names, id);
  const options = list.map((id) => ({ value: id, text: named(id), title: id }));
  if (!about.required) options.unshift({ value: "", text: say("ed_any"), title: "" });
  const put = (/** @type {string} */ value) => form.doc.set(path, value || undefined, true);
  return framed(path, labelOf(name, about.of), select(options, form.doc.get(path) ?? "", put), hintOf(schema));
}

/** @param {Form} form @param {Path} path @param {string} name @returns {string[] | undefined} */
export function listOf(form, path, name) {
  const beside = form.doc.get(path.slice(0, -1));
  if (name === "device" && beside?.kind !== undefined)
    return form.names?.manifest.malfunctions.find((one) => one.kind === beside.kind)?.devices;
  if (name === "device") return form.names?.devices;
  // Only a controller is named by an id that is not the thing's own.
  if (name === "id" && beside?.do === "set_controller") return form.names?.controllers;
  // A warm-up valve is a feed pump's.
  if (name === "heater" && beside?.valve === "warm_up") return form.names?.feedPumps;
  // The drain of an extraction line has a handwheel at the open heater too.
  if (name === "heater" && beside?.valve === "line_drain") return form.names?.manifest.heaters.map(({ id }) => id);
  return /** @type {Record<string, (f: Form) => string[] | undefined>} */ (LISTS)[name]?.(form);
}

/**
 * A signal: its device, then which of the device's.
 * @param {Form} form @param {Path} path @param {About} about @param {Schema} schema
 */
function signalField(form, path, about, schema) {
  const signals = form.names?.manifest.signals ?? [];
  const id = /** @type {string} */ (form.doc.get(path) ?? "");
  const device = signals.find((one) => one.id === id)?.device ?? id.split(".")[0] ?? "";
  const put = (/** @type {string | undefined} */ value) => form.doc.set(path, value, true);
  const devices = (form.names?.devices ?? []).map((one) => ({ value: one, text: shortOf(form.names, one), title: one }));
  if (!about.required && path[0] !== "trends") devices.unshift({ value: "", text: say("ed_none"), title: "" });
  const own = signals.filter((one) => one.device === device && !one.id.endsWith(".time"));
  const first = select(devices, device, (chosen) => {
    const others = signals.filter((one) => one.device === chosen);
    const same = others.find((one) => one.id.split(".")[1] === id.split(".")[1]);
    put(chosen ? (same ?? others[0])?.id : undefined);
  });
  const which = select(
    own.map((one) => ({ value: one.id, text: nameOf(one.id), title: one.id })),
    id,
    put,
  );
  const label = path[0] === "trends" ? say("ed_trend", { n: Number(path[1]) + 1 }) : labelOf(about.name, about.of);
  which.setAttribute("aria-label", say("ed_signal_of", { label }));
  which.classList.add("ed-signal");
  return framed(path, label, first, hintOf(schema), which);
}

/**
 * How an inside value is shown: its unit, and to it and back.
 * @param {Form} form @param {Path} path @param {string} name @param {Schema} schema
 */
function scaleOf(form, path, name, schema) {
  const { units } = form.app;
  const unit = unitOf(schema);
  const owner = path.slice(0, -1);
  const beside = form.doc.get(owner) ?? {};
  const plain = (/** @type {string} */ text) => ({ unit: text, shown: (/** @type {number} */ v) => v, inside: (/** @type {number} */ v) => v });
  /** @type {string | undefined} */
  let quantity;
  if (unit === "inside unit of the signal") quantity = form.names?.signal(beside.signal ?? "")?.quantity;
  else if (unit === "inside unit of the quantity") quantity = beside.quantity;
  else if (unit === "inside unit") quantity = form.names?.signal(form.doc.get(owner.slice(0, -1))?.signal ?? "")?.quantity;
  else if (name === "size") quantity = form.names?.manifest.malfunctions.find((one) => one.kind === beside.kind)?.size?.quantity;
  else if (["fraction", "position", "load", "dead_band"].includes(name)) quantity = "fraction";
  if (!quantity) return plain(unit.startsWith("inside") ? "" : unit.replace(/^share.*/, ""));
  if (!DIFFERENCES.has(name))
    return {
      unit: units.unit(quantity),
      shown: (/** @type {number} */ v) => units.shown(quantity, v),
      inside: (/** @type {number} */ v) => units.inside(quantity, v),
    };
  const { factor } = units.display(quantity);
  return { unit: units.unit(quantity), shown: (/** @type {number} */ v) => v * factor, inside: (/** @type {number} */ v) => v / factor };
}

/** Digits that a typed number keeps through a change of unit. */
const kept = (/** @type {number} */ value) => Number(value.toPrecision(10));

/** @param {Form} form @param {Path} path @param {About} about @param {Schema} schema */
export function numberField(form, path, about, schema) {
  const scale = scaleOf(form, path, about.name, schema);
  const control = h("input", { type: "number", step: "any", class: "ed-number", inputmode: "decimal" });
  const value = form.doc.get(path);
  if (typeof value === "number") control.value = String(kept(scale.shown(value)));
  else if (typeof schema.default === "number") control.placeholder = String(kept(scale.shown(schema.default)));
  const time = scale.unit === "s" ? h("span", { class: "label ed-clock" }) : null;
  const clock = () => {
    const seconds = control.value === "" ? Number(schema.default ?? NaN) : Number(control.value);
    if (time) setText(time, Number.isFinite(seconds) && seconds >= 60 ? plantTime(seconds) : "");
  };
  control.addEventListener("input", () => {
    const typed = control.value.trim();
    const inside = Number(typed);
    form.doc.set(path, typed === "" || !Number.isFinite(inside) ? undefined : kept(scale.inside(inside)));
    clock();
  });
  clock();
  const unit = scale.unit ? h("span", { class: "ed-unit", text: scale.unit === "points" || scale.unit === "points of 100" ? say("ed_points") : scale.unit }) : null;
  return framed(path, labelOf(about.name, about.of), control, hintOf(schema), unit, time);
}
