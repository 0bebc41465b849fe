// The open heater cut open: water is sprayed and falls over trays through the rising steam; below it is stored for the
// feed pumps, which draw it down their suction pipe.

import { createNonReturn, createPump, createValve } from "../climb/symbols.js";
import { s, set, setText, show } from "../dom.js";
import { backWords, lineFlow } from "../extraction.js";
import { steamWords } from "../pegging.js";
import { bind } from "../signals.js";
import { modeLook } from "../state.js";
import { say } from "../words.js";
import { createGlass } from "./glass.js";
import { createMoving } from "./moving.js";

/** Places along the suction pipe of which the model tells the temperature. */
export const PLACES = [1, 2, 3, 4, 5];
/** Hotter than the tank now is by more than this (K): it boils as soon as its pressure falls to the tank's. */
export const HOTTER = 0.5;

/**
 * @param {import("../app.js").App} app
 * @param {import("../types.js").Heater} heater
 * @param {number} width
 * @param {number} height
 */
export function createTank(app, heater, width, height) {
  const { store, units } = app;
  const { id, shell } = heater;
  const compact = width < 640;
  const get = (/** @type {string} */ name) => store.get(`${id}.${name}`);
  const of = (/** @type {string} */ name, least = 1) => Math.max(store.design(`${id}.${name}`) || 0, least);
  const share = (/** @type {string} */ name) => get(name) / of(name);
  const label = (/** @type {number} */ x, /** @type {number} */ y, /** @type {string} */ kind, anchor = "start") =>
    s("text", { class: kind, x, y, "text-anchor": anchor });
  const bound = (/** @type {SVGTextElement} */ el, /** @type {string} */ name, digits = 1) =>
    bind(el, name.includes(".") ? name : `${id}.${name}`, { unit: true, digits });

  const left = compact ? 60 : 120;
  const right = width - (compact ? 104 : 150);
  const top = height * 0.47;
  const bottom = height - 92;
  const tall = bottom - top;
  const metresHigh = shell?.height ?? 3;
  const y = (/** @type {number} */ metres) => bottom - (metres / metresHigh) * tall;
  const normal = shell?.normal_level ?? metresHigh / 2;
  const bend = Math.min(44, tall * 0.34);
  const outline = `M${left + bend} ${top}H${right - bend}C${right + bend * 0.2} ${top} ${right + bend * 0.2} ${bottom} ${right - bend} ${bottom}H${left + bend}C${left - bend * 0.2} ${bottom} ${left - bend * 0.2} ${top} ${left + bend} ${top}z`;
  const clip = `tank-${id}`;
  const water = s("rect", { class: "stored", x: left - 10, width: right - left + 20, "clip-path": `url(#${clip})` });
  const surface = s("path", { class: "surface", "clip-path": `url(#${clip})` });
  const was = s("path", { class: "ghost", "clip-path": `url(#${clip})` });

  // The head: spray nozzles above, trays below, open to the tank.
  const headX = left + (right - left) * 0.34;
  const wide = Math.min(92, (right - left) * 0.14);
  const crown = 52;
  const head = `M${headX - wide} ${top + 1}V${crown + 22}Q${headX - wide} ${crown} ${headX - wide + 24} ${crown}H${headX + wide - 24}Q${headX + wide} ${crown} ${headX + wide} ${crown + 22}V${top + 1}`;
  const trayTop = crown + (top - crown) * 0.5;
  const trays = [0, 1, 2, 3].map((row) => {
    const at = trayTop + (row * (top - 8 - trayTop)) / 4;
    const off = row % 2 ? 8 : 0;
    return `M${headX - wide + 10 + off} ${at.toFixed(1)}h${2 * wide - 28}`;
  });
  const nozzles = [-0.55, 0, 0.55].map((part) => headX + wide * part);
  const sprays = nozzles.map(() => createMoving("water", 2.4));
  const falls = nozzles.map(() => createMoving("water", 2.4));
  const rises = [-0.28, 0.28].map((part) => ({ x: headX + wide * part, flow: createMoving("vapour", 3.4) }));

  const condensate = createMoving("water", 9);
  const steam = createMoving("steam", 11);
  const drains = createMoving("drain", 8);
  const vent = createMoving("vapour", 3);
  const pegging = createMoving("steam", 8);
  const peg = createValve(true);
  const pegged = store.has(`${id}.pegging_flow`);
  const stop = createValve(true);
  const back = createNonReturn();
  const steamX = headX + wide + (compact ? 44 : 74);
  const drainX = right - (compact ? 40 : 96);
  const steamIn = top - (top - crown) * 0.2;
  const pegX = steamX + (compact ? 34 : 70);

  // Suction pipe: down from the tank, along, and to the pumps; each stretch as hot as the water in it.
  const outX = left + (right - left) * (compact ? 0.3 : 0.14);
  const low = height - 34;
  const pumpX = right - (compact ? 6 : 20);
  /** Corners between the stretches, and where each place's figure stands. */
  const way = pumpX - 14 - outX;
  const stretches = PLACES.map((_, at) => {
    const from = outX + (way * at) / PLACES.length;
    const to = outX + (way * (at + 1)) / PLACES.length;
    const d = at === 0 ? `M${outX} ${bottom}V${low}H${to}` : `M${from} ${low}H${to}`;
    return { d, x: (from + to) / 2, el: s("path", { class: "suction", d }), flow: createMoving("water", 4) };
  });
  const pump = createPump(13);
  pump.setAttribute("transform", `translate(${pumpX} ${low})`);
  const temperatures = PLACES.map((n, at) =>
    bind(label(stretches[at]?.x ?? 0, low - 11, "figure-text", "middle"), `${id}.suction_temperature_${n}`, { digits: 1 }),
  );
  const glass = createGlass(app, heater, { x: width - (compact ? 76 : 104), top: top - 26, bottom: bottom - 6, tags: compact });

  const t = {
    condensateT: bound(label(4, crown - 12, "figure-text strong"), "fw_in_temperature"),
    condensate: bound(label(4, crown + 20, "figure-text soft"), "fw_flow"),
    spray: label(headX - wide - 8, crown + 36, "zone-text", "end"),
    trays: label(headX - wide - 8, trayTop + 16, "zone-text", "end"),
    steamFlow: bound(label(steamX + 12, 58, "figure-text strong"), "extraction_flow"),
    back: label(steamX + 12, 58, "figure-text strong"),
    steam: bound(label(steamX + 12, 73, "figure-text"), "extraction_temperature"),
    source: bound(label(steamX + 12, 14, "figure-text soft"), "extraction_pressure", 3),
    stop: label(steamX - 12, 34, "valve-text", "end"),
    drains: bound(label(drainX + 11, top - 40, "figure-text strong"), "drain_in_flow"),
    from: label(drainX + 11, top - 26, "figure-text soft"),
    pegging: bound(label(pegX + 12, steamIn - 24, "figure-text strong"), "pegging_flow"),
    pegName: label(pegX + 12, steamIn - 9, "figure-text soft"),
    vent: bound(label(headX + 9, 14, "figure-text soft"), "vent_flow", 2),
    ventName: label(headX - 9, 14, "figure-text soft", "end"),
    saturation: bound(label((headX + wide + right) / 2 - 30, top + 15, "figure-text strong", "middle"), "saturation_temperature"),
    pressure: bound(label((headX + wide + right) / 2 - 30, top + 29, "figure-text soft", "middle"), "shell_pressure", 3),
    suction: label(compact ? outX : outX - 10, low + (compact ? 22 : 4), "zone-text", compact ? "start" : "end"),
    pumps: label(pumpX + 20, low - 3, "zone-text"),
    feed: bound(label(pumpX + 20, low + 12, "figure-text soft"), "unit.feed_flow"),
    over: label(left + 18, bottom - 8, "figure-text"),
  };
  setText(t.spray, say("tank_spray"));
  setText(t.trays, say("tank_trays"));
  setText(t.ventName, say("tank_vent"));
  setText(t.pegName, say("pegging_steam"));
  if (!pegged) for (const one of [t.pegging, t.pegName]) show(one, false);
  setText(t.suction, say("tank_suction", { temperature: units.unit("temperature") }));
  setText(t.pumps, say("feed_pumps"));
  const sources = app.manifest.heaters.filter((one) => one.drains_to === id).map((one) => app.short(one.id));
  setText(t.from, sources.length ? say("inside_from", { names: sources.join(", ") }) : "");

  const el = s(
    "g",
    { class: "cutaway tank" },
    s("clipPath", { id: clip }, s("path", { d: outline })),
    s("path", { class: "shell big", d: outline }),
    s("path", { class: "steam-space", d: outline }),
    s("path", { class: "steam-space", d: `${head}z` }),
    s("path", { class: "shell-edge", d: outline }),
    s("path", { class: "shell-edge", d: head }),
    s("path", { class: "opening", d: `M${headX - wide + 2} ${top}H${headX + wide - 2}` }),
    water,
    was,
    surface,
    s("path", { class: "plate", d: trays.join("") }),
    ...rises.map(({ flow }) => flow.el),
    ...sprays.map((flow) => flow.el),
    ...falls.map((flow) => flow.el),
    s("path", { class: "plate sheet", d: `M${nozzles[0]} ${crown + 14}H${nozzles[2]}` }),
    condensate.el,
    steam.el,
    drains.el,
    vent.el,
    ...(pegged ? [pegging.el, peg.el] : []),
    stop.el,
    ...(store.has(`${id}.non_return_valve`) ? [back.el] : []),
    ...stretches.flatMap(({ el: pipe, flow }) => [pipe, flow.el]),
    pump,
    glass.el,
    ...temperatures,
    ...Object.values(t).filter((one) => !compact || (one !== t.spray && one !== t.trays && one !== t.condensate)),
  );
  const f = (/** @type {number} */ n) => n.toFixed(1);

  return {
    el,
    /** @param {boolean} slow */
    update(slow) {
      set(el, { "data-mode": store.mode(id) });
      // In an exercise the water stands where the transmitter says.
      const seen = Number.isNaN(get("level_true")) ? "level" : "level_true";
      const line = Math.max(top, Math.min(bottom, y(normal + get(seen) / 1000)));
      set(water, { y: line, height: bottom - line });
      set(surface, { d: `M${left - 10} ${f(line)}H${right + 10}` });
      const before = normal + app.reference(`${id}.${seen}`) / 1000;
      set(was, { d: Number.isFinite(before) ? `M${left - 10} ${f(y(before))}H${right + 10}` : "" });
      const flow = share("fw_flow");
      condensate.update(`M2 ${crown + 4}H${headX - wide + 6}V${crown + 14}H${f(nozzles[1] ?? headX)}`, flow);
      nozzles.forEach((x, at) => {
        sprays[at]?.update(`M${f(x)} ${crown + 16}l-9 ${f((trayTop - crown) * 0.5)}M${f(x)} ${crown + 16}l9 ${f((trayTop - crown) * 0.5)}M${f(x)} ${crown + 16}V${f(trayTop - 5)}`, flow);
        falls[at]?.update(`M${f(x)} ${f(trayTop + 5)}V${f(line)}`, flow);
      });
      const passes = lineFlow(store, id);
      const taken = passes.flow / of("extraction_flow");
      steam.update(`M${steamX} 18V${f(steamIn)}H${headX + wide - 4}`, taken);
      for (const { x, flow: rise } of rises) rise.update(`M${f(x)} ${f(top - 8)}V${f(trayTop - 8)}`, Math.max(0, taken));
      if (pegged) {
        pegging.update(`M${pegX} ${f(steamIn - 40)}V${f(steamIn)}H${steamX + 4}`, get("pegging_flow") / of("pegging_flow", of("extraction_flow") / 3));
        peg.update(pegX, steamIn - 28, get("pegging_valve"));
      }
      stop.update(steamX, 34, get("stop_valve"));
      back.update(steamX, 52, get("non_return_valve"));
      drains.update(`M${drainX} ${f(top - 54)}V${f(top + 8)}`, share("drain_in_flow"));
      vent.update(`M${headX} ${crown}V4`, get("vent_flow") / of("vent_flow", 0.05));
      const feed = store.get("unit.feed_flow") / Math.max(1, store.design("unit.feed_flow"));
      const now = get("saturation_temperature");
      stretches.forEach(({ el: pipe, d, flow: moves }, at) => {
        const hotter = get(`suction_temperature_${at + 1}`) - now > HOTTER;
        set(pipe, { "data-hotter": String(hotter) });
        moves.update(d, feed);
        const text = temperatures[at];
        if (text) set(text, { "data-weight": hotter ? "warn" : "calm" });
      });
      glass.update();
      if (!slow) return;
      const open = get("stop_valve");
      setText(t.stop, open <= 0.005 ? say("valve_shut") : open < 0.995 ? say("valve_part", { percent: (open * 100).toFixed(0) }) : "");
      show(t.steamFlow, passes.flow >= 0);
      setText(t.back, backWords(app, passes).join(" "));
      set(t.back, { "data-weight": "alarm" });
      const over = get("overflow");
      show(t.over, over > 0.01);
      set(t.over, { "data-weight": "warn" });
      setText(t.over, over > 0.01 ? say("tank_over", { flow: units.full("mass_flow", over, false, 1) }) : "");
    },
    words() {
      const full = (/** @type {string} */ name) => units.full(store.quantity(`${id}.${name}`), get(name));
      return say("tank_words", {
        name: app.short(id),
        mode: modeLook(store.mode(id)).text,
        pressure: full("shell_pressure"),
        saturation: full("saturation_temperature"),
        level: full("level"),
        steam: steamWords(app, id, backWords(app, lineFlow(store, id)).join(" ") || full("extraction_flow")),
        condensate: full("fw_flow"),
        drains: full("drain_in_flow"),
        vent: full("vent_flow"),
      });
    },
  };
}
