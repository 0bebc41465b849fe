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

/** Parts that are no view of their own, each with the view after which it stands. */
const FURTHER = /** @type {const} */ ({ climb: "working", exercise: "debrief" });
/** The steps of a lesson. */
const LESSON = /** @type {const} */ (["guide_lesson_1", "guide_lesson_2", "guide_lesson_3", "guide_lesson_4", "guide_lesson_5", "guide_lesson_6"]);

/** What the guide tells with a picture, in its order. */
export const PARTS = VIEWS.flatMap((view) => (view === "climb" || view === "exercise" ? [view, FURTHER[view]] : [view]));

/** @param {typeof PARTS[number]} part */
const titleOf = (part) => (part === "working" || part === "debrief" ? say(`guide_${part}_title`) : say(`view_${part}`));

/** `open` is to be called once it is shown; `contents` leads to its parts. */
export function createGuide() {
  const list = h("ol", { class: "guide-exercises" });
  // Learning packages are made by those who teach, and hold their own exercise and no other.
  const whole = !packed;
  /** @type {[string, string][]} */
  const parts = [
    ["reading", say("help_reading")],
    ...(whole ? [/** @type {[string, string]} */ (["lesson", say("guide_lesson_title")])] : []),
    ...PARTS.map((part) => /** @type {[string, string]} */ ([part, titleOf(part)])),
    ...(whole ? [/** @type {[string, string]} */ (["exercises", say("guide_exercises_title")])] : []),
    ["learning", say("guide_learning_title")],
  ];
  const contents = h(
    "nav",
    { class: "guide-contents", "aria-label": say("guide_contents") },
    ...parts.map(([part, text]) =>
      h("button", {
        type: "button",
        class: "link",
        "data-guide": part,
        text,
        on: {
          click: () => {
            const to = document.getElementById(`guide-${part}`);
            to?.scrollIntoView({ block: "start" });
            const heading = to?.querySelector("h3, h4");
            if (!(heading instanceof HTMLElement)) return;
            heading.tabIndex = -1;
            heading.focus({ preventScroll: true });
          },
        },
      }),
    ),
  );
  const el = h(
    "section",
    { class: "guide" },
    whole
      ? h("article", { id: "guide-lesson" }, h("h3", { text: say("guide_lesson_title") }), h("ol", { class: "guide-lesson" }, ...LESSON.map((key) => h("li", { text: say(key) }))))
      : null,
    h("h3", { text: say("guide_views") }),
    ...PARTS.map((part) =>
      h(
        "article",
        { id: `guide-${part}` },
        h("h4", { text: titleOf(part) }),
        h("img", {
          src: addressOf(`guide/${part}.jpg`),
          alt: say(`guide_${part}_picture`),
          width: 760,
          height: 427,
          loading: "lazy",
          decoding: "async",
        }),
        h("p", { text: say(`guide_${part}`) }),
      ),
    ),
    whole ? h("article", { id: "guide-exercises" }, h("h4", { text: say("guide_exercises_title") }), h("p", { text: say("guide_exercises_lead") }), list) : null,
    h(
      "article",
      { id: "guide-learning" },
      h("h4", { text: say("guide_learning_title") }),
      ...LEARNING.map((key) => h("p", { text: say(key) })),
    ),
  );
  return {
    el,
    contents,
    open() {
      // Reading all exercises takes a moment, which neither the start of the page nor the opening of the help has to wait for.
      if (list.isConnected && !list.firstChild) requestAnimationFrame(() => setTimeout(() => fillExercises(list)));
    },
  };
}
