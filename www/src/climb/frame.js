// What stands still around the climb: temperature axis, turbine, condenser, boiler.

import { s, set, setText, show } from "../dom.js";
import { feedPumpsStand, turbineStands } from "../machines.js";
import { bind } from "../signals.js";
import { say } from "../words.js";
import { BELOW } from "./drains.js";
import { condenserEdge, ticks } from "./layout.js";

/**
 * @param {import("../app.js").App} app
 * @param {import("./layout.js").Layout} layout
 */
export function createAxis(app, layout) {
  const { units } = app;
  const { height, width, axis, compact, y, celsius } = layout;
  // A mark keeps off the words at the foot.
  const low = units.shown("temperature", celsius(height - (compact ? 14 : 38)));
  const high = units.shown("temperature", celsius(layout.band(axis) + 16));
  const rows = ticks(low, high).flatMap((mark) => {
    const at = y(units.inside("temperature", mark));
    return [
      s("line", { class: "grid", x1: axis, x2: width - 4, y1: at, y2: at }),
      s("text", { class: "axis-text", x: axis - 6, y: at + 4, "text-anchor": "end", text: String(mark) }),
    ];
  });
  return s(
    "g",
    { "aria-hidden": "true" },
    ...rows,
    s("text", {
      class: "axis-text unit",
      x: axis - 6,
      y: layout.band(axis) + 6,
      "text-anchor": "end",
      text: units.unit("temperature"),
    }),
    ...(compact
      ? []
      : [
          s("text", { class: "legend", x: axis, y: height - 20, text: say("climb_ask") }),
          s("text", { class: "legend", x: axis, y: height - 7, text: say("climb_units", { flow: units.unit("mass_flow"), gap: units.unit("temperature_difference") }) }),
        ]),
  );
}

/** Suction head to spare (m) with which nobody need look at it. */
const SUCTION_CALM = 2;

/**
 * @param {import("../app.js").App} app
 * @param {import("./layout.js").Layout} layout
 */
