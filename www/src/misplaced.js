// A file let fall where no view takes it: the browser would leave the page for it, so it is held, and told where it belongs.

import { h, setText, show } from "./dom.js";
import { lookAt, PLACES } from "./files/look.js";
import { say } from "./words.js";

/** @param {AbortSignal} signal  ends the listening */
export function createMisplaced(signal) {
  const text = h("p", {});
  const way = h("a", { class: "button" });
  const close = h("button", { type: "button", text: say("close"), on: { click: () => show(el, false) } });
  way.addEventListener("click", () => show(el, false));
  const el = h("div", { class: "misplaced", role: "alert", hidden: true }, text, way, close);

  /** @param {File} file */
  async function tell(file) {
    const { kind, trouble } = await lookAt(file);
    const place = kind ? PLACES[kind] : undefined;
    const told = [trouble, place ? say(place.word) : trouble ? "" : say("drop_unknown")];
    setText(text, [say("drop_not_here", { name: file.name }), ...told].filter(Boolean).join(" "));
    show(way, place !== undefined);
    if (place) {
      way.setAttribute("href", `#${place.view}`);
      setText(way, say(/** @type {import("./words.js").Word} */ (`view_${place.view}`)));
    }
    show(el, true);
  }

  for (const kind of /** @type {const} */ (["dragover", "drop"]))
    addEventListener(
      kind,
      (event) => {
        // A view that takes files has taken it; text dragged into a field is the field's.
        if (event.defaultPrevented || !event.dataTransfer?.types.includes("Files")) return;
        event.preventDefault();
        const [file] = event.dataTransfer.files;
        if (kind === "drop" && file) void tell(file);
      },
      { signal },
    );
  return el;
}
