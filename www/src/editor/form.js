// The form of a part of an exercise, made out of its schema: objects, lists, kinds within kinds.

import { h } from "../dom.js";
import { say, sayOr } from "../words.js";
import { placeOf } from "./doc.js";
import { ids, nameField, numberField, select, textField, tickField, wordField } from "./fields.js";
import { hintOf, kindText, labelOf } from "./label.js";
import { shortOf } from "./names.js";
import { plantField } from "./plant.js";
import { choices, checks, moment, order, pattern } from "./special.js";
import { fresh, freshKind, meaning, plain, unionOf, wordsOf } from "./schema.js";

/**
 * @typedef {import("./fields.js").Form} Form
 * @typedef {import("./fields.js").About} About
 * @typedef {import("./doc.js").Path} Path
 * @typedef {import("./schema.js").Schema} Schema
 */

/** In which order fields are asked for; what is not named here comes before the explanation. */
const ORDER = [
  ...["id", "title", "text", "kind", "signal", "heater", "pump", "valve", "device", "event", "at_s", "when", "load", "out", "isolated", "cold"],
  ...["first", "then", "low", "high", "value", "quantity", "from", "until", "from_s", "until_s", "moment", "window_s", "commands"],
  ...["settle_s", "within_s", "late_s", "allowed_s", "lost_s", "lost_by", "tolerance", "size", "delay_s", "ramp_s", "held_s"],
  ...["permit", "lock", "answer", "what", "note", "explanation", "weight", "rule"],
];

/** What a new thing is called, by the list it is in. @type {Record<string, string>} */
const LETTERS = { timeline: "event", questions: "question", predictions: "prediction", objectives: "objective" };

/**
 * Names that must exist, for new values.
 * @param {Form} form
 * @param {string} list  the new value's
 */
export function knownTo(form, list) {
  return (/** @type {string} */ name, /** @type {Record<string, any>} */ beside) => {
    const closed = form.names?.closed;
    switch (name) {
      case "signal":
        return form.doc.get(["trends", 0]) ?? (closed?.[0] ? `${closed[0]}.level` : "unit.load");
      case "heater":
        return closed?.[0];
      case "pump":
        return form.names?.pumps[0];
      case "alarm":
        return form.names?.alarms[0];
      case "device":
        return beside.kind === undefined
          ? form.names?.devices[0]
          : form.names?.manifest.malfunctions.find((one) => one.kind === beside.kind)?.devices[0];
      case "question":
        return ids(form, "questions")[0];
      case "prediction":
        return ids(form, "predictions")[0];
      case "happening":
        return ids(form, "timeline")[0];
      case "id": {
        const word = LETTERS[list];
        if (!word) return form.names?.controllers[0];
        const had = ids(form, list);
        let n = had.length + 1;
        while (had.includes(`${word}-${n}`)) n += 1;
        return `${word}-${n}`;
      }
    }
    return undefined;
  };
}

/**
 * A field for a value of any schema.
 * @param {Form} form @param {Schema} schema @param {Path} path @param {About} about
 * @returns {HTMLElement}
 */
export function field(form, schema, path, about) {
  const s = plain(schema);
  if (s.named === "Moment") return optional(form, s, path, about, () => moment(form, path, about, s));
  if (about.name === "plant" && path.length === 1) return plantField(form, about, s);
  if (s.named === "Pattern") return pattern(form, path, about);
  if (unionOf(s)) return optional(form, s, path, about, () => union(form, s, path, about));
  if (wordsOf(s)) return wordField(form, path, about, s);
  switch (s.type) {
    case "object":
      return optional(form, s, path, about, () => group(path, labelOf(about.name, about.of), fieldsOf(form, s, path), s));
    case "array":
      return array(form, s, path, about);
    case "number":
    case "integer":
      return numberField(form, path, about, s);
    case "boolean":
      return tickField(form, path, about, s);
    default:
      return nameField(form, path, about, s) ?? textField(form, path, about, s);
  }
}

/**
 * The fields of an object, but for the tag that told its kind.
 * @param {Form} form @param {Schema} schema @param {Path} path @param {string} [kind]  whose fields they are
 * @returns {HTMLElement[]}
 */
