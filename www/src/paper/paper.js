// On paper: dark on white whatever the theme, under a head that says what it shows, of which plant, when, and what it is not for.

import { h } from "../dom.js";
import { currentLanguage } from "../language.js";
import { onPaper } from "../theme.js";
import { plantTime } from "../units.js";
import { say } from "../words.js";

/** Views that show no instant of the running plant. @type {Set<import("../views.js").View>} */
const TIMELESS = new Set(/** @type {const} */ (["balance", "editor", "review"]));

/** The head; it is filled when something is printed. */
export const createPaperHead = () => h("div", { class: "paper-title only-print" });

/** @param {import("../app.js").App} app */
function lines(app) {
  const { view, exercise: taking } = app;
  const what = view === "exercise" && taking ? taking.exercise.title : say(`view_${view}`);
  const printed = new Date().toLocaleString(currentLanguage(), { dateStyle: "medium", timeStyle: "short" });
  const when = say("paper_printed", { when: printed });
  return [
    h("strong", { text: view === "review" ? what : `${app.manifest.plant.title} · ${what}` }),
    h("span", { text: TIMELESS.has(view) ? when : `${say("paper_time", { time: plantTime(app.store.get("unit.time")) })} · ${when}` }),
    h("span", { class: "paper-caution", text: `${say("caution_short")} ${say("caution_more")}` }),
  ];
}

/**
 * @param {import("../app.js").App} app
 * @param {HTMLElement} head
 * @param {(now: number, due: boolean) => void} picture  draws what is looked at: what is on a canvas has its colours in it
 * @param {AbortSignal} signal
 */
export function startPaper(app, head, picture, signal) {
  const turn = (/** @type {boolean} */ printing) => {
    if (printing) head.replaceChildren(...lines(app));
    onPaper(printing);
    picture(performance.now(), true);
  };
  addEventListener("beforeprint", () => turn(true), { signal });
  addEventListener("afterprint", () => turn(false), { signal });
}
