// Greys what an exercise does not leave to the trainee, with the reason. Whatever a view does, the exercise itself has the
// last word: this only shows it.

/** Fields of a command that a control carries beside its action. */
const FIELDS = ["heater", "valve", "pump", "hold", "alarm", "row", "id"];
/** Actions of the page that give commands of another name. @type {Record<string, string>} */
const COMMANDS = {
  take_drain: "move_drain",
  reset: "reset_protection",
  reset_all: "reset_protection",
  card_reset: "reset_protection",
};
const KNOWN = new Set([
  ..."trip_heater isolate_extraction put_back move_drain release_drain start_pump stop_pump take_pump_out".split(" "),
  ..."put_pump_back set_load reset_protection set_controller set_hold local_valve trip_turbine reset_turbine local_valve".split(" "),
]);

/** @param {import("../app.js").App} app */
export function showLocks(app) {
  if (!app.exercise && !document.querySelector("[data-locked]")) return;
  for (const el of document.querySelectorAll("[data-action], [data-locks]")) {
    if (!(el instanceof HTMLElement)) continue;
    const action = el.dataset.locks ?? el.dataset.action ?? "";
    const kind = COMMANDS[action] ?? action;
    if (!KNOWN.has(kind)) continue;
    /** @type {{ do: string, [field: string]: string }} */
    const given = { do: kind };
    for (const field of FIELDS) {
      const value = el.dataset[field];
      if (value) given[field] = value;
    }
    const why = app.locked(given);
    // The drain's slider belongs to the number beside it.
    const slider = kind === "move_drain" ? el.closest(".hand")?.querySelector("input[type=range]") : null;
    for (const one of slider instanceof HTMLElement ? [el, slider] : [el]) mark(one, why ? `${why.message} ${why.remedy}` : null);
  }
}

/** @type {WeakMap<HTMLElement, string | null>} */
const titles = new WeakMap();

/** @param {HTMLElement} el @param {string | null} why */
function mark(el, why) {
  if ((el.dataset.locked !== undefined) === (why !== null)) return;
  if (why === null) {
    delete el.dataset.locked;
    const title = titles.get(el);
    if (title) el.title = title;
    else el.removeAttribute("title");
    if (el instanceof HTMLInputElement) el.disabled = false;
    else el.removeAttribute("aria-disabled");
    return;
  }
  titles.set(el, el.getAttribute("title"));
  el.dataset.locked = "yes";
  el.title = why;
  // A button keeps its place in the order of the keyboard, and says why when it is pressed.
  if (el instanceof HTMLInputElement) el.disabled = true;
  else el.setAttribute("aria-disabled", "true");
}
