// One signal, chosen by typing part of its name: an input with the browser's own list of suggestions.

import { h } from "../dom.js";
import { fullNameOf } from "../trends/names.js";

/** The list of all names, once for the page. @param {import("../app.js").App} app */
function suggestions(app) {
  const id = "desk-signals";
  document.getElementById(id)?.remove();
  const list = h(
    "datalist",
    { id },
    ...app.manifest.signals
      .filter((signal) => signal.id !== "unit.time")
      .map((signal) => h("option", { value: fullNameOf(app, signal.id) })),
  );
  return list;
}

/**
 * @param {import("../app.js").App} app
 * @param {string} id
 * @param {string} label
 * @param {string} first  signal chosen at first
 * @param {() => void} changed
 */
export function createSignalField(app, id, label, first, changed) {
  if (!document.getElementById("desk-signals")) document.body.append(suggestions(app));
  const names = new Map(app.manifest.signals.map((signal) => [fullNameOf(app, signal.id).toLowerCase(), signal.id]));
  const input = h("input", {
    type: "text",
    class: "signal-field",
    id,
    list: "desk-signals",
    "aria-label": label,
    autocomplete: "off",
    spellcheck: "false",
    on: { change: () => changed(), focus: () => input.select() },
  });
  input.value = fullNameOf(app, app.store.has(first) ? first : "unit.load");
  return {
    el: input,
    focus: () => input.focus(),
    /** The signal's id; null where what stands there names none. */
    chosen: () => names.get(input.value.trim().toLowerCase()) ?? (app.store.has(input.value.trim()) ? input.value.trim() : null),
  };
}
