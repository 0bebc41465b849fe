// The browser's own dialog for one of our files: a field that nobody sees, opened by a button.

import { h } from "../dom.js";

/**
 * @param {(file: File) => void} take
 * @param {import("../dom.js").Props} [more]  attributes
 */
export function createChooser(take, more = {}) {
  const el = h("input", {
    type: "file",
    accept: ".json,application/json",
    class: "visually-hidden",
    tabindex: -1,
    "aria-hidden": "true",
    ...more,
    on: {
      change: () => {
        const file = el.files?.[0];
        // The same file may be chosen again, once it is mended.
        el.value = "";
        if (file) take(file);
      },
    },
  });
  return el;
}