export function fieldsOf(form, schema, path, kind = "") {
  // Where it is no kind of several, what it is in tells what its fields are about.
  const of = kind || String(path.findLast((part) => typeof part === "string") ?? "");
  const names = Object.keys(schema.properties).filter((name) => schema.properties[name].const === undefined);
  if (kind === "choice") return [choices(form, path)];
  if (kind === "order") return [order(form, path)];
  const required = new Set(schema.required ?? []);
  const rank = (/** @type {string} */ name) => (ORDER.includes(name) ? ORDER.indexOf(name) : ORDER.indexOf("explanation") - 0.5);
  names.sort((a, b) => rank(a) - rank(b));
  return names.map((name) => field(form, schema.properties[name], [...path, name], { name, of, required: required.has(name) }));
}

/**
 * @param {Path} path @param {string} label @param {(Node | null)[]} inside @param {Schema} schema
 */
function group(path, label, inside, schema) {
  const place = placeOf(path);
  return h(
    "fieldset",
    { class: "ed-group", "data-place": place },
    h("legend", { text: label, title: hintOf(schema) || null }),
    h("p", { class: "ed-fault", id: `ed-fault:${place}` }),
    ...inside,
  );
}

/**
 * A part that may be left out: a tick says whether it is there.
 * @param {Form} form @param {Schema} schema @param {Path} path @param {About} about @param {() => HTMLElement} make
 */
function optional(form, schema, path, about, make) {
  if (about.required || (schema.default && !schema.nullable)) return make();
  const there = form.doc.get(path) !== undefined && form.doc.get(path) !== null;
  const tick = h("input", {
    type: "checkbox",
    id: `ed-given:${placeOf(path)}`,
    on: { change: () => form.doc.set(path, tick.checked ? fresh(schema, knownTo(form, String(path[0])), about.name) : undefined, true) },
  });
  tick.checked = there;
  const label = labelOf(about.name, about.of);
  return h(
    "div",
    { class: "ed-optional", "data-place": there ? null : placeOf(path) },
    h("p", { class: "ed-given" }, tick, h("label", { for: tick.id, text: there ? label : say("ed_give", { label }), title: hintOf(schema) || null })),
    there ? make() : h("p", { class: "ed-fault", id: `ed-fault:${placeOf(path)}` }),
  );
}

/**
 * One of several kinds: which, and its fields.
 * @param {Form} form @param {Schema} schema @param {Path} path @param {About} about
 */
function union(form, schema, path, about) {
  const kinds = unionOf(schema);
  if (!kinds) return group(path, about.name, [], schema);
  const value = form.doc.get(path) ?? {};
  const found = kinds.kinds.find((one) => one.kind === value[kinds.tag]);
  const options = kinds.kinds.map((one) => ({
    value: one.kind,
    text: kindText(one.kind, one.schema.description),
    title: meaning(one.schema.description),
  }));
  const choice = select(options, value[kinds.tag] ?? "", (kind) =>
    form.doc.set(path, freshKind(kinds, kind, knownTo(form, ""), form.doc.get(path)), true),
  );
  const place = placeOf(path);
  choice.id = `ed:${place}.${kinds.tag}`;
  choice.classList.add("ed-kind");
  const label = labelOf(about.name, about.of);
  return h(
    "fieldset",
    { class: "ed-group ed-union", "data-place": place },
    h("legend", { text: label }),
    h("p", { class: "ed-fault", id: `ed-fault:${place}` }),
    h(
      "div",
      { class: "ed-field", "data-place": `${place}.${kinds.tag}` },
      h("label", { for: choice.id, text: say("ed_kind") }),
      h("span", { class: "ed-control" }, choice),
      h("p", { class: "ed-fault", id: `ed-fault:${place}.${kinds.tag}` }),
    ),
    found ? h("p", { class: "ed-means label", text: sayOr(`ed_means_${found.kind}`, hintOf(found.schema)).replace(/`(\w+)`/g, (_, name) => `“${labelOf(name, found.kind)}”`) }) : null,
    ...(found ? fieldsOf(form, found.schema, path, found.kind) : []),
  );
}

