// Fields that a hand has made, because what they write belongs together: choices and which are right, actions and their
// right order, moments, patterns of commands, ticks for a list of names.

import { h } from "../dom.js";
import { say } from "../words.js";
import { placeOf } from "./doc.js";
import { framed, ids, listOf, numberField, select } from "./fields.js";
import { hintOf, kindText, labelOf } from "./label.js";
import { shortOf } from "./names.js";
import { meaning, plain, root, unionOf, wordsOf } from "./schema.js";

/**
 * @typedef {import("./fields.js").Form} Form
 * @typedef {import("./fields.js").About} About
 * @typedef {import("./doc.js").Path} Path
 * @typedef {import("./schema.js").Schema} Schema
 */

/** @param {Path} path @param {string} label @param {(Node | null)[]} inside */
const framedGroup = (path, label, ...inside) =>
  h(
    "fieldset",
    { class: "ed-group", "data-place": placeOf(path) },
    h("legend", { text: label }),
    h("p", { class: "ed-fault", id: `ed-fault:${placeOf(path)}` }),
    ...inside,
  );

/** @param {string} text @param {string} label @param {() => void} click */
const small = (text, label, click) =>
  h("button", { type: "button", class: "ed-small", text, title: label, "aria-label": label, on: { click } });

/** @param {Form} form @param {Path} path @param {string} word @param {number} k @param {string} text */
function line(form, path, word, k, text) {
  const control = h("input", { type: "text", class: "ed-text", autocomplete: "off", "aria-label": `${word} ${k + 1}` });
  control.id = `ed:${placeOf(path)}`;
  control.value = text;
  control.addEventListener("input", () => form.doc.set(path, control.value));
  return control;
}

/**
 * Choices, each with a tick where it is right.
 * @param {Form} form
 * @param {Path} path  of the answer
 */
export function choices(form, path) {
  const value = form.doc.get(path);
  /** @type {string[]} */
  const list = value.choices ?? [];
  /** @type {number[]} */
  const right = value.right ?? [];
  // Of what stands there then: texts are typed without the form being built anew.
  const takeOut = (/** @type {number} */ k) => form.doc.change(path, (old) => ({ ...old, choices: without(old.choices, k), right: shifted(old.right, k) }));
  const rows = list.map((text, k) => {
    const own = [...path, "choices", k];
    const tick = h("input", { type: "checkbox", "aria-label": say("ed_right_choice", { n: k + 1 }) });
    tick.checked = right.includes(k);
    tick.addEventListener("change", () =>
      form.doc.set([...path, "right"], list.map((_, j) => j).filter((j) => (j === k ? tick.checked : right.includes(j))), true),
    );
    return h(
      "li",
      { class: "ed-line", "data-place": placeOf(own) },
      h("label", { class: "ed-right" }, tick, ` ${say("ed_right")}`),
      line(form, own, say("ed_choice"), k, text),
      small("✕", `${say("ed_remove")}: ${text}`, () => takeOut(k)),
      h("p", { class: "ed-fault", id: `ed-fault:${placeOf(own)}` }),
    );
  });
  const add = h("button", { type: "button", class: "ed-add", text: `+ ${say("ed_choice")}`, on: { click: () => form.doc.change([...path, "choices"], (old) => [...(old ?? []), ""]) } });
  return framedGroup([...path, "choices"], say("ed_choices"), h("ol", {}, ...rows), h("p", { class: "ed-buttons" }, add), slot([...path, "right"]));
}

/** @param {string[]} list @param {number} k */
const without = (list, k) => list.filter((_, j) => j !== k);

/** Indices of a list from which one has been taken out. @param {number[]} indices @param {number} k */
const shifted = (indices, k) => indices.filter((j) => j !== k).map((j) => (j > k ? j - 1 : j));

/** Where a fault of a field that has no frame of its own stands. @param {Path} path */
const slot = (path) =>
  h("div", { "data-place": placeOf(path) }, h("p", { class: "ed-fault", id: `ed-fault:${placeOf(path)}` }));

/**
 * Actions in the order shown, each with its place in the right order.
 * @param {Form} form
 * @param {Path} path  of the answer
 */
export function order(form, path) {
  const value = form.doc.get(path);
  /** @type {string[]} */
  const list = value.actions ?? [];
  const kept = /** @type {number[]} */ (value.right ?? []).filter((k) => k < list.length);
  // Whatever has no place yet comes last.
  const right = [...kept, ...list.map((_, k) => k).filter((k) => !kept.includes(k))];
  const takeOut = (/** @type {number} */ k) => form.doc.change(path, (old) => ({ ...old, actions: without(old.actions, k), right: shifted(right, k) }));
  const rows = list.map((text, k) => {
    const own = [...path, "actions", k];
    const place = select(
      list.map((_, j) => ({ value: String(j), text: say("ed_place", { n: j + 1 }) })),
      String(right.indexOf(k)),
      (to) => {
        const next = right.filter((j) => j !== k);
        next.splice(Number(to), 0, k);
        form.doc.set([...path, "right"], next, true);
      },
    );
    place.setAttribute("aria-label", say("ed_place_of", { n: k + 1 }));
    return h(
      "li",
      { class: "ed-line", "data-place": placeOf(own) },
      line(form, own, say("ed_action"), k, text),
      place,
      small("✕", `${say("ed_remove")}: ${text}`, () => takeOut(k)),
      h("p", { class: "ed-fault", id: `ed-fault:${placeOf(own)}` }),
    );
  });
  const add = h("button", {
    type: "button",
    class: "ed-add",
    text: `+ ${say("ed_action")}`,
    on: { click: () => form.doc.change(path, (old) => ({ ...old, actions: [...(old.actions ?? []), ""], right: [...right, list.length] })) },
  });
  return framedGroup([...path, "actions"], say("ed_actions"), h("ol", {}, ...rows), h("p", { class: "ed-buttons" }, add), slot([...path, "right"]));
}

