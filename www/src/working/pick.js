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

/**
 * @param {{ open: (id: string) => void }} panel
 */
export function startPicking(panel) {
  let picked = /** @type {string | null} */ (null);
  // In a picture the first click picks the heater; on a number of the heater that is picked it shows the working.
  document.addEventListener(
    "pointerdown",
    () => (picked = document.querySelector('[data-pick][data-picked="true"]')?.getAttribute("data-pick") ?? null),
    true,
  );
  document.addEventListener("click", (event) => {
    const at = event.target instanceof Element ? event.target.closest("[data-signal]") : null;
    if (!at || at.closest("button, a, dialog")) return;
    const heater = at.closest("[data-pick]");
    if (heater && (event.detail > 1 || heater.getAttribute("data-pick") !== picked)) return;
    panel.open(at.getAttribute("data-signal") ?? "");
  });
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
    true,
  );
}