/** @param {Form} form @param {Path} path @param {number} k @param {any} value */
function summaryOf(form, path, k, value) {
  if (typeof value !== "object" || value === null) return String(value ?? "");
  const inner = value.text ?? value.title ?? value.note ?? "";
  const kind = value.is ?? value.do ?? value.kind ?? value.rule?.kind ?? value.answer?.kind ?? value.what?.kind;
  const parts = [value.id, inner && inner.length > 70 ? `${inner.slice(0, 70)} …` : inner];
  if (kind) parts.push(`(${kindText(kind, "")})`);
  const where = value.heater ?? value.malfunction?.device ?? value.device ?? value.signal;
  if (where) parts.push(where.includes?.(".") ? where : shortOf(form.names, where));
  if (value.malfunction) parts.push(kindText(value.malfunction.kind, ""));
  return parts.filter(Boolean).join(" · ") || `${labelOf(String(path.at(-1)))} ${k + 1}`;
}

/**
 * A list: its entries one below the other, each to be moved or taken out.
 * @param {Form} form @param {Schema} schema @param {Path} path @param {About} about
 * @returns {HTMLElement}
 */
function array(form, schema, path, about) {
  const item = plain(schema.items);
  const label = labelOf(about.name, about.of);
  const place = placeOf(path);
  if (item.type === "string" && !wordsOf(item)) {
    const { closed, devices, feedPumps } = form.names ?? {};
    const list = { out: closed, isolated: closed, cold: feedPumps, right: devices }[about.name];
    if (list) return checks(form, path, label, list);
  }
  const absent = schema.nullable && (form.doc.get(path) === undefined || form.doc.get(path) === null);
  if (absent) return optional(form, schema, path, { ...about, required: false }, () => h("div"));
  const values = /** @type {any[]} */ (form.doc.get(path) ?? []);
  const list = String(path.at(-1));
  const move = (/** @type {number} */ from, /** @type {number} */ to) =>
    form.doc.change(path, (old) => {
      const next = [...old];
      const [one] = next.splice(from, 1);
      next.splice(to, 0, one);
      return next;
    });
  const takeOut = (/** @type {number} */ k) => form.doc.change(path, (old) => old.filter((/** @type {any} */ _, /** @type {number} */ j) => j !== k));
  /** @param {string} text @param {import("../words.js").Word} word @param {string} name @param {boolean} off @param {() => void} click */
  const small = (text, word, name, off, click) =>
    h("button", { type: "button", class: "ed-small", text, title: say(word), "aria-label": `${say(word)}: ${name}`, disabled: off, on: { click } });
  const entries = values.map((value, k) => {
    const own = [...path, k];
    const name = summaryOf(form, path, k, value);
    const tools = h(
      "span",
      { class: "ed-tools" },
      small("↑", "ed_up", name, k === 0, () => move(k, k - 1)),
      small("↓", "ed_down", name, k === values.length - 1, () => move(k, k + 1)),
      small("✕", "ed_remove", name, false, () => takeOut(k)),
    );
    const scalar = item.type === "string" || item.type === "number" || item.type === "integer";
    const inner = field(form, schema.items, own, { name: scalar ? list : "", of: list, required: true });
    if (scalar) return h("li", { class: "ed-line" }, inner, tools);
    const title = h("span", { class: "ed-title", text: name });
    const box = h("details", { "data-item": placeOf(own), open: values.length === 1 }, h("summary", {}, title), inner);
    box.addEventListener("change", () => (title.textContent = summaryOf(form, path, k, form.doc.get(own))));
    return h("li", { class: "ed-item" }, box, tools);
  });
  const add = h("button", {
    type: "button",
    class: "ed-add",
    "data-add": place,
    text: `+ ${sayOr(`ed_add_${list}`, say("ed_add"))}`,
    on: {
      click: () =>
        form.doc.change(path, (old) => [...(old ?? []), fresh(schema.items, knownTo(form, list), list === "trends" ? "signal" : "")]),
    },
  });
  const clear = schema.nullable
    ? h("button", { type: "button", text: sayOr(`ed_clear_${list}`, say("ed_clear")), on: { click: () => form.doc.set(path, undefined, true) } })
    : null;
  return h(
    "fieldset",
    { class: "ed-group ed-list", "data-place": place },
    h("legend", { text: label, title: hintOf(schema) || null }),
    h("p", { class: "ed-fault", id: `ed-fault:${place}` }),
    values.length === 0 ? h("p", { class: "label", text: sayOr(`ed_no_${list}`, say("ed_none")) }) : h("ol", {}, ...entries),
    h("p", { class: "ed-buttons" }, add, clear),
  );
}
