// The band of time: back to any second, what was done along it, and what lies ahead.

import { h, set, setText, show } from "../dom.js";
import { say } from "../words.js";
import { deedText, isInstructors, plantTime } from "./say.js";
import { begunAnew, goBack, oneStep, own, runTo, typedTime } from "./travel.js";

/** The band shows this much before now (s): an hour. */
const SHOWN_S = 3600;
const BACK = /** @type {const} */ ({ "10s": 10, "1min": 60, "10min": 600 });
/** Most marks drawn along the band. */
const MARKS = 120;

/** @param {import("../app.js").App} app */
export function createStrip(app) {
  const session = own(app);
  const { store } = app;
  const told = h("p", { class: "refusal", role: "status" });
  /** @param {import("../types.js").Fault | null} fault */
  const tell = (fault) => setText(told, fault ? app.explain({ ...fault, place: "" }) : "");
  const now = () => store.get("unit.time");
  /** @type {AbortController | null} */
  let going = null;

  /** Goes to a time, back or forward. @param {number} time */
  async function go(time) {
    going?.abort();
    if (time <= now()) {
      tell(goBack(app, Math.max(session.desk().reaches_s, time)));
      app.freeze();
      return update();
    }
    const way = (going = new AbortController());
    try {
      await runTo(app, time, (share) => setText(state, say("strip_going", { share: Math.round(share * 100) })), way.signal);
    } catch (thrown) {
      tell(/** @type {any} */ (thrown));
    }
    if (going === way) going = null;
    update();
  }

  const step = h("button", {
    type: "button",
    "data-desk": "step",
    text: say("strip_step"),
    title: say("strip_step_title", { s: app.manifest.step_s }),
    on: {
      click: () => {
        tell(oneStep(app));
        update();
      },
    },
  });
  const backs = Object.entries(BACK).map(([key, seconds]) =>
    h("button", {
      type: "button",
      "data-back": String(seconds),
      text: `−${say(/** @type {any} */ (`strip_${key}`))}`,
      "aria-label": `${say("strip_back")} ${say(/** @type {any} */ (`strip_${key}`))}`,
      on: { click: () => go(now() - seconds) },
    }),
  );
  const beforeAction = h("button", {
    type: "button",
    "data-desk": "before_action",
    text: say("strip_action"),
    on: {
      click: () => {
        const { last_action_s } = session.desk();
        if (last_action_s !== null) go(last_action_s);
      },
    },
  });
  const typed = h("input", { type: "text", class: "desk-time", id: "desk-time", placeholder: "0:12:30", "aria-label": say("strip_time"), autocomplete: "off" });
  const goTyped = () => {
    const time = typedTime(typed.value);
    if (Number.isNaN(time)) setText(told, say("strip_not_time"));
    else go(time);
  };
  typed.addEventListener("keydown", (event) => {
    if (event.key === "Enter") goTyped();
  });
  const goButton = h("button", { type: "button", "data-desk": "go", text: say("strip_go"), on: { click: goTyped } });
  const state = h("span", { class: "desk-state" });
  const forward = h("button", {
    type: "button",
    "data-desk": "forward",
    text: say("strip_forward"),
    on: {
      click: () => {
        const { ahead_s } = session.desk();
        if (ahead_s !== null) go(ahead_s);
      },
    },
  });
  const branch = h("button", {
    type: "button",
    "data-desk": "branch",
    text: say("strip_branch"),
    title: say("strip_branch_title"),
    on: {
      click: () => {
        session.branch();
        app.version += 1;
        update();
        step.focus();
      },
    },
  });
  const stop = h("button", { type: "button", "data-desk": "stop", text: say("strip_stop"), on: { click: () => going?.abort() } });
  const left = h("button", {
    type: "button",
    "data-desk": "left",
    text: say("strip_left"),
    on: {
      click: () => {
        try {
          session.back_to_left();
          begunAnew(app);
          tell(null);
        } catch (thrown) {
          tell(/** @type {any} */ (thrown));
        }
        update();
      },
    },
  });

  const slider = h("input", { type: "range", class: "desk-slider", id: "desk-slider", step: 1, "aria-label": say("strip_slider") });
  const marks = h("div", { class: "desk-marks", "aria-hidden": "true" });
  const ahead = h("div", { class: "desk-ahead", "aria-hidden": "true" });
  const bubble = h("output", { class: "desk-bubble", for: "desk-slider", hidden: true });
  const ends = [h("span"), h("span")];
  /** The hand is on the slider: it must not be moved under it. */
  let held = false;
  slider.addEventListener("pointerdown", () => (held = true));
  slider.addEventListener("input", () => {
    held = true;
    setText(bubble, plantTime(Number(slider.value)));
    show(bubble, true);
    set(slider, { "aria-valuetext": plantTime(Number(slider.value)) });
  });
  slider.addEventListener("change", () => {
    held = false;
    show(bubble, false);
    go(Number(slider.value));
  });
  for (const name of ["pointerup", "blur"])
    slider.addEventListener(name, () => {
      held = false;
      show(bubble, false);
    });

  let markedFor = "";
  /** @param {import("bledsteam_web").DeskView} view @param {number} from @param {number} to */
  function mark(view, from, to) {
    const stamp = `${view.deeds} ${view.to_do} ${Math.round(from / 10)} ${Math.round(to / 10)} ${view.fired.length}`;
    if (stamp === markedFor) return;
    markedFor = stamp;
    const at = (/** @type {number} */ time) => `${((time - from) / Math.max(1, to - from)) * 100}%`;
    const deeds = session.deeds(MARKS).filter((deed) => deed.at_s >= from);
    marks.replaceChildren(
      ...deeds.map(({ at_s, what, ahead: later }) => {
        const el = h("span", {
          class: "desk-mark",
          "data-whose": isInstructors(what) ? "instructor" : "operator",
          "data-ahead": later ? "yes" : null,
          title: say("strip_deed", { time: plantTime(at_s), what: deedText(app, what) }),
          text: isInstructors(what) ? "✕" : "▲",
        });
        el.style.left = at(at_s);
        return el;
      }),
    );
    show(ahead, view.ahead_s !== null);
    if (view.ahead_s !== null) {
      ahead.style.left = at(view.time_s);
      ahead.style.right = `${100 - ((view.ahead_s - from) / Math.max(1, to - from)) * 100}%`;
    }
  }

  let aheadAt = NaN;
  function update() {
    const view = session.desk();
    const to = Math.max(view.time_s, view.ahead_s ?? 0, view.reaches_s + 60);
    const from = Math.max(view.reaches_s, to - SHOWN_S);
    if (!held) {
      set(slider, { min: String(Math.ceil(from)), max: String(Math.floor(to)), "aria-valuetext": plantTime(view.time_s) });
      slider.value = String(Math.round(view.time_s));
    }
    if (ends[0]) setText(ends[0], plantTime(from));
    if (ends[1]) setText(ends[1], plantTime(to));
    if (aheadAt !== view.time_s) {
      aheadAt = view.time_s;
      if (view.ahead_s !== null) markedFor = "";
    }
    mark(view, from, to);
    const again = view.ahead_s !== null;
    if (!going)
      setText(
        state,
        view.again === "differs"
          ? say("strip_differs", { time: plantTime(view.differs_s ?? 0) })
          : again
            ? say("strip_again", { time: plantTime(view.ahead_s ?? 0), n: view.to_do })
            : view.again === "same"
              ? say("strip_same")
              : "",
      );
    set(state, { "data-weight": view.again === "differs" ? "warn" : null });
    set(el, { "data-ahead": again ? "yes" : null, "data-again": view.again, "data-time": String(view.time_s) });
    // Buttons keep their places: what there is nothing for is only dimmed.
    set(beforeAction, { "aria-disabled": view.last_action_s === null ? "true" : null });
    show(forward, again && !going);
    show(branch, again && !going);
    show(stop, going !== null);
    show(left, view.has_left && !again && !going);
  }

  const el = h(
    "section",
    { class: "desk-part desk-strip", "aria-label": say("strip") },
    h(
      "div",
      { class: "desk-strip-row" },
      step,
      h("div", { class: "segmented", role: "group", "aria-label": say("strip_back") }, ...backs),
      beforeAction,
      h("span", { class: "with-unit" }, typed, goButton),
      h("span", { class: "desk-strip-right" }, state, forward, branch, stop, left),
    ),
    h(
      "div",
      { class: "desk-band" },
      ends[0] ?? null,
      h("div", { class: "desk-rule" }, ahead, marks, slider, bubble),
      ends[1] ?? null,
    ),
    told,
  );
  return { el, update };
}
