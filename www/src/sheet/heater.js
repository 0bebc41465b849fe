// One heater on the flow sheet with its extraction line, valves, drains and instruments.

import { createPump } from "../climb/symbols.js";
import { s, set, setText } from "../dom.js";
import { DRAINS, lineDrainFlow, lineFlow } from "../extraction.js";
import { peggingFlow } from "../pegging.js";
import { levelText } from "../signals.js";
import { levelLook, levelMatters, levelReach, modeLook } from "../state.js";
import { say } from "../words.js";
import { createBubble, createNonReturn, createSheetValve } from "./symbols.js";

const HALF = 25;

/**
 * @param {import("../app.js").App} app
 * @param {import("../types.js").Heater} heater
 * @param {import("./plan.js").Plan} plan
 * @param {number} at   its place in the row
 * @param {(control: string) => void} operate  shows the card and puts the focus on a control of it
 */
export function createSheetHeater(app, heater, plan, at, operate) {
  const { store } = app;
  const { id } = heater;
  const { y } = plan;
  const place = plan.heaters[at] ?? plan.condenser;
  const { x } = place;
  const open = heater.kind === "open";
  const get = (/** @type {string} */ name) => store.get(`${id}.${name}`);
  const pick = () => app.pick(id);

  // Vessel with its level; the open one is a tank with a dome, the closed one has its tubes drawn through.
  const [top, foot] = open ? [y.shell + 14, y.foot] : [y.shell, y.foot];
  const half = open ? HALF + 8 : HALF;
  const round = open ? (foot - top) / 2 : HALF;
  const clip = `sheet-${id}`;
  const outline = { x: x - half, y: top, width: 2 * half, height: foot - top, rx: Math.min(round, half) };
  const body = s("rect", { class: "vessel-of", ...outline });
  const water = s("rect", { class: "stored", x: x - half, width: 2 * half, "clip-path": `url(#${clip})` });
  const wall = s("rect", { class: "vessel-wall", ...outline });
  const tubes = open
    ? s("path", { class: "vessel-wall", d: `M${x - 11} ${top + 1}v-9a11 11 0 0 1 22 0v9` })
    : s("path", { class: "tubes", d: `M${x - HALF} ${y.water}h9l6 -9l8 18l8 -18l8 18l3 -9h8` });
  const ring = s("rect", { class: "ring", x: x - half - 5, y: top - 5, width: 2 * half + 10, height: foot - top + 10, rx: 9 });
  // In the vessel's foot, where no line passes.
  const name = s("text", { class: "sheet-name within-vessel", x, y: foot - (open ? 14 : 9), "text-anchor": "middle", text: app.short(id) });
  const mode = s("text", { class: "heater-mode", x: x - half - 2, y: top + 4, "text-anchor": "end" });
  const button = s(
    "g",
    { class: "heater sheet-heater", role: "button", tabindex: 0, "data-sheet-heater": id },
    s("clipPath", { id: clip }, s("rect", outline)),
    ring,
    body,
    water,
    tubes,
    wall,
    name,
  );
  button.addEventListener("click", pick);
  button.addEventListener("dblclick", () => app.look(id));
  button.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" && event.key !== " ") return;
    event.preventDefault();
    pick();
  });

  // Extraction: from the turbine down, stop valve, non-return valve.
  const steamEnd = open ? top - 17 : top;
  const steam = s("path", { class: "pipe steam", d: `M${x} ${y.band}V${steamEnd}` });
  const steamHead = s("path", { class: "head steam" });
  const stop = createSheetValve(app, {
    heater,
    name: "stop_valve",
    upright: true,
    kind: "motor",
    side: 1,
    word: say("fig_stop_valve"),
    // What is shut is put back, what is open is shut; an open heater's line cannot be operated.
    pick: () => (pick(), open ? undefined : operate(get("stop_valve") > 0.5 ? "isolate_extraction" : "put_back")),
  });
  stop.place(x, y.stop, [-10, -1, "end"]);
  const back = createNonReturn();
  const hasBack = store.has(`${id}.non_return_valve`);

  // Drains: normal to the next heater, emergency down to the header of the condenser.
  const drainX = x - 4;
  const awayX = x + 17;
  const drain = s("path", { class: "pipe drain" });
  const away = s("path", { class: "pipe drain away" });
  const valves = [stop];
  const next = plan.heaters[at - 1];
  const nextHeater = app.manifest.heaters[at - 1];
  const forward = heater.drains_to === "forward";
  const pump = forward ? createPump(6) : null;
  if (!open) {
    const normal = createSheetValve(app, {
      heater,
      name: "normal_drain_valve",
      upright: forward,
      kind: "control",
      side: 1,
      word: say("normal_drain"),
      pick: () => (pick(), operate("normal")),
    });
    const emergency = createSheetValve(app, {
      heater,
      name: "emergency_drain_valve",
      upright: true,
      kind: "control",
      side: 1,
      word: say("emergency_drain"),
      pick: () => (pick(), operate("emergency")),
    });
    const to = heater.drains_to === nextHeater?.id && next ? next : null;
    if (forward) normal.place(drainX, (y.foot + y.drain) / 2 + 6, [-11, -3, "end"]);
    else normal.place(place.left - (to ? 2 : 0), y.drain, [0, 19, "middle"]);
    emergency.place(awayX, y.lower, [-10, -4, "end"]);
    valves.push(normal, emergency);
    const into = to ? to.x + (nextHeater?.kind === "open" ? HALF + 8 : HALF) : 0;
    const enter = y.foot - 30;
    let way = `H${plan.condenser.x + 36}`;
    if (to) way = `H${into + 8}V${enter}H${into}`;
    // Pumped into the feedwater behind the heater.
    if (forward) way = `H${x + half + 8}V${y.water}`;
    pump?.setAttribute("transform", `translate(${x + half + 8} ${y.foot + 12}) rotate(-90)`);
    set(drain, { d: `M${drainX} ${foot}V${y.drain}${way}` });
    set(away, { d: `M${awayX} ${foot - 7}V${y.header}` });
  }

  // The line's drain: from before its valves to the condenser, whose header lies too far down to be drawn to.
  const hasDrain = store.has(`${id}.line_drain_valve`);
  const drainY = y.band + (y.stop - y.band) * 0.36;
  const lineDrain = s("path", { class: "pipe steam", d: hasDrain ? `M${x} ${drainY}H${x - 36}` : "" });
  const lineDrainHead = s("path", { class: "head steam", d: hasDrain ? `M${x - 34} ${drainY - 4}v8l-7 -4z` : "" });
  const lineDrained = s("text", { class: "sheet-value", x: x - 27, y: drainY - 7, "text-anchor": "end" });
  if (hasDrain) {
    const valve = createSheetValve(app, {
      heater,
      name: "line_drain_valve",
      upright: false,
      kind: "motor",
      side: 1,
      word: say("local_line_drain"),
      // At the valve itself: no control of the desk moves it.
      pick: () => (pick(), open ? undefined : operate("line_drain")),
    });
    valve.place(x - 18, drainY, [0, 19, "middle"]);
    valves.push(valve);
  }

  // Pegging steam, from the side into the line above the dome.
  const pegged = store.has(`${id}.pegging_flow`);
  const pegging = s("path", { class: "pipe steam", d: pegged ? `M${x + 58} ${top - 34}H${x}` : "" });
  if (pegged) {
    const valve = createSheetValve(app, {
      heater,
      name: "pegging_valve",
      upright: false,
      kind: "control",
      side: 1,
      word: say("pegging_steam"),
      pick: () => (pick(), operate("move_pegging")),
    });
    valve.place(x + 32, top - 34, [-8, 19, "start"]);
    valves.push(valve);
  }

  const figures = s(
    "g",
    { "aria-hidden": "true" },
    createBubble(heater, "extraction_flow", x + 17, y.flow, "below"),
    ...(pegged ? [createBubble(heater, "pegging_flow", x + 71, top - 34, "above")] : []),
    createBubble(heater, "level", x - half - 14, y.foot - 10, "below", { signed: true }),
  );
  const within = s(
    "g",
    { class: "within", "aria-hidden": "true" },
    createBubble(heater, "shell_pressure", x, top + 18, "below", { digits: 2 }),
  );
  const before = s("g", { "aria-hidden": "true" }, createBubble(heater, "fw_in_temperature", place.left, y.water - 20, "under"));

  return {
    id,
    /** Lines lie under everything, so that symbols stand on them. */
    lines: [steam, lineDrain, drain, away, pegging],
    el: s("g", { class: "sheet-of" }, steamHead, lineDrainHead, lineDrained, ...(hasBack ? [back.el] : []), figures, button, before, within, mode, ...(pump ? [pump] : []), ...valves.map(({ el }) => el)),
    /** @param {boolean} slow */
    update(slow) {
      const state = store.mode(id);
      const look = modeLook(state);
      const picked = app.picked === id;
      set(button, { "data-mode": state, "data-picked": String(picked), "aria-pressed": String(picked) });
      const level = get("level");
      const reach = levelReach(app, heater) * 1.4;
      const middle = foot - (foot - top) * (open ? 0.5 : 0.3);
      const surface = middle - (Math.max(-reach, Math.min(reach, level)) / reach) * (foot - top) * 0.28;
      set(water, { y: surface, height: Math.max(0, foot - surface) });
      const flowing = (/** @type {string} */ signal) => (get(signal) > 0.05 ? "yes" : "no");
      const passing = lineFlow(store, id).flow;
      const way = Math.abs(passing) <= 0.05 ? "no" : passing < 0 ? "back" : "yes";
      set(steam, { "data-flow": way });
      set(steamHead, { d: way === "back" ? `M${x - 4} ${y.band + 7}h8l-4 -7z` : `M${x - 4} ${steamEnd - 7}h8l-4 7z`, "data-flow": way });
      const drains = lineDrainFlow(store, id);
      for (const part of [lineDrain, lineDrainHead]) set(part, { "data-flow": drains > DRAINS ? "yes" : "no" });
      set(pegging, { "data-flow": peggingFlow(store, id) > 0.02 ? "yes" : "no" });
      set(drain, { "data-flow": flowing("normal_drain_flow") });
      set(away, { "data-flow": flowing("emergency_drain_flow") });
      back.update(x, y.back, get("non_return_valve"));
      if (!slow) return;
      setText(lineDrained, drains > DRAINS ? app.units.text("mass_flow", drains, false, 2) : "");
      for (const valve of valves) valve.update();
      const heard = levelMatters(state, level, heater.level_marks);
      const levels = levelLook(level, heater.level_marks);
      const weight = state !== "in_service" ? look.weight : heard ? levels.weight : "calm";
      setText(mode, state !== "in_service" ? look.shape : weight !== "calm" ? levels.shape : "");
      set(mode, { "data-weight": weight });
      set(button, {
        "aria-label": say("sheet_heater", {
          name: app.short(id),
          mode: look.text,
          level: levelText(app, id),
        }),
      });
    },
  };
}
