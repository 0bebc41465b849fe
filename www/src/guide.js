// The guide: what each view is for, with its picture.

import { h } from "./dom.js";
import { VIEWS } from "./views.js";
import { say } from "./words.js";

/** The page's address of a picture; the single file carries it as text in an element of that name. @param {string} file */
function addressOf(file) {
  const inline = document.getElementById(file)?.textContent;
  return inline ? `data:image/jpeg;base64,${inline.trim()}` : new URL(file, document.baseURI).href;
}

/** How exercises get into a learning platform. */
const LEARNING = /** @type {const} */ (["guide_learning_make", "guide_learning_see", "guide_learning_resume", "guide_learning_cmi5"]);

export function createGuide() {
  return h(
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
    h(
      "article",
      {},
      h("h4", { text: say("guide_learning_title") }),
      ...LEARNING.map((key) => h("p", { text: say(key) })),
    ),
  );
}
