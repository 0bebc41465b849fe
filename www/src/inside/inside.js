// Inside one heater: a cutaway along the shell, and under it what the temperatures do. The picked heater is shown.

import { h, s, set, setText } from "../dom.js";
import { segmented } from "../header.js";
import { dropDetached, updateSignals } from "../signals.js";
import { modeLook } from "../state.js";
import { addressOfInside } from "../views.js";
import { say } from "../words.js";
import { compareWords } from "../climb/ghost.js";
import { createCutaway } from "./cutaway.js";
import { createProfile } from "./profile.js";
import { createSuction } from "./suction.js";
import { createTank } from "./tank.js";

/** @param {import("../app.js").App} app */
export function createInside(app) {
  const { heaters } = app.manifest;
  const name = h("h2", { id: "inside-title" });
  const long = h("span", { class: "label long" });
  const chip = h("span", { class: "chip" });
  const before = h("a", { class: "step", "data-step": "before" });
  const after = h("a", { class: "step", "data-step": "after" });
  const compare = segmented(
    say("compare"),
    compareWords().map(({ key, text }) => ({
      text,
      title: say(`compare_${key}_title`),
      data: { compare: key },
      click: () => app.setCompare(key),
    })),
  );
  const cut = s("svg", { class: "picture cut", role: "img" });
  const chart = s("svg", { class: "picture chart", role: "img" });
  const el = h(
    "section",
    { class: "inside", "aria-labelledby": "inside-title" },
    h(
      "div",
      { class: "inside-head" },
      before,
      h("div", { class: "inside-name" }, name, chip, long),
      h("div", { class: "inside-compare" }, h("span", { class: "label", text: say("compare") }), compare.el),
      after,
    ),
    cut,
    chart,
  );

  const sizes = new Map([cut, chart].map((one) => [one, { width: 0, height: 0 }]));
  const watch = new ResizeObserver((entries) => {
    for (const { target, contentRect } of entries)
      sizes.set(/** @type {SVGSVGElement} */ (target), {
        width: Math.round(contentRect.width),
        height: Math.round(contentRect.height),
      });
  });
  watch.observe(cut);
  watch.observe(chart);

  /** @type {{ update: (slow: boolean) => void, words: () => string }[]} */
  let parts = [];
  let drawnFor = "";
  let seen = "";
  /** Words and figures that change slowly are still to be written. */
  let due = false;

  /**
   * @param {SVGSVGElement} svg
   * @param {number} least  px of width below which the picture is made smaller instead of narrower
   * @param {(width: number, height: number) => { el: SVGElement, update: (slow: boolean) => void, words: () => string }} make
   */
  function put(svg, least, make) {
    const { width, height } = sizes.get(svg) ?? { width: 0, height: 0 };
    const zoom = Math.min(1.5, Math.max(1, width / 1150)) * Math.min(1, width / least);
    set(svg, { viewBox: `0 0 ${(width / zoom).toFixed(2)} ${(height / zoom).toFixed(2)}` });
    const part = make(width / zoom, height / zoom);
    svg.replaceChildren(part.el);
    return part;
  }

  function draw() {
    const heater = app.store.heater(app.picked);
    if (!heater) return;
    const at = heaters.indexOf(heater);
    setText(name, app.short(heater.id));
    setText(long, heater.name);
    for (const [link, next, arrow] of /** @type {const} */ ([
      [before, heaters[at - 1], "← "],
      [after, heaters[at + 1], " →"],
    ])) {
      const label = next ? app.short(next.id) : "";
      set(link, {
        href: next ? addressOfInside(next.id) : null,
        "aria-label": next ? say(link === before ? "inside_before" : "inside_after", { name: label }) : null,
        "aria-disabled": next ? null : "true",
        role: next ? null : "link",
      });
      setText(link, link === before ? `${arrow}${label}` : `${label}${arrow}`);
    }
    const closed = heater.kind === "closed";
    parts = [
      put(cut, 560, (width, height) => (closed ? createCutaway : createTank)(app, heater, width, height)),
      put(chart, 480, (width, height) => (closed ? createProfile : createSuction)(app, heater, width, height)),
    ];
    set(el, { "data-inside": heater.id });
    dropDetached();
    updateSignals(app);
  }

  return {
    el,
    drawn: () => drawnFor !== "",
    /** @param {boolean} slow */
    update(slow) {
      const size = [...sizes.values()].map(({ width, height }) => `${width} ${height}`).join(" ");
      if ([...sizes.values()].some(({ width, height }) => width < 100 || height < 60)) return;
      const key = `${size} ${app.units.system} ${app.picked}`;
      if (key !== drawnFor) {
        draw();
        drawnFor = key;
        seen = "";
        slow = true;
      }
      const state = `${app.store.version} ${app.version}`;
      const fresh = state !== seen;
      if (!fresh && !(slow && due)) return;
      seen = state;
      due = !slow;
      const look = modeLook(app.store.mode(app.picked));
      setText(chip, `${look.shape} ${look.text}`);
      set(chip, { "data-weight": look.weight });
      for (const button of compare.buttons)
        set(button, { "aria-pressed": String(button.dataset.compare === app.compare) });
      for (const part of parts) part.update(slow);
      if (!slow) return;
      [cut, chart].forEach((svg, at) => set(svg, { "aria-label": parts[at]?.words() ?? "" }));
    },
  };
}
