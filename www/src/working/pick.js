// Any number on the page can be picked to see how it comes about: by click, and by keyboard.
//
// Numbers in HTML take the focus, one stop for each group of them with arrow keys inside, so that nobody has to step
// through them all to the next button. Numbers in pictures are reached through the panel's list, which a key opens.

/** Groups of numbers that are one stop of the Tab key. */
const GROUPS = "dl, p, .foot";

/** @param {Element} one */
const group = (one) =>
  [...(one.closest(GROUPS)?.querySelectorAll("[data-signal][role=button]") ?? [one])].filter(
    (el) => el instanceof HTMLElement && el.offsetParent !== null,
  );

/** Lets a number take the focus, if it is not part of a control. @param {Element} el */
function letPick(el) {
  if (!(el instanceof HTMLElement) || el.closest("button, a, label, [role=slider]")) return;
  el.setAttribute("role", "button");
  el.setAttribute("tabindex", "-1");
}

/** One stop in each group: the first number in view. */
export function arrangeStops() {
  for (const one of document.querySelectorAll("[data-signal]:not([role])")) letPick(one);
  const seen = new Set();
  for (const one of document.querySelectorAll("[data-signal][role=button]")) {
    if (!(one instanceof HTMLElement) || one.offsetParent === null || one.closest("dialog")) continue;
    const home = one.closest(GROUPS) ?? one;
    if (!seen.has(home)) {
      const held = group(one).some((el) => el === document.activeElement);
      if (!held) group(one).forEach((el, at) => el.setAttribute("tabindex", at === 0 ? "0" : "-1"));
    }
    seen.add(home);
  }
}

/** Slack round a figure of a picture (px). */
const SLACK = 2;

/**
 * The number of a picture at a point, though the heater's column lies over it and takes the pointer.
 * @param {Element | null} picture
 * @param {{ clientX: number, clientY: number }} point
 */
function beneath(picture, { clientX: x, clientY: y }) {
  const hit = (/** @type {DOMRect} */ r) =>
    r.width > 0 && x >= r.left - SLACK && x <= r.right + SLACK && y >= r.top - SLACK && y <= r.bottom + SLACK;
  const all = picture?.querySelectorAll("[data-signal]") ?? [];
  return [...all].find((one) => hit(one.getBoundingClientRect())) ?? null;
}

/**
 * @param {{ open: (id: string) => void }} panel
 * @param {AbortSignal} signal  ends it
 */
export function startPicking(panel, signal) {
  // In a picture a click picks a heater, whose column may lie over another's figure: a figure shows its working once
  // the heater that it belongs to is picked.
  document.addEventListener(
    "click",
    (event) => {
      if (!(event.target instanceof Element) || event.target.closest("button, a, dialog")) return;
      const at = event.target.closest("[data-signal]") ?? beneath(event.target.closest("svg"), event);
      const id = at?.getAttribute("data-signal");
      if (!id) return;
      // A valve is moved, not explained.
      if (event.target.closest("[data-valve]")) return;
      const kind = ["data-pick", "data-sheet-heater"].find((one) => at && event.target instanceof Element && event.target.closest(`[${one}]`));
      if (kind) {
        const picked = document.querySelector(`[${kind}][data-picked="true"]`)?.getAttribute(kind);
        if (event.detail > 1 || !id.startsWith(`${picked}.`)) return;
      }
      event.stopPropagation();
      panel.open(id);
    },
    { capture: true, signal },
  );
  document.addEventListener(
    "keydown",
    (event) => {
      const at = event.target instanceof HTMLElement && event.target.matches("[data-signal][role=button]") ? event.target : null;
      if (!at || event.ctrlKey || event.metaKey || event.altKey) return;
      if (event.key === "Enter" || event.key === " ") {
        event.preventDefault();
        panel.open(at.getAttribute("data-signal") ?? "");
        return;
      }
      const by = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
      if (by === undefined) return;
      event.preventDefault();
      const all = group(at);
      const next = all[all.indexOf(at) + by];
      if (!(next instanceof HTMLElement)) return;
      for (const el of all) el.setAttribute("tabindex", el === next ? "0" : "-1");
      next.focus();
    },
    { capture: true, signal },
  );
}
