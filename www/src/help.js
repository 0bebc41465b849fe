// What the picture shows, and the keys.

import { h } from "./dom.js";
import { createGuide } from "./guide.js";
import { recall, remember } from "./settings.js";
import { say } from "./words.js";

/** @type {HTMLDialogElement | null} */
let dialog = null;
/** @type {ReturnType<typeof createGuide> | null} */
let guide = null;

const READING = /** @type {const} */ ([
  "help_stair",
  "help_gaps",
  "help_steam",
  "help_drains",
  "help_level",
  "help_end",
  "help_ghost",
  "help_try",
]);
const KEYS = /** @type {const} */ ([
  ["key_space", "Space"],
  ["key_arrows", "← →"],
  ["key_digits", "1 … 9"],
  ["key_trip", "T"],
  ["key_isolate", "I"],
  ["key_back", "B"],
  ["key_speed", "+ −"],
  ["key_units", "U"],
  ["key_view", "V"],
  ["key_working", "W"],
  ["key_inside", "O"],
  ["key_help", "?"],
]);

/** Single keys can be switched off: speech input and unsteady hands may press them unmeant (WCAG 2.1.4). */
let single = recall("keys") !== "off";

export function singleKeys() {
  return single;
}

export function createHelp() {
  const keys = h("input", {
    type: "checkbox",
    id: "single-keys",
    checked: single,
    on: {
      change: () => {
        single = keys.checked;
        remember("keys", single ? "on" : "off");
      },
    },
  });
  const close = () => h("button", { type: "button", class: "help-close", text: say("close"), on: { click: () => dialog?.close() } });
  guide = createGuide();
  dialog = h(
    "dialog",
    { class: "help", "aria-labelledby": "help-title" },
    // It is long: what closes it and what leads on stay in view.
    h("div", { class: "help-head" }, h("h2", { id: "help-title", text: say("help_title") }), close()),
    guide.contents,
    h(
      "div",
      { class: "help-columns" },
      h(
        "section",
        { id: "guide-reading" },
        h("h3", { text: say("help_reading") }),
        h("ul", {}, ...READING.map((key) => h("li", { text: say(key) }))),
      ),
      h(
        "section",
        {},
        h("h3", { text: say("help_keys") }),
        h(
          "table",
          {},
          h(
            "tbody",
            {},
            ...KEYS.map(([key, cap]) =>
              h("tr", {}, h("th", { scope: "row" }, h("kbd", { text: cap })), h("td", { text: say(key) })),
            ),
          ),
        ),
        h("p", { class: "check" }, keys, " ", h("label", { for: "single-keys", text: say("keys_on") })),
      ),
    ),
    guide.el,
    h("p", { class: "help-caution", text: say("caution") }),
    close(),
  );
  return dialog;
}

export function openHelp() {
  if (!dialog || dialog.open) return;
  dialog.showModal();
  dialog.scrollTop = 0;
  guide?.open();
}
