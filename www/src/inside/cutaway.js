// A closed heater cut along its shell: the water's U-turn, the steam's way against it, level and zones.

import { createNonReturn, createValve } from "../climb/symbols.js";
import { s, set, setText, show } from "../dom.js";
import { backWords, lineFlow } from "../extraction.js";
import { bind } from "../signals.js";
import { modeLook } from "../state.js";
import { say } from "../words.js";
import { createGlass } from "./glass.js";
import { createMoving } from "./moving.js";
import { planShell } from "./shell.js";

/** Width of a letter of a zone's name (px). */
const ZONE_LETTER = 7;

/**
 * @param {import("../app.js").App} app
 * @param {import("../types.js").Heater} heater
 * @param {number} width
 * @param {number} height
 */
export function createCutaway(app, heater, width, height) {
  const { store, units } = app;
  const { id, shell } = heater;
  const inside = shell ?? {
    attitude: /** @type {const} */ ("horizontal"),
    diameter: 1.5,
    length: 8,
    height: 1.5,
    normal_level: 0.4,
    lowest_tube: 0.42,
    outlet: null,
  };
  const plan = planShell(width, height, inside);
  const { compact, left, right, top, bottom, y, zone, middle, tubes } = plan;
  const get = (/** @type {string} */ name) => store.get(`${id}.${name}`);
  const of = (/** @type {string} */ name, least = 1) => Math.max(store.design(`${id}.${name}`) || 0, least);
  const label = (/** @type {number} */ x, /** @type {number} */ at, /** @type {string} */ kind, anchor = "start") =>
    s("text", { class: kind, x, y: at, "text-anchor": anchor });
  const bound = (/** @type {SVGTextElement} */ el, /** @type {string} */ name, digits = 1) =>
    bind(el, `${id}.${name}`, { unit: true, digits });

  // The shell: a level cylinder with a dished end, its water, and the zones at the tube sheet.
  const dish = Math.min(38, (bottom - top) * 0.22);
  const outline = `M${left} ${top}H${right - dish}C${right + dish * 0.2} ${top} ${right + dish * 0.2} ${bottom} ${right - dish} ${bottom}H${left}z`;
  const clip = `inside-${id}`;
  const body = s("path", { class: "shell big", d: outline });
  const steamSpace = s("path", { class: "steam-space", d: outline });
  const hatch = s("path", { class: "hatch", d: outline });
  const water = s("rect", { class: "stored", x: left, width: right - left + dish, "clip-path": `url(#${clip})` });
  const surface = s("path", { class: "surface", "clip-path": `url(#${clip})` });
  const was = s("path", { class: "ghost", "clip-path": `url(#${clip})` });
  const edge = s("path", { class: "shell-edge", d: outline });

  // Channel: two halves, in below and out above.
  const box = 40;
  const waist = middle;
  const channel = s("path", {
    class: "channel",
    d: `M${left} ${top}H${left - box + 14}q-14 0 -14 14V${bottom - 14}q0 14 14 14H${left}z`,
  });
  const partition = s("path", { class: "plate", d: `M${left - box} ${waist}H${left}` });
  const sheet = s("path", { class: "plate sheet", d: `M${left} ${top}V${bottom}` });

  // Zones.
  const cooler = heater.drain_cooling;
  const heated = heater.desuperheating;
  const roof = middle + 9;
  const mouth = inside.outlet ?? [0, 0.15 * inside.height];
  const [mouthLow, mouthHigh] = [y(mouth[0]), y(mouth[1])];
  const coolerFill = s("rect", { class: "stored", x: left + 2, width: zone - left - 2 });
  const coolerSteam = s("rect", { class: "steam-space deep", x: left + 2, width: zone - left - 2 });
  const coolerWalls = s("path", {
    class: "shroud",
    d: `M${left} ${roof}H${zone}V${mouthHigh}M${zone} ${mouthLow}V${bottom}`,
  });
  const coolerMouth = s("path", { class: "mouth", d: `M${zone} ${mouthHigh}V${mouthLow}` });
  const shroudFill = s("rect", {
    class: "steam-space hot",
    x: left + 2,
    y: top + 2,
    width: zone - left - 2,
    height: middle - 9 - top - 2,
  });
  const shroudWalls = s("path", { class: "shroud", d: `M${left} ${middle - 9}H${zone}V${top + (bottom - top) * 0.16}` });

  // Flows.
  const pipes = tubes.map(() => createMoving("water", 4.2));
  const waterIn = createMoving("water", 9);
  const waterOut = createMoving("water", 9);
  const round = createMoving("water", 9);
  const steam = createMoving("steam", 11);
  const steamThrough = createMoving("vapour", 5);
  const condensing = [0.36, 0.52, 0.68, 0.84].map((share) => ({
    x: left + (right - left) * share,
    flow: createMoving("vapour", 3),
  }));
  const arriving = createMoving("drain", 8);
  const leaving = createMoving("drain", 8);
  const through = createMoving("drain", 5);
  const away = createMoving("drain emergency", 8);
  const wisps = s("path", { class: "flash big" });

  // Where the outside joins.
  const nozzle = heated ? left + (zone - left) * 0.24 : left + (right - left) * 0.4;
  const drainX = left + 26;
  const awayX = right - dish - 36;
  const inX = right - dish - 64;
  const pipeLow = (middle + bottom) / 2;
  const pipeHigh = (middle + top) / 2;
  const bypassX = compact ? 34 : 58;
  const stop = createValve(true);
  const back = createNonReturn();
  const normal = createValve(true);
  const emergency = createValve(true);
  const bypass = createValve(true);
  const glass = createGlass(app, heater, { x: width - (compact ? 70 : 96), top: top + 2, bottom: bottom - 6, tags: compact });

  // Words and figures.
  const t = {
    out: bound(label(4, pipeHigh - 12, "figure-text strong"), "fw_out_temperature"),
    in: bound(label(4, pipeLow + 24, "figure-text strong"), "fw_in_temperature"),
    flow: bound(label(4, pipeLow + 38, "figure-text soft"), "fw_flow"),
    cooled: bound(label(zone + 8, tubes[2]?.low ?? middle, "figure-text water"), "fw_drain_cooling_temperature"),
    condensed: bound(label(zone + 8, tubes[2]?.high ?? middle, "figure-text water"), "fw_condensing_temperature"),
    steam: bound(label(nozzle + 12, top - 8, "figure-text"), "steam_in_temperature"),
    steamFlow: bound(label(nozzle + 12, top - 22, "figure-text strong"), "extraction_flow"),
    back: label(nozzle + 12, top - 22, "figure-text strong"),
    after: bound(label(zone + 8, top + 16, "figure-text"), "steam_cooled_temperature"),
    saturation: bound(label((zone + right) / 2, middle + 4, "figure-text strong", "middle"), "saturation_temperature"),
    pressure: bound(label((zone + right) / 2, middle + 18, "figure-text soft", "middle"), "shell_pressure", 3),
    condensing: label((zone + right) / 2, middle - 12, "zone-text", "middle"),
    desuperheating: label((left + zone) / 2, middle - 15, "zone-text", "middle"),
    cooling: label((left + zone) / 2, middle + 24, "zone-text", "middle"),
    covered: label(zone + 10, bottom - 8, "figure-text soft"),
    flooded: label((zone + right) / 2, middle + 35, "figure-text", "middle"),
    drain: bound(label(drainX + 14, bottom + 18, "figure-text"), "drain_temperature"),
    drainFlow: bound(label(drainX + 14, bottom + 33, "figure-text strong"), "normal_drain_flow"),
    drainTo: label(drainX + 14, bottom + 62, "figure-text soft"),
    normalAt: label(drainX - 12, bottom + 44, "valve-text", "end"),
    awayFlow: bound(label(awayX - 13, bottom + 33, "figure-text", "end"), "emergency_drain_flow"),
    awayTo: label(awayX - 13, bottom + 62, "figure-text soft", "end"),
    emergencyAt: label(awayX + 12, bottom + 44, "valve-text"),
    arriving: bound(label(inX - 10, top - 8, "figure-text strong", "end"), "drain_in_flow"),
    flashing: label(inX + 12, top - 8, "figure-text soft"),
    from: label(inX - 10, top - 22, "figure-text soft", "end"),
    stop: label(nozzle - 12, 36, "valve-text", "end"),
    source: bound(label(nozzle + 12, 14, "figure-text soft"), "extraction_pressure", 3),
    bypass: compact ? label(2, top - 8, "valve-text") : label(bypassX, pipeHigh - 34, "valve-text", "middle"),
    upright: label((zone + right) / 2, top - 8, "figure-text soft", "middle"),
  };
  const sources = app.manifest.heaters.filter((one) => one.drains_to === id).map((one) => app.short(one.id));
  setText(t.from, sources.length ? say("inside_from", { names: sources.join(", ") }) : "");
  setText(t.drainTo, `→ ${app.short(heater.drains_to)}`);
  setText(t.awayTo, `→ ${say("device_condenser")}`);
  setText(t.upright, inside.attitude === "vertical" ? say("inside_upright") : "");
  const scarce = [t.normalAt, t.emergencyAt, t.from, t.flow];

  const el = s(
    "g",
    { class: "cutaway" },
    s("clipPath", { id: clip }, s("path", { d: outline })),
    body,
    steamSpace,
    hatch,
    water,
    ...(heated ? [shroudFill] : []),
    ...(cooler ? [coolerSteam, coolerFill] : []),
    ...condensing.map(({ flow }) => flow.el),
    ...(heated ? [steamThrough.el] : []),
    ...pipes.map((pipe) => pipe.el),
    ...(cooler ? [through.el, coolerMouth, coolerWalls] : []),
    ...(heated ? [shroudWalls] : []),
    was,
    surface,
    edge,
    wisps,
    channel,
    partition,
    sheet,
    round.el,
    waterIn.el,
    waterOut.el,
    steam.el,
    arriving.el,
    leaving.el,
    away.el,
    stop.el,
    back.el,
    normal.el,
    emergency.el,
    bypass.el,
    glass.el,
    s("path", {
      class: "lens",
      d: `M${right - 4} ${y(inside.normal_level + glass.reach / 1000).toFixed(1)}L${width - (compact ? 73 : 99)} ${top + 2}M${right - 4} ${Math.min(bottom, y(inside.normal_level - glass.reach / 1000)).toFixed(1)}L${width - (compact ? 73 : 99)} ${bottom - 6}`,
    }),
    ...Object.values(t).filter((one) => !compact || !scarce.includes(one)),
  );

  const f = (/** @type {number} */ n) => n.toFixed(1);
  const percent = (/** @type {number} */ share) => units.full("fraction", share, false, 0);
  /** A zone and its duty, which the profile below has as well: the zone alone where both would not fit. @param {"desuperheating" | "condensing" | "drain_cooling"} name @param {number} room */
  const duty = (name, room) => {
    const whole = `${say(`has_${name}`)} ${units.full("heat_flow", get(`duty_${name}`), false, 1)}`;
    return whole.length * ZONE_LETTER < room ? whole : say(`has_${name}`);
  };

  /** @param {number} opening @param {boolean} hand */
  const stands = (opening, hand) => {
    const at = opening <= 0.005 ? say("valve_shut") : say("valve_part", { percent: (opening * 100).toFixed(0) });
    return hand ? `${at} ${say("by_hand")}` : at;
  };

  return {
    el,
    /** @param {boolean} slow */
    update(slow) {
      const mode = store.mode(id);
      const looks = modeLook(mode);
      set(el, { "data-mode": mode, "data-weight": looks.weight });
      const aside = get("bypass");
      const flow = get("fw_flow") / of("fw_flow");
      const passes = lineFlow(store, id);
      const passing = passes.flow;
      const steamShare = passing / of("extraction_flow");

      // The water as it is, in the shell's own metres; the glass beside shows what the transmitter says.
      // In an exercise what nobody can see is not drawn: the water stands where the transmitter says.
      const seen = Number.isNaN(get("level_true")) ? "level" : "level_true";
      const metres = inside.normal_level + get(seen) / 1000;
      const line = Math.max(top, Math.min(bottom, y(metres)));
      set(water, { y: line, height: bottom - line });
      set(surface, { d: `M${f(cooler ? zone : left)} ${f(line)}H${right + dish}` });
      const before = inside.normal_level + app.reference(`${id}.${seen}`) / 1000;
      set(was, { d: Number.isFinite(before) ? `M${f(cooler ? zone : left)} ${f(y(before))}H${right + dish}` : "" });
      const hidden = seen === "level";
      const covered = hidden ? Math.max(0, Math.min(1, (mouthLow - line) / (mouthLow - mouthHigh))) : get("drain_cooler_covered");
      const fill = (bottom - roof) * covered;
      set(coolerFill, { y: bottom - fill, height: fill });
      set(coolerSteam, { y: roof, height: Math.max(0, bottom - roof - fill) });
      set(coolerMouth, { "data-open": covered < 0.995 ? "steam" : "water" });

      // Water: in below, round the bend, out above; or past the heater.
      const main = heater.side === "high" ? "unit.feed_flow" : "unit.condensate_flow";
      const whole = Math.max(store.design(main), 1);
      const all = (get("fw_flow") + get("bypass_flow")) / whole;
      waterIn.update(`M2 ${f(pipeLow)}H${left - box}`, aside > 0.995 ? 0 : flow);
      waterOut.update(`M${left - box} ${f(pipeHigh)}H2`, aside > 0.995 ? 0 : flow);
      round.update(
        `M2 ${f(pipeLow)}H${bypassX}V${f(pipeHigh)}H2`,
        aside > 0.005 ? get("bypass_flow") / whole : 0,
      );
      pipes.forEach((pipe, at) => {
        const { low, high, turn } = tubes[at] ?? { low: 0, high: 0, turn: 0 };
        const r = (low - high) / 2;
        pipe.update(
          `M${left} ${f(low)}H${f(turn)}A${f(r)} ${f(r)} 0 0 0 ${f(turn)} ${f(high)}H${left}`,
          aside > 0.995 ? 0 : flow,
        );
      });
      bypass.update(bypassX, middle, aside);

      // Steam: down the line, against the water through its shroud, then down between the tubes as it condenses.
      steam.update(`M${nozzle} 18V${top + (heated ? 8 : 4)}`, steamShare);
      stop.update(nozzle, 36, get("stop_valve"));
      back.update(nozzle, 58, get("non_return_valve"));
      const up = top + (bottom - top) * 0.08;
      steamThrough.update(`M${nozzle} ${f(up)}H${f(zone + 26)}`, get("duty_desuperheating") > 0 ? Math.max(0, steamShare) : 0);
      const heat = get("duty_condensing") / of("duty_condensing");
      for (const { x, flow: drop } of condensing)
        drop.update(`M${f(x)} ${f(top + 14)}V${f(Math.max(top + 16, line - 3))}`, Math.max(0, heat));

      // Drains.
      const drained = of("normal_drain_flow");
      arriving.update(`M${inX} 30V${top + 6}`, get("drain_in_flow") / of("drain_in_flow"));
      leaving.update(`M${drainX} ${bottom}V${bottom + 66}`, get("normal_drain_flow") / drained);
      const depth = (mouthHigh + mouthLow) / 2;
      through.update(
        `M${f(zone + 22)} ${f(depth)}H${f(drainX + 12)}Q${drainX} ${f(depth)} ${drainX} ${f(bottom)}`,
        (get("normal_drain_flow") + get("emergency_drain_flow")) / drained,
      );
      away.update(`M${awayX} ${bottom}V${bottom + 66}`, get("emergency_drain_flow") / drained);
      normal.update(drainX, bottom + 40, get("normal_drain_valve"));
      emergency.update(awayX, bottom + 40, get("emergency_drain_valve"));
      const flash = get("drain_in_flow") > 0.05 ? get("drain_in_flash") : 0;
      show(wisps, flash > 0.002);
      const reach = 10 + 60 * Math.min(0.3, flash);
      set(wisps, {
        d: `M${inX - 6} ${top + 16}q-${f(reach * 0.5)} 2 -${f(reach)} -6M${inX + 6} ${top + 16}q${f(reach * 0.5)} 2 ${f(reach)} -6M${inX} ${top + 20}v${f(reach * 0.7)}`,
      });
      glass.update();
      if (!slow) return;
      setText(t.condensing, duty("condensing", right - zone));
      setText(t.desuperheating, heated ? duty("desuperheating", zone - left) : "");
      setText(t.cooling, cooler ? duty("drain_cooling", zone - left) : "");
      setText(t.covered, hidden ? "" : say(cooler ? "inside_covered" : "inside_outlet", { share: percent(covered) }));
      set(t.covered, { "data-weight": covered < 0.995 && mode !== "out" ? "warn" : "calm" });
      const flooded = get("flooded");
      setText(t.flooded, flooded > 0.0005 ? say("inside_flooded", { share: units.full("fraction", flooded, false, 1) }) : "");
      set(t.flooded, { "data-weight": flooded > 0.0005 ? "warn" : "calm" });
      setText(t.flashing, flash > 0.002 ? say("inside_flash", { share: units.full("fraction", flash, false, 1) }) : "");
      setText(t.normalAt, stands(get("normal_drain_valve"), get("normal_drain_hand") > 0.5));
      setText(t.emergencyAt, stands(get("emergency_drain_valve"), get("emergency_drain_hand") > 0.5));
      setText(t.stop, get("stop_valve") < 0.995 ? stands(get("stop_valve"), false) : "");
      setText(t.bypass, aside > 0.005 ? `${say("bypass")} ${percent(aside)}` : "");
      show(t.after, heated && passing > 0.05);
      show(t.steam, passing > 0.05);
      show(t.steamFlow, passing >= 0);
      setText(t.back, backWords(app, passes).join(" "));
      set(t.back, { "data-weight": "alarm" });
      // With all the water going round, what stands in the tubes is not what goes on.
      show(t.out, aside < 0.995);
      show(t.cooled, cooler && aside < 0.995);
      show(t.condensed, heated && aside < 0.995);
      set(t.stop, { "data-state": all > 0 ? "wet" : "dry" });
    },

    /** The picture in words, for those who do not see it. */
    words() {
      const full = (/** @type {string} */ name) => units.full(store.quantity(`${id}.${name}`), get(name));
      return say("inside_words", {
        name: app.short(id),
        mode: modeLook(store.mode(id)).text,
        level: full("level"),
        flooded: full("flooded"),
        covered: full("drain_cooler_covered"),
        arriving: full("drain_in_flow"),
        normal: full("normal_drain_valve"),
        emergency: full("emergency_drain_valve"),
        bypass: full("bypass"),
      });
    },
  };
}