/**
 * A moment: a time, or when something of the timeline took place, and so much later.
 * @param {Form} form @param {Path} path @param {About} about @param {Schema} schema
 */
export function moment(form, path, about, schema) {
  const value = form.doc.get(path) ?? schema.default ?? { at_s: 0 };
  const options = [
    { value: "", text: say("ed_at_time") },
    ...ids(form, "timeline").map((id) => ({ value: id, text: say("ed_at_happening", { id }) })),
  ];
  const choice = select(options, value.happening ?? "", (id) =>
    form.doc.change(path, (old) => (id ? { happening: id, ...(old?.plus_s ? { plus_s: old.plus_s } : {}) } : { at_s: old?.at_s ?? 0 })),
  );
  const definition = root().$defs.Moment.properties;
  const inner = value.happening
    ? numberField(form, [...path, "plus_s"], { name: "plus_s", of: "Moment", required: false }, definition.plus_s)
    : numberField(form, [...path, "at_s"], { name: "at_s", of: "Moment", required: true }, { ...definition.at_s, default: value.at_s ?? undefined });
  const framing = framed([...path, "happening"], say("ed_moment"), choice, "");
  return framedGroup(path, labelOf(about.name, about.of), framing, inner);
}

/**
 * Some fields of a command: its kind, and whatever else has to be equal.
 * @param {Form} form @param {Path} path @param {About} about
 */
export function pattern(form, path, about) {
  const commands = unionOf(plain({ $ref: "#/$defs/Command" }));
  const value = /** @type {Record<string, any>} */ (form.doc.get(path) ?? {});
  const found = commands?.kinds.find((one) => one.kind === value.do);
  const choice = select(
    (commands?.kinds ?? []).map((one) => ({ value: one.kind, text: kindText(one.kind, one.schema.description), title: meaning(one.schema.description) })),
    value.do ?? "",
    (kind) => form.doc.set(path, { do: kind, ...(value.heater ? { heater: value.heater } : {}) }, true),
  );
  const fields = Object.entries(found?.schema.properties ?? {}).flatMap(([name, schema]) => {
    const s = plain(/** @type {Schema} */ (schema));
    const own = [...path, name];
    const list = wordsOf(s)?.map(({ word }) => word) ?? listOf(form, own, name);
    if (name === "do" || !list) return [];
    const named = (/** @type {string} */ id) => (wordsOf(s) ? kindText(id, "") : ["alarm", "row", "id"].includes(name) ? id : shortOf(form.names, id));
    const options = [{ value: "", text: say("ed_any") }, ...list.map((id) => ({ value: id, text: named(id), title: id }))];
    const put = (/** @type {string} */ to) => form.doc.set(own, to || undefined, true);
    return [framed(own, labelOf(name, "Pattern"), select(options, value[name] ?? "", put), hintOf(s))];
  });
  return framedGroup(path, about.name ? labelOf(about.name, about.of) : say("ed_command"), framed([...path, "do"], say("ed_command"), choice, ""), ...fields);
}

/**
 * A list of names as ticks.
 * @param {Form} form @param {Path} path @param {string} label @param {string[]} list
 */
export function checks(form, path, label, list) {
  const chosen = /** @type {string[]} */ (form.doc.get(path) ?? []);
  // What the plant does not have stays to be seen, and to be taken out.
  const all = [...list, ...chosen.filter((id) => !list.includes(id))];
  const boxes = all.map((id) => {
    const tick = h("input", { type: "checkbox" });
    tick.checked = chosen.includes(id);
    tick.addEventListener("change", () =>
      form.doc.change(path, (old) => all.filter((one) => (one === id ? tick.checked : (old ?? []).includes(one)))),
    );
    const at = chosen.indexOf(id);
    return h(
      "span",
      { class: "ed-tick", "data-place": at >= 0 ? placeOf([...path, at]) : null },
      h("label", {}, tick, ` ${list.includes(id) ? shortOf(form.names, id) : `${id} ?`}`),
      at >= 0 ? h("p", { class: "ed-fault", id: `ed-fault:${placeOf([...path, at])}` }) : null,
    );
  });
  return framedGroup(path, label, h("div", { class: "ed-ticks" }, ...boxes));
}
