// The guide: what each view is for, with its picture, and what each exercise trains.

import { h } from "./dom.js";
import { exercises, plants } from "./engine.js";
import { packed } from "./learning/packed.js";
import { VIEWS } from "./views.js";
import { say, sayOr } from "./words.js";

/** The page's address of a picture; the single file carries it as text in an element of that name. @param {string} file */
function addressOf(file) {
  const inline = document.getElementById(file)?.textContent;
  return inline ? `data:image/jpeg;base64,${inline.trim()}` : new URL(file, document.baseURI).href;
}

/** How exercises get into a learning platform. */
const LEARNING = /** @type {const} */ (["guide_learning_make", "guide_learning_see", "guide_learning_resume", "guide_learning_cmi5"]);

/** What each shipped exercise trains, in the order of learning. @param {HTMLElement} list */
function fillExercises(list) {
  const titles = new Map(plants().map(({ name, title }) => [name, title]));
  list.replaceChildren(
    ...exercises().map(({ id, title, plant, length_s }) =>
      h(
        "li",
        {},
        h("strong", { text: title }),
        " ",
        h("span", { class: "label", text: `${say("minutes", { n: Math.round(length_s / 60) })} · ${titles.get(plant) ?? plant}` }),
        h("p", { text: sayOr(`teaches_${id.replaceAll("-", "_")}`, "") }),
      ),
    ),
  );
}

/** `open` is to be called once it is shown. */
export function createGuide() {
  const list = h("ol", { class: "guide-exercises" });
  const el = h(
    "section",
    { class: "guide" },
    h("h3", { text: say("guide_views") }),
    ...VIEWS.map((view) =>
      h(
        "article",
        {},
        h("h4", { text: say(`view_${view}`) }),
        h("img", {
          src: addressOf(`guide/${view}.jpg`),
          alt: say(`guide_${view}_picture`),
          width: 760,
          height: 427,
          loading: "lazy",
          decoding: "async",
        }),
        h("p", { text: say(`guide_${view}`) }),
      ),
    ),
    // A learning package holds its own exercise and no other.
    packed ? null : h("article", {}, h("h4", { text: say("guide_exercises_title") }), h("p", { text: say("guide_exercises_lead") }), list),
    h(
      "article",
      {},
      h("h4", { text: say("guide_learning_title") }),
      ...LEARNING.map((key) => h("p", { text: say(key) })),
    ),
  );
  return {
    el,
    open() {
      // Reading all exercises takes a moment, which neither the start of the page nor the opening of the help has to wait for.
      if (list.isConnected && !list.firstChild) requestAnimationFrame(() => setTimeout(() => fillExercises(list)));
    },
  };
}