export function createFrame(app, layout) {
  const { store, units } = app;
  const { columns, band, bandTop, y, vessel, compact } = layout;
  const [condenser, boiler] = [columns[0], columns.at(-1)];
  if (!condenser || !boiler) return { el: s("g"), update() {} };
  const left = condenser.x - 16;
  const right = boiler.left + (compact ? 4 : 28);
  const turbineName = s("text", { class: "turbine-name", x: left + 10, y: bandTop + (compact ? 12 : 16), text: say("turbine") });
  const turbineUnit = s("text", {
    class: "turbine-unit",
    x: left + 68,
    y: bandTop + 16,
    text: say("extraction_at", { unit: units.unit("pressure") }),
  });
  const turbine = s(
    "g",
    { class: "turbine" },
    s("path", { d: `M${right} ${bandTop}L${left} ${bandTop}L${left} ${band(left)}L${right} ${band(right)}z` }),
    turbineName,
    ...(compact ? [] : [turbineUnit]),
  );
  if (!compact) {
    for (const heater of app.manifest.heaters) {
      const column = columns.find((one) => one.id === heater.id);
      if (!column || !store.has(`${heater.id}.extraction_pressure`)) continue;
      const x = column.x + vessel / 2 - (heater.kind === "open" ? 20 : 15);
      turbine.append(
        bind(
          s("text", { class: "turbine-figure", x, y: band(x) - 7, "text-anchor": "middle" }),
          `${heater.id}.extraction_pressure`,
        ),
      );
    }
  }

  // Condenser: exhaust steam falls the whole way down, to where the water starts.
  const wide = compact ? 12 : layout.tight ? 24 : 30;
  const exhaust = s("path", { class: "exhaust" });
  const bottle = s("path", { class: "shell" });
  const well = s("path", { class: "stored" });
  const condenserName = s("text", {
    class: "heater-name",
    text: say("device_condenser"),
    "text-anchor": "middle",
    x: condenser.x,
  });
  const vacuum = bind(
    s("text", { class: "steam-text", "text-anchor": "middle", x: condenser.x }),
    "unit.condenser_pressure",
    { unit: true },
  );

  // Boiler: the end of the climb, and the figure that it is all about.
  const low = y(store.design("unit.final_fw_temperature")) + (compact ? 60 : 150);
  const box = s("rect", { class: "boiler", x: right, y: bandTop, width: layout.width - right - 6, rx: 8 });
  const middle = (right + layout.width - 6) / 2;
  const boilerName = s("text", {
    class: "heater-name",
    x: middle,
    y: bandTop + 20,
    "text-anchor": "middle",
    text: say("boiler"),
  });
  const inner = layout.width - right - 6;
  const final = bind(
    s("text", {
      class: "final",
      "text-anchor": "middle",
      x: middle + 2,
      "font-size": Math.min(26, inner / 3.7).toFixed(1),
    }),
    "unit.final_fw_temperature",
  );
  const finalUnit = s("text", {
    class: "final-unit",
    "text-anchor": "middle",
    x: middle,
  });
  const pump = columns.find((column) => column.kind === "pump");
  const next = pump && columns[columns.indexOf(pump) + 1]?.id;
  const pumpsStand = feedPumpsStand(app);
  const suction = s("text", { class: "pump-text", "text-anchor": "middle" });
  const pumpName = s("text", { class: "pump-text strong", "text-anchor": "middle", text: say("feed_pumps") });

  return {
    el: s(
      "g",
      { "aria-hidden": "true" },
      turbine,
      exhaust,
      bottle,
      well,
      box,
      ...(compact ? [] : [boilerName, condenserName, vacuum, finalUnit, pumpName, suction]),
      final,
    ),
    /**
     * @param {boolean} slow
     * @param {import("./shape.js").Point | undefined} pumpAt
     * @param {import("./shape.js").Shape | undefined} behind  the heater that the pumps feed
     */
    update(slow, pumpAt, behind) {
      const at = y(store.get("unit.condenser_temperature"));
      const top = at - (compact ? 18 : 34);
      const under = at + (compact ? 6 : 12);
      set(exhaust, {
        d: `M${(condenser.x - 10).toFixed(1)} ${band(condenser.x).toFixed(1)}V${top.toFixed(1)}`,
        "stroke-width": compact ? 5 : 11,
      });
      const a = condenser.x - wide,
        b = condenserEdge(layout, condenser);
      set(bottle, {
        d: `M${a} ${under}V${top + 12}q0 -12 12 -12H${b - 8}q8 0 8 8V${under}q0 4 -4 4H${a + 4}q-4 0 -4 -4z`,
      });
      set(well, { d: `M${a + 2} ${at - 2}H${b - 2}V${under}q0 2 -2 2H${a + 4}q-2 0 -2 -2z` });
      set(condenserName, { y: top - 20 });
      set(vacuum, { y: top - 6 });
      const end = y(store.get("unit.final_fw_temperature"));
      set(box, { height: Math.max(low, end + (compact ? 26 : 80)) - bandTop });
      set(final, { y: end + (compact ? 18 : 31) });
      set(finalUnit, { y: end + 46 });
      if (pumpAt && pump) {
        // Under the pump, and under the drain and its figure where that passes there.
        const lane = (behind?.bottom ?? 0) + BELOW - pumpAt[1];
        const base = pumpAt[1] + (lane > 4 && lane < 42 ? lane + 33 : 25);
        set(pumpName, { x: pumpAt[0], y: base });
        set(suction, { x: pumpAt[0], y: base + 13 });
      }
      if (!slow) return;
      const [turbineNow, pumpsNow] = [turbineStands(app), pumpsStand()];
      setText(turbineName, say(turbineNow.word));
      set(turbineName, { "data-weight": turbineNow.weight });
      show(turbineUnit, turbineNow.weight === "calm");
      setText(pumpName, say(pumpsNow.word));
      set(pumpName, { "data-weight": pumpsNow.weight });
      const still = store.get("unit.feed_flow") < 0.005 * store.design("unit.feed_flow");
      const words = still ? say("no_flow") : say("final_unit", { unit: units.unit("temperature") });
      setText(finalUnit, words);
      // As large as the boiler lets it be.
      set(finalUnit, { "font-size": Math.min(11.5, inner / (0.58 * words.length)).toFixed(1) });
      set(finalUnit, { "data-weight": still ? "warn" : "calm" });
      const margin = store.get("unit.suction_head_available") - store.get("unit.suction_head_required");
      // Where the next heater drains to the condenser its figure needs the room, unless the pumps are short of head.
      show(suction, !(margin >= SUCTION_CALM && next && store.get(`${next}.emergency_drain_flow`) > 0.05));
      setText(
        suction,
        Number.isFinite(margin) ? say("suction_margin", { margin: units.full("length", margin, true, 1) }) : "",
      );
      set(suction, { "data-weight": margin < 0 ? "alarm" : margin < SUCTION_CALM ? "warn" : "calm" });
    },
  };
}
