// What a balance is asked for: load, what is held, each heater's outage.

import { h, set, setText, show } from "../dom.js";
import { say } from "../words.js";

/**
 * @typedef {import("../types.js").Outage} Outage
 * @typedef {"steam_flow" | "gross_output" | "firing"} Held
 */

const HELD = /** @type {const} */ (["steam_flow", "gross_output", "firing"]);
const OUTAGES = /** @type {const} */ (["none", "out", "isolated"]);
const SHAPES = { none: "●", out: "✕", isolated: "◌" };
/** How a heater of the running plant goes into a balance: on its way counts as arrived. @type {Record<string, Outage>} */
const AS_RUNNING = { in_service: "none", returning: "none", isolated: "isolated", tripping: "out", out: "out" };

/**
 * @param {import("../app.js").App} app
 * @param {() => void} changed  called when the case has become another
 */
export function createControls(app, changed) {
  const { heaters, balance_range } = app.manifest;
  const [low, high] = balance_range.map((fraction) => Math.round(fraction * 100));
  let percent = 100;
  /** @type {Held} */
  let held = "steam_flow";
  /** @type {Map<string, Outage>} */
  const outages = new Map(heaters.map(({ id }) => [id, "none"]));

  const slider = h("input", { type: "range", min: low, max: high, step: 1, "aria-label": say("bal_load_slider") });
  const number = h("input", { type: "number", min: low, max: high, step: 0.1, id: "bal-load", inputmode: "decimal" });
  const fault = h("div", { class: "refusal", role: "alert", hidden: true });
  slider.value = number.value = "100";
  const load = (/** @type {string} */ text) => {
    percent = text.trim() === "" ? NaN : Number(text);
    changed();
  };
  slider.addEventListener("input", () => load((number.value = slider.value)));
  number.addEventListener("input", () => load((slider.value = number.value)));

  const hold = h(
    "select",
    {
      id: "bal-hold",
      on: {
        change: () => {
          held = HELD.find((one) => one === hold.value) ?? "steam_flow";
          changed();
        },
      },
    },
    ...HELD.map((one) => h("option", { value: one, text: say(`bal_hold_${one}`) })),
  );

  const rows = heaters.map((heater) => {
    const { id } = heater;
    const note = h("span", { class: "with" });
    const radios = OUTAGES.map((outage) =>
      h("input", {
        type: "radio",
        name: `bal-${id}`,
        value: outage,
        checked: outage === "none",
        "aria-label": say(`bal_${outage}_of`, { heater: app.short(id) }),
        on: {
          change: () => {
            outages.set(id, outage);
            changed();
          },
        },
      }),
    );
    const el = h(
      "div",
      { class: "outage", role: "radiogroup", "aria-label": heater.name, "data-outage-of": id },
      h("span", { class: "who" }, h("strong", { text: app.short(id) }), note),
      heater.kind === "open"
        ? h("span", { class: "always", text: say("bal_always"), title: say("bal_always_title") })
        : h(
            "span",
            { class: "segmented choice" },
            ...OUTAGES.map((outage, at) =>
              h(
                "label",
                { title: say(`bal_${outage}_title`) },
                radios[at] ?? null,
                h(
                  "span",
                  {},
                  h("span", { class: "shape", "aria-hidden": "true", text: `${SHAPES[outage]} ` }),
                  say(`bal_${outage}`),
                ),
              ),
            ),
          ),
    );
    return { heater, el, note, radios };
  });

  /** Shows what the case is, after a preset has changed it. */
  const show_case = () => {
    slider.value = number.value = String(percent);
    hold.value = held;
    for (const { heater, radios } of rows)
      for (const radio of radios) radio.checked = radio.value === outages.get(heater.id);
    changed();
  };
  const design = () => {
    percent = 100;
    held = "steam_flow";
    for (const { id } of heaters) outages.set(id, "none");
    show_case();
  };
  const running = () => {
    percent = Math.round(app.store.get("unit.load") * 1000) / 10;
    held = "steam_flow";
    for (const { id, kind } of heaters)
      outages.set(id, kind === "open" ? "none" : (AS_RUNNING[app.store.mode(id)] ?? "none"));
    show_case();
  };

  const el = h(
    "form",
    { class: "case", "aria-label": say("bal_case"), on: { submit: (event) => event.preventDefault() } },
    h(
      "div",
      { class: "presets" },
      h("button", { type: "button", "data-preset": "design", text: say("bal_design"), on: { click: design } }),
      h("button", {
        type: "button",
        "data-preset": "running",
        text: say("bal_running"),
        title: say("bal_running_title"),
        on: { click: running },
      }),
    ),
    h(
      "div",
      { class: "asked" },
      h("label", { for: "bal-hold", text: say("bal_hold") }),
      hold,
      h("label", { for: "bal-load", text: say("load") }),
      h(
        "span",
        { class: "load-of" },
        slider,
        h("span", { class: "with-unit" }, number, h("span", { text: "%", "aria-hidden": "true" })),
      ),
    ),
    fault,
    h("div", { class: "outages" }, ...rows.map((row) => row.el)),
  );

  return {
    el,
    /** The case in the engine's shape: heater 1 first. @returns {import("../types.js").BalanceCase} */
    read() {
      const share = percent / 100;
      return {
        hold:
          held === "steam_flow"
            ? { steam_flow: share }
            : held === "gross_output"
              ? { gross_output: share }
              : { firing: share },
        outages: [...heaters].sort((a, b) => a.number - b.number).map(({ id }) => outages.get(id) ?? "none"),
      };
    },
    /** The load asked for is no number: nothing to ask the engine. */
    empty: () => !Number.isFinite(percent),
    emptyFault: () => ({
      code: "not_a_number",
      place: "",
      message: say("not_a_number"),
      remedy: say("load_remedy", { low: low ?? 0, high: high ?? 100 }),
    }),
    /**
     * What is solved, in words.
     * @param {import("../types.js").BalanceCase} solved
     */
    words(solved) {
      const off = heaters.flatMap((heater) => {
        const outage = solved.outages[heater.number - 1] ?? "none";
        return outage === "none" ? [] : [say(`bal_is_${outage}`, { heater: app.short(heater.id) })];
      });
      return [say("bal_case_words", { percent, held: say(`bal_hold_${held}`) }), ...off].join(", ");
    },
    /**
     * Says what was refused, or which heaters go out with another of their bypass group.
     * @param {import("../types.js").Fault | null} refused
     * @param {import("../types.js").BalanceCase | null} solved
     */
    answer(refused, solved) {
      show(fault, refused !== null);
      setText(fault, refused ? app.explain(refused) : "");
      set(number, { "aria-invalid": refused && (refused.place === "load" || refused.place === "") ? "true" : null });
      for (const { heater, el, note } of rows) {
        const mine = outages.get(heater.id);
        const now = solved?.outages[heater.number - 1] ?? mine;
        const partners = heater.bypass_group.filter((one) => one !== heater.id).map((one) => app.short(one));
        const names = partners.join(", ");
        setText(
          note,
          now === "out" && mine !== "out"
            ? say("bal_out_with", { names })
            : partners.length
              ? say("bal_shares", { names })
              : "",
        );
        set(el, { "data-outage": now ?? "none", "data-taken": now !== mine ? "yes" : null });
      }
    },
  };
}
