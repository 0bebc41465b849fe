// The schema of exercises, read for a form: what a field is, what kinds there are, what a new one begins with.

import { exercise_schema } from "bledsteam_web";

/**
 * @typedef {Record<string, any>} Schema
 * @typedef {{ tag: string, kinds: { kind: string, schema: Schema }[] }} Union  objects told apart by a tag's constant
 */

/** @type {Schema | null} */
let whole = null;

/** @returns {Schema} */
export function root() {
  return (whole ??= JSON.parse(exercise_schema()));
}

/**
 * A schema without detours: what is referred to, under its name, with whatever is said beside the reference; what may be
 * null as what it is otherwise.
 * @param {Schema} schema
 * @returns {Schema & { named?: string, nullable?: boolean }}
 */
export function plain(schema) {
  if (schema.$ref) {
    const named = schema.$ref.split("/").at(-1);
    const { $ref: _, ...beside } = schema;
    return { ...plain(root().$defs[named]), named, ...beside, inner: root().$defs[named].description };
  }
  if (schema.anyOf?.length === 2 && schema.anyOf.some((/** @type {Schema} */ one) => one.type === "null")) {
    const { anyOf, ...beside } = schema;
    return { ...plain(anyOf.find((/** @type {Schema} */ one) => one.type !== "null")), ...beside, nullable: true };
  }
  if (Array.isArray(schema.type)) {
    return { ...schema, type: schema.type.find((one) => one !== "null"), nullable: schema.type.includes("null") };
  }
  return schema;
}

/** @param {Schema} schema @returns {Union | null} */
export function unionOf(schema) {
  const list = schema.oneOf;
  if (!Array.isArray(list) || !list.every((one) => one.type === "object")) return null;
  const tag = Object.keys(list[0].properties).find((name) => list.every((one) => one.properties[name]?.const !== undefined));
  return tag ? { tag, kinds: list.map((one) => ({ kind: one.properties[tag].const, schema: one })) } : null;
}

/**
 * The words of which a text is one, with what each means.
 * @param {Schema} schema
 * @returns {{ word: string, means: string }[] | null}
 */
export function wordsOf(schema) {
  if (Array.isArray(schema.enum)) return schema.enum.map((word) => ({ word, means: "" }));
  const list = schema.oneOf;
  if (!Array.isArray(list) || !list.every((one) => typeof one.const === "string" || Array.isArray(one.enum))) return null;
  return list.flatMap((one) =>
    one.enum
      ? one.enum.map((/** @type {string} */ word) => ({ word, means: one.description ?? "" }))
      : [{ word: one.const, means: one.description ?? "" }],
  );
}

/** What lies in square brackets at the end of a description: the unit. @param {Schema} schema */
export const unitOf = (schema) => /\[([^\]]+)\]\.?\s*$/.exec(schema.description ?? "")?.[1] ?? "";

/** A description without its unit, as one line. @param {string | undefined} description */
export const meaning = (description) => (description ?? "").replace(/\s*\[[^\]]+\](?=\.?\s*$)/, "").replace(/\s*\n\s*/g, " ");

/**
 * What a new value begins with. `known` gives names that must exist: a signal, a heater.
 * @param {Schema} schema
 * @param {(name: string, sibling: Record<string, any>) => unknown} known
 * @param {string} [name]  of the property
 * @param {Record<string, any>} [beside]  the object it is in, as far as it is made
 * @returns {any}
 */
export function fresh(schema, known, name = "", beside = {}) {
  const s = plain(schema);
  const given = known(name, beside);
  if (given !== undefined && (s.type === "string" || s.type === undefined)) return given;
  if (s.const !== undefined) return s.const;
  const words = wordsOf(s);
  if (words) return words[0]?.word;
  const union = unionOf(s);
  if (union) return freshKind(union, union.kinds[0]?.kind ?? "", known);
  switch (s.type) {
    case "object":
      return freshObject(s, known);
    case "array":
      return [];
    case "number":
    case "integer":
      return typeof s.default === "number" ? s.default : 0;
    case "boolean":
      return s.default ?? false;
    default:
      return "";
  }
}

/** @param {Schema} schema @param {(name: string, sibling: Record<string, any>) => unknown} known */
function freshObject(schema, known) {
  /** @type {Record<string, any>} */
  const value = {};
  for (const name of schema.required ?? []) value[name] = fresh(schema.properties[name], known, name, value);
  return value;
}

/**
 * A new value of a kind; what an old one has under the same names is kept.
 * @param {Union} union
 * @param {string} kind
 * @param {(name: string, sibling: Record<string, any>) => unknown} known
 * @param {Record<string, any>} [old]
 */
export function freshKind(union, kind, known, old = {}) {
  const found = union.kinds.find((one) => one.kind === kind);
  if (!found) return { [union.tag]: kind };
  const value = freshObject(found.schema, known);
  for (const [name, schema] of Object.entries(found.schema.properties)) {
    if (name === union.tag || old[name] === undefined) continue;
    const s = plain(schema);
    const list = Array.isArray(old[name]);
    // All and any hold a list, not holds one: the type says whether it can be kept.
    if ((s.type === "array") === list) value[name] = old[name];
  }
  return value;
}
