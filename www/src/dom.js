// Making and changing elements. Data only ever becomes text or an attribute, never markup.

const SVG = "http://www.w3.org/2000/svg";

/**
 * @typedef {Record<string, string | number | boolean | null | undefined
 *   | Record<string, (event: any) => void>>} Props
 *   Attributes; `on` holds listeners, `text` the text. False, null and undefined leave the attribute out.
 */

/**
 * @param {Element} el
 * @param {Props} props
 * @param {(Node | string | null)[]} kids
 */
function dress(el, props, kids) {
  for (const [key, value] of Object.entries(props)) {
    if (value === null || value === undefined || value === false) continue;
    if (key === "text") el.textContent = String(value);
    else if (typeof value === "object") {
      for (const [name, listener] of Object.entries(value)) el.addEventListener(name, listener);
    } else el.setAttribute(key, value === true ? "" : String(value));
  }
  for (const kid of kids) if (kid !== null) el.append(kid);
}

/**
 * An HTML element.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} tag
 * @param {Props} [props]
 * @param {(Node | string | null)[]} kids
 * @returns {HTMLElementTagNameMap[K]}
 */
export function h(tag, props = {}, ...kids) {
  const el = document.createElement(tag);
  dress(el, props, kids);
  return el;
}

/**
 * An SVG element.
 * @template {keyof SVGElementTagNameMap} K
 * @param {K} tag
 * @param {Props} [props]
 * @param {(Node | string | null)[]} kids
 * @returns {SVGElementTagNameMap[K]}
 */
export function s(tag, props = {}, ...kids) {
  const el = document.createElementNS(SVG, tag);
  dress(el, props, kids);
  return el;
}

/**
 * Writes text only where it differs: the browser then has nothing to lay out again.
 * @param {Element} el
 * @param {string} text
 */
export function setText(el, text) {
  if (el.textContent !== text) el.textContent = text;
}

/** @type {WeakMap<Element, Map<string, string>>} */
const written = new WeakMap();

/**
 * Writes attributes only where they differ from what this function wrote last; numbers to a tenth (of a pixel).
 * @param {Element} el
 * @param {Record<string, string | number | null>} attributes  null removes
 */
export function set(el, attributes) {
  let last = written.get(el);
  if (!last) written.set(el, (last = new Map()));
  for (const name in attributes) {
    const value = attributes[name];
    const text = typeof value === "number" ? String(Math.round(value * 10) / 10) : value === null ? "\0" : value;
    if (last.get(name) === text) continue;
    last.set(name, text);
    if (value === null) el.removeAttribute(name);
    else el.setAttribute(name, text);
  }
}

/**
 * @param {Element} el
 * @param {boolean} shown
 */
export function show(el, shown) {
  set(el, { hidden: shown ? null : "", ...(el instanceof SVGElement ? { display: shown ? null : "none" } : {}) });
}
