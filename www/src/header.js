// The top bar: which plant, run and freeze, how fast, plant time, load, units, colours, help.

import { SPEEDS } from "./clock.js";
import { h, s, set, setText, show } from "./dom.js";
import { addressOf, plants } from "./engine.js";
import { leaveFirst } from "./exercise/leave.js";
import { createStrip } from "./exercise/strip.js";
import { openHelp } from "./help.js";
import { LANGUAGES, currentLanguage, setLanguage } from "./language.js";
import { packed } from "./learning/packed.js";
import { openOwn } from "./own/own.js";
import { OWN, ownPlants } from "./own/plants.js";
import { value } from "./signals.js";
import { THEMES, currentTheme, setTheme } from "./theme.js";
import { plantTime, tickText } from "./units.js";
import { say, sayOr } from "./words.js";

/** What opens a plant that is not in the list yet. */
const ELSE = "…";

/** The mark: a stair of heaters, the last step lit. */
function mark() {
  return s(
    "svg",
    { class: "mark", viewBox: "0 0 32 32", "aria-hidden": "true" },
    s("path", { d: "M3 27h7v-7h7v-7h7V6h5", class: "mark-stair" }),
    s("circle", { cx: 24, cy: 24, r: 3.2, class: "mark-drop" }),
  );
}

/**
 * Buttons of which one is pressed.
 * @param {string} label
 * @param {{ text: string, title?: string, data: Record<string, string>, click: () => void }[]} choices
 */
export function segmented(label, choices) {
  const buttons = choices.map((choice) =>
    h("button", {
      type: "button",
      text: choice.text,
      title: choice.title,
      "aria-pressed": "false",
      ...Object.fromEntries(Object.entries(choice.data).map(([key, text]) => [`data-${key}`, text])),
      on: { click: choice.click },
    }),
  );
  return { el: h("div", { class: "segmented", role: "group", "aria-label": label }, ...buttons), buttons };
}

