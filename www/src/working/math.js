// Equations as native MathML, built from the engine's tree. Data becomes text, never markup.

import { say } from "../words.js";

const MATHML = "http://www.w3.org/1998/Math/MathML";

/**
 * @typedef {import("bledsteam_web").Expr} Expr
 * @typedef {import("bledsteam_web").MathSymbol} MathSymbol
 */

/**
 * A MathML element.
 * @param {string} tag
 * @param {Record<string, string>} attributes
 * @param {(Node | string)[]} kids
 */
function m(tag, attributes = {}, ...kids) {
  const el = document.createElementNS(MATHML, tag);
  for (const [name, value] of Object.entries(attributes)) el.setAttribute(name, value);
  el.append(...kids);
  return el;
}

/** @param {string} sign */
const sign = (sign) => m("mo", {}, sign);
/** @param {Node[]} kids */
const row = (...kids) => m("mrow", {}, ...kids);
/** @param {Node[]} kids */
const fenced = (...kids) => row(sign("("), ...kids, sign(")"));

/**
 * A letter with its index.
 * @param {MathSymbol} symbol
 */
export function symbol({ base, sub }) {
  const letter = m("mi", {}, base);
  return sub ? m("msub", {}, letter, m("mtext", {}, sub)) : letter;
}

/**
 * A number that changes, with the unit it is shown in, if any. The number's own element is given to `keep`.
 * @param {string} unit
 * @param {(number: Element) => void} keep
 */
export function quantity(unit, keep) {
  const number = m("mn");
  keep(number);
  return unit ? row(number, m("mspace", { width: "0.2em" }), m("mtext", { class: "math-unit" }, unit)) : number;
}

/** Digits enough to check a calculation with. @param {number} value */
export function digits(value) {
  if (!Number.isFinite(value)) return "–";
  if (value !== 0 && (Math.abs(value) < 1e-4 || Math.abs(value) >= 1e7)) {
    const [mantissa = "", power = ""] = value.toExponential(4).split("e");
    const raised = [...String(Number(power))].map((c) => "⁻⁰¹²³⁴⁵⁶⁷⁸⁹"["-0123456789".indexOf(c)]).join("");
    return `${written(mantissa)}·10${raised}`;
  }
  return written(String(Number(value.toPrecision(6))));
}

/** With the minus and the decimal sign of the language. @param {string} number */
const written = (number) => number.replace("-", "−").replace(".", say("decimal"));

/** What binds less than a product. @param {Expr} e */
const loose = (e) => e.kind === "op" && (e.op === "sum" || e.op === "difference");
/** What can stand under an exponent as it is. @param {Expr} e */
const tight = (e) => e.kind === "term" || (e.kind === "number" && e.value >= 0);

/**
 * @param {Expr} e
 * @param {(index: number) => Node} leaf  what stands for a term
 * @returns {Node}
 */
export function render(e, leaf) {
  /** @param {Expr} one */
  const of = (one) => render(one, leaf);
  /** @param {Expr} one */
  const closed = (one) => (loose(one) ? fenced(of(one)) : of(one));
  /** @param {Expr[]} list @param {string} between @param {(one: Expr) => Node} each */
  const joined = (list, between, each) => row(...list.flatMap((one, at) => (at ? [sign(between), each(one)] : [each(one)])));
  if (e.kind === "number") return m("mn", {}, digits(e.value));
  if (e.kind === "term") return leaf(e.index);
  if (e.kind === "call") return row(symbol(e.symbol), sign("("), joined(e.of, ",", of), sign(")"));
  const [a = { kind: "number", value: NaN }, b = a] = e.of;
  switch (e.op) {
    case "sum":
      return joined(e.of, "+", of);
    case "difference":
      if (a.kind === "number" && a.value === 0) return row(sign("−"), closed(b));
      return row(of(a), sign("−"), closed(b));
    case "product":
      return joined(e.of, "·", closed);
    case "quotient":
      return m("mfrac", {}, of(a), of(b));
    case "power":
      return m("msup", {}, tight(a) ? of(a) : fenced(of(a)), of(b));
    case "root":
      return m("msqrt", {}, of(a));
    case "exp":
      return m("msup", {}, m("mi", {}, "e"), of(a));
    default:
      return row(m("mi", {}, e.op), sign("("), joined(e.of, ",", of), sign(")"));
  }
}

/**
 * An equation on a line of its own; a long one is scrolled, also by keyboard.
 * @param {string} label  for who cannot see it
 * @param {Node[]} kids
 */
export function line(label, ...kids) {
  const el = document.createElement("div");
  el.className = "math-line";
  el.tabIndex = 0;
  el.setAttribute("role", "group");
  el.setAttribute("aria-label", label);
  el.append(m("math", { display: "block" }, ...kids));
  return el;
}

/** @param {Node[]} sides */
export const equal = (...sides) => sides.flatMap((side, at) => (at ? [sign("="), side] : [side]));
