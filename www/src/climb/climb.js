// The climb: the water's way from condenser to boiler as a stair of temperatures. Home of the page.

import { h, s, set } from "../dom.js";
import { segmented } from "../header.js";
import { dropDetached, updateSignals } from "../signals.js";
import { say } from "../words.js";
import { createDrains } from "./drains.js";
import { createAxis, createFrame } from "./frame.js";
import { compareWords, createGhost } from "./ghost.js";
import { createHeater } from "./heater.js";
import { layOut } from "./layout.js";
import { createOpenHeater } from "./open.js";
import { createStory } from "./story.js";
import { createWater } from "./water.js";

/** @param {import("../app.js").App} app */
export function createClimb(app) {
  const { heaters } = app.manifest;
  const range = {
    // No water gets colder than what cools it: at low load the condenser comes near it.
    cold: app.store.design("unit.cooling_inlet_temperature"),
    hot: Math.max(...heaters.map(({ id }) => app.store.design(`${id}.saturation_temperature`))),
  };
  const picture = s("svg", { class: "picture", role: "group", "aria-label": say("climb_label") });
  const compare = segmented(
    say("compare"),
    compareWords().map(({ key, text }) => ({
      text,
      title: say(`compare_${key}_title`),
      data: { compare: key },
      click: () => app.setCompare(key),
    })),
  );
  const choice = h("div", { class: "compare" }, h("span", { class: "label", text: say("compare") }), compare.el);
  const story = createStory(app);
  const el = h(
    "section",
    { class: "climb", "aria-label": say("climb") },
    picture,
    story.el,
    choice,
  );

  /** @type {ReturnType<typeof draw> | null} */
  let drawn = null;
  let drawnFor = "";
  let size = { width: 0, height: 0 };
  new ResizeObserver(([entry]) => {
    if (entry) size = { width: Math.round(entry.contentRect.width), height: Math.round(entry.contentRect.height) };
  }).observe(picture);

  function draw() {
    // A large screen gets larger letters and strokes, not more empty ground.
    const zoom = Math.max(1, Math.min(1.6, size.width / 1030, size.height / 600));
    const layout = layOut(size.width / zoom, size.height / zoom, heaters, range);
    set(picture, { viewBox: `0 0 ${(size.width / zoom).toFixed(2)} ${(size.height / zoom).toFixed(2)}` });
    story.place(layout, zoom);
    // The choice stands left of all steam but the exhaust, where no water comes.
    const aside = { left: (layout.columns[0]?.x ?? 0) + 1, top: layout.band(0) + 84 };
    for (const [name, at] of Object.entries(aside)) choice.style.setProperty(`--compare-${name}`, `${(at * zoom).toFixed(0)}px`);
    const group = heaters.map((heater) => {
      const column = layout.columns.find((one) => one.id === heater.id);
      if (!column) throw new Error(`no place for ${heater.id}`);
      return heater.kind === "open"
        ? createOpenHeater(app, heater, layout, column)
        : createHeater(app, heater, layout, column);
    });
    const frame = createFrame(app, layout);
    const ghost = createGhost(app, layout, group);
    const water = createWater(app, layout, group);
    const drains = createDrains(app, layout, group);
    picture.replaceChildren(
      s(
        "defs",
        {},
        s(
          "pattern",
          { id: "hatching", width: 7, height: 7, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" },
          s("rect", { width: 2, height: 7, class: "hatch-line" }),
        ),
        s(
          "pattern",
          { id: "sagging", width: 5, height: 5, patternUnits: "userSpaceOnUse", patternTransform: "rotate(-45)" },
          s("rect", { width: 1.6, height: 5, class: "sag-line" }),
        ),
      ),
      createAxis(app, layout),
      frame.el,
      ghost.el,
      ...group.map((one) => one.el),
      drains.el,
      water.el,
      ghost.front,
      ...group.map((one) => one.front),
    );
    dropDetached();
    updateSignals(app);
    return {
      layout,
      zoom,
      group,
      frame,
      ghost,
      water,
      drains,
      /** The heater that the pumps feed. */
      behind: group.find(({ id }) => id === layout.columns[layout.columns.findIndex(({ kind }) => kind === "pump") + 1]?.id),
      pump: /** @type {import("./shape.js").Point | undefined} */ (undefined),
    };
  }

  return {
    el,
    /** How far down the stair reaches right of x (px): what is below is free for the trend. */
    reachBelow(/** @type {number} */ x) {
      if (!drawn) return Infinity;
      const { zoom } = drawn;
      x /= zoom;
      const pump = drawn.pump && drawn.pump[0] + 40 > x ? drawn.pump[1] + 44 : 0;
      return (
        zoom * Math.max(pump, ...drawn.group.filter((one) => one.shape.right > x).map((one) => one.shape.bottom + 54))
      );
    },
    drawn: () => drawn !== null,
    /** @param {boolean} slow */
    update(slow) {
      for (const button of compare.buttons)
        set(button, { "aria-pressed": String(button.dataset.compare === app.compare) });
      if (size.width < 120 || size.height < 120) return;
      const key = `${size.width} ${size.height} ${app.units.system}`;
      if (key !== drawnFor) {
        // A redrawn heater takes the focus of the one it replaces.
        const focused = document.activeElement?.getAttribute("data-pick");
        drawn = draw();
        drawnFor = key;
        slow = true;
        const again = focused ? picture.querySelector(`[data-pick="${CSS.escape(focused)}"]`) : null;
        if (again instanceof SVGElement) again.focus();
      }
      if (slow) story.update();
      if (!drawn) return;
      for (const one of drawn.group) one.update(slow);
      const line = drawn.water.update();
      drawn.drains.update(slow);
      drawn.ghost.update(line.points, slow);
      drawn.pump = line.suction.at(-1);
      drawn.frame.update(slow, drawn.pump, drawn.behind?.shape);
    },
  };
}
