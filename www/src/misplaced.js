// A file let fall where no view takes it: the browser would leave the page for it, so it is held, and told where it belongs.

import { h, setText, show } from "./dom.js";
import { say } from "./words.js";

/** How far into a file its format is looked for (characters). */
const HEAD = 4000;

/** Where a file of a format is opened. @type {Record<string, { word: import("./words.js").Word, view: string }>} */
const PLACES = {
  exercise: { word: "drop_exercise", view: "exercise" },
  record: { word: "drop_record", view: "review" },
  plant: { word: "drop_plant", view: "review" },
  snapshot: { word: "drop_desk", view: "desk" },
  tape: { word: "drop_desk", view: "desk" },
};

/** @param {AbortSignal} signal  ends the listening */
export function createMisplaced(signal) {
  const text = h("p", {});
  const way = h("a", { class: "button" });
  const close = h("button", { type: "button", text: say("close"), on: { click: () => show(el, false) } });
  way.addEventListener("click", () => show(el, false));
  const el = h("div", { class: "misplaced", role: "alert", hidden: true }, text, way, close);

  /** @param {File} file */
  async function tell(file) {
    const head = await file.slice(0, HEAD).text();
    const place = PLACES[/"format"\s*:\s*"bledsteam-(\w+)\//.exec(head)?.[1] ?? ""];
    setText(text, `${say("drop_not_here", { name: file.name })} ${say(place?.word ?? "drop_unknown")}`);
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
