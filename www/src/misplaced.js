// A file let fall where no view takes it: the browser would leave the page for it, so it is held. Plants and exercises are opened,
// others told where they belong.

import { h, setText, show } from "./dom.js";
import { offer } from "./exercise/exercise.js";
import { isShipped, readExercise } from "./exercise/file.js";
import { leaveFirst } from "./exercise/leave.js";
import { lookAt, PLACES } from "./files/look.js";
import { packed } from "./learning/packed.js";
import { openOwn } from "./own/own.js";
import { say } from "./words.js";

/**
 * @param {import("./app.js").App} app
 * @param {AbortSignal} signal  ends the listening
 */
export function createMisplaced(app, signal) {
  const text = h("p", {});
  const way = h("a", { class: "button" });
  const close = h("button", { type: "button", text: say("close"), on: { click: () => show(el, false) } });
  way.addEventListener("click", () => show(el, false));
  const el = h("div", { class: "misplaced", role: "alert", hidden: true }, text, way, close);

  /** @param {File} file */
  async function take(file) {
    const { kind, trouble } = await lookAt(file);
    // What can mean but one thing is opened wherever it falls.
    if (!packed && !trouble && kind === "plant") return openOwn({ file });
    if (!packed && !trouble && kind === "exercise") {
      const { text, refused, faults } = await readExercise(file);
      const [first] = faults;
      if (!refused && !first) return leaveFirst(app, () => {
        app.leave();
        show(el, false);
        offer(text, isShipped(text));
      });
      const why = first ? [say("ex_file_refused", { name: file.name, n: faults.length }), `${first.place}: ${first.message} ${first.remedy}`] : [refused];
      return tell(kind, ...why);
    }
    tell(kind, say("drop_not_here", { name: file.name }), trouble, kind ? say(PLACES[kind].word) : trouble ? "" : say("drop_unknown"));
  }

  /** @param {import("./files/look.js").Kind | null} kind @param {string[]} said */
  function tell(kind, ...said) {
    const place = kind ? PLACES[kind] : undefined;
    setText(text, said.filter(Boolean).join(" "));
    show(way, place !== undefined);
    if (place) {
      way.setAttribute("href", `#${place.view}`);
      setText(way, say(/** @type {import("./words.js").Word} */ (`view_${place.view}`)));
    }
    show(el, true);
  }

  // What was said of one file does not stand over another view.
  addEventListener("hashchange", () => show(el, false), { signal });
  for (const kind of /** @type {const} */ (["dragover", "drop"]))
    addEventListener(
      kind,
      (event) => {
        // A view that takes files has taken it; text dragged into a field is the field's.
        if (event.defaultPrevented || !event.dataTransfer?.types.includes("Files")) return;
        event.preventDefault();
        const [file] = event.dataTransfer.files;
        if (kind === "drop" && file) void take(file);
      },
      { signal },
    );
  return el;
}