/** @param {import("./app.js").App} app */
export function createHeader(app) {
  const { plant } = app.manifest;
  const run = h(
    "button",
    { type: "button", class: "primary", "data-action": "run", on: { click: () => app.run() } },
    s("svg", { viewBox: "0 0 12 12", "aria-hidden": "true" }, s("path", { d: "M2 1l9 5-9 5z" })),
    say("run"),
  );
  const freeze = h(
    "button",
    { type: "button", class: "primary", "data-action": "freeze", on: { click: () => app.freeze() } },
    s("svg", { viewBox: "0 0 12 12", "aria-hidden": "true" }, s("path", { d: "M2 1h3v10H2zM7 1h3v10H7z" })),
    say("freeze"),
  );
  const speeds = segmented(
    say("speed"),
    SPEEDS.map((speed) => ({
      text: `${speed}×`,
      title: say("speed_title", { speed }),
      data: { speed: String(speed) },
      click: () => app.setSpeed(speed),
    })),
  );
  const time = h("time", { class: "clock", title: say("plant_time_title"), "data-signal": "unit.time" });
  // A machine that cannot keep up says so where the clock's name stands: nothing in the bar moves for it.
  const pace = h("span", { class: "label pace", text: say("plant_time") });
  const systems = segmented(say("units"), [
    { text: say("units_si"), title: say("units_si_title"), data: { units: "si" }, click: () => app.setUnits("si") },
    { text: say("units_us"), title: say("units_us_title"), data: { units: "us" }, click: () => app.setUnits("us") },
  ]);
  const themes = h(
    "select",
    { "aria-label": say("theme"), title: say("theme"), on: { change: () => setTheme(themes.value) } },
    ...THEMES.map((theme) => h("option", { value: theme, text: sayOr(`theme_${theme}`, theme) })),
  );
  themes.value = currentTheme();
  const languages = h(
    "select",
    {
      class: "language",
      "aria-label": say("language"),
      title: say("language"),
      on: { change: () => setLanguage(languages.value) },
    },
    ...Object.entries(LANGUAGES).map(([tag, name]) =>
      h("option", { value: tag, text: tag.toUpperCase(), title: name, lang: tag }),
    ),
  );
  languages.value = currentLanguage();
  const ofOwn = app.ownPlant !== null;
  const here = (ofOwn ? OWN : "") + plant.name;
  // A plant that an exercise brings is there while it is open.
  const own = ownPlants().filter(({ name }) => OWN + name !== here);
  if (ofOwn) own.unshift({ ...plant, text: "" });
  // Another plant is another page: it opens at rest at its design point.
  const choice = h(
    "select",
    {
      class: "plant",
      "aria-label": say("plant_choice"),
      // Another plant is another address, by which a learning platform has not launched.
      disabled: packed !== null,
      title: plant.summary,
      on: {
        change: () => {
          const wanted = choice.value;
          choice.value = here;
          if (wanted === ELSE) openOwn();
          else leaveFirst(app, () => location.assign(addressOf(wanted)));
        },
      },
    },
    h("optgroup", { label: say("own_shipped") }, ...plants().map((one) => h("option", { value: one.name, text: one.title, title: one.summary }))),
    h(
      "optgroup",
      { label: say("own_group") },
      ...own.map(({ name, title }) => h("option", { value: OWN + name, text: title })),
      h("option", { value: ELSE, text: say("own_choose") }),
    ),
  );
  choice.value = here;
  const help = h("button", {
    type: "button",
    class: "round",
    "aria-label": say("help_open"),
    title: say("help_open"),
    text: "?",
    on: { click: openHelp },
  });

  const strip = createStrip(app);
  const el = h(
    "header",
    { class: "bar" },
    h(
      "div",
      { class: "brand" },
      mark(),
      h("div", {}, h("h1", { text: say("name") }), choice),
    ),
    h(
      "div",
      { class: "transport", role: "group", "aria-label": say("transport") },
      run,
      freeze,
      speeds.el,
      h("div", { class: "when" }, pace, time),
    ),
    createLoad(app),
    h("div", { class: "tools" }, systems.el, themes, languages, help),
    strip.el,
  );

  return {
    el,
    /** @param {boolean} slow  true a few times a second: numbers need not change faster than they can be read */
    update(slow) {
      const { clock, units, store } = app;
      // Whichever button had the focus keeps it in the other's place.
      const had = document.activeElement === run || document.activeElement === freeze;
      show(run, !clock.running);
      show(freeze, clock.running);
      // After an exercise its plant stands: what to do about that is said where one would press.
      const over = app.exercise?.over ?? false;
      set(run, { "aria-disabled": over ? "true" : null, title: over ? `${say("ex_locked_over")} ${say("ex_locked_over_remedy")}` : null });
      if (had && document.activeElement === document.body) (clock.running ? freeze : run).focus();
      set(el, { "data-running": String(clock.running) });
      for (const button of speeds.buttons)
        set(button, { "aria-pressed": String(Number(button.dataset.speed) === clock.speed) });
      for (const button of systems.buttons)
        set(button, { "aria-pressed": String(button.dataset.units === units.system) });
      const seconds = store.get("unit.time");
      set(time, { "data-value": String(seconds) });
      setText(time, plantTime(seconds));
      if (!slow) return;
      strip.update();
      const reached = clock.reached();
      const behind = clock.running && reached !== null && reached < clock.speed * 0.8;
      setText(
        pace,
        behind && reached !== null
          ? say("pace", { speed: tickText(reached, reached < 10 ? 1 : 0) })
          : say("plant_time"),
      );
      set(pace, { "data-behind": behind ? "yes" : null });
    },
  };
}

/**
 * The load asked for, as a slider and a number that say the same.
 * @param {import("./app.js").App} app
 */
function createLoad(app) {
  const [low, high] = app.manifest.load_range.map((fraction) => Math.round(fraction * 100));
  const refusal = h("p", { class: "refusal", role: "status" });
  const slider = h("input", {
    type: "range",
    min: low,
    max: high,
    step: 1,
    id: "load-slider",
    "aria-label": say("load_slider"),
    "data-locks": "set_load",
  });
  const number = h("input", {
    type: "number",
    min: low,
    max: high,
    step: 0.5,
    id: "load-number",
    "data-action": "set_load",
    inputmode: "decimal",
  });
  const asked = () => (app.store.get("unit.load_demand") * 100).toFixed(1).replace(/\.0$/, "");
  /** @param {string} text */
  const send = (text) => {
    const percent = Number(text);
    const fault =
      text.trim() === "" || !Number.isFinite(percent)
        ? { place: "", message: say("not_a_number"), remedy: say("load_remedy", { low: low ?? 0, high: high ?? 100 }) }
        : app.command({ do: "set_load", fraction: percent / 100 });
    setText(refusal, fault ? app.explain(fault) : "");
    if (!fault) slider.value = number.value = asked();
  };
  slider.addEventListener("input", () => (number.value = slider.value));
  slider.addEventListener("change", () => send(slider.value));
  number.addEventListener("change", () => send(number.value));
  slider.value = number.value = asked();
  return h(
    "div",
    { class: "load", role: "group", "aria-label": say("load_group") },
    h(
      "div",
      { class: "load-words" },
      h("label", { for: "load-number", text: say("load") }),
      h("span", { class: "label", title: say("load_now_title") }, value("unit.load", { unit: true })),
    ),
    slider,
    h("span", { class: "with-unit" }, number, h("span", { text: "%", "aria-hidden": "true" })),
    refusal,
  );
}
