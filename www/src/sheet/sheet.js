// The flow sheet: the same train as a process flow diagram, drawn from the plant's own list of heaters. Valves can be
// picked, which puts the focus on what moves them.

import { createPump } from "../climb/symbols.js";
import { h, s, set, setText } from "../dom.js";
import { feedPumpsStand, turbineStands } from "../machines.js";
import { pumpsOf } from "../pumps/pumps.js";
import { bind, dropDetached, updateSignals } from "../signals.js";
import { say } from "../words.js";
import { createSheetHeater } from "./heater.js";
import { LEAST_HEIGHT, leastWidth, planSheet } from "./plan.js";
import { createBubble, createSheetValve } from "./symbols.js";

/** @param {import("../app.js").App} app */
export function createSheet(app) {
  const { heaters } = app.manifest;
  const { store, units } = app;
  const picture = s("svg", { class: "picture sheet-picture", role: "group", "aria-label": say("sheet_label") });
  const box = h("div", { class: "sheet-box", tabindex: 0, role: "group", "aria-label": say("view_sheet") }, picture);
  const el = h("div", { class: "flow-sheet" }, box);
  let size = { width: 0, height: 0 };
  new ResizeObserver(([entry]) => {
    if (entry) size = { width: Math.round(entry.contentRect.width), height: Math.round(entry.contentRect.height) };
  }).observe(picture);
  /** @type {ReturnType<typeof draw> | null} */
  let drawn = null;
  let drawnFor = "";
  let seen = "";
  let due = false;

  /** Puts the focus on a control of the picked heater's card. @param {string} control */
  function operate(control) {
    const id = CSS.escape(app.picked);
    const wanted =
      control === "normal" || control === "emergency"
        ? `#hand-${id}-${control}`
        : control === "line_drain"
          ? `#card-${id} .local select`
          : `#card-${id} [data-action="${control}"]`;
    // The card comes into view with the next frame.
    requestAnimationFrame(() =>
      requestAnimationFrame(() => {
        const target = document.querySelector(wanted);
        if (!(target instanceof HTMLElement)) return;
        if (target instanceof HTMLSelectElement) {
          // What is done at the valve itself is folded away until it is wanted.
          target.closest("details")?.setAttribute("open", "");
          target.value = control;
          target.dispatchEvent(new Event("change"));
        }
        target.focus();
        target.scrollIntoView({ block: "nearest" });
      }),
    );
  }

  function draw() {
    const zoom = Math.min(1.35, size.width / leastWidth(heaters), size.height / LEAST_HEIGHT);
    const plan = planSheet(size.width / zoom, size.height / zoom, heaters);
    set(picture, { viewBox: `0 0 ${plan.width.toFixed(2)} ${plan.height.toFixed(2)}` });
    const { y, condenser, boiler, pumps } = plan;
    const row = heaters.map((heater, at) => createSheetHeater(app, heater, plan, at, operate));
    const right = boiler.left + 6;

    // Turbine over everything, opening towards its exhaust; the generator at that end.
    const exhaustX = condenser.x;
    const turbine = s("path", {
      class: "machine",
      d: `M${right} ${y.turbine + 10}L${exhaustX - 14} ${y.turbine}V${y.band}L${right} ${y.band - 10}z`,
    });
    const generator = s(
      "g",
      { "aria-hidden": "true" },
      s("path", { class: "stem", d: `M${exhaustX - 14} ${(y.turbine + y.band) / 2}H${exhaustX - 24}` }),
      s("circle", { class: "machine", cx: exhaustX - 35, cy: (y.turbine + y.band) / 2, r: 11 }),
      s("text", { class: "tag", x: exhaustX - 35, y: (y.turbine + y.band) / 2 + 4, "text-anchor": "middle", text: "G" }),
    );
    const words = (/** @type {number} */ x, /** @type {number} */ at, /** @type {string} */ text, anchor = "middle") =>
      s("text", { class: "sheet-name", x, y: at, "text-anchor": anchor, text });
    // One word under the other: pipes stand close by. Two fit below the pump, above the drain's line; more stand over it.
    const pumpWords = s("text", { class: "sheet-name", "text-anchor": "middle" });
    const turbineWords = words(exhaustX + 104, (y.turbine + y.band) / 2 + 4, say("turbine"), "start");
    let stands = "";
    const pumpsStand = feedPumpsStand(app);
    const tellMachines = () => {
      const [turbineNow, pumpsNow] = [turbineStands(app), pumpsStand()];
      const now = `${turbineNow.word} ${pumpsNow.word}`;
      if (now === stands) return;
      stands = now;
      setText(turbineWords, say(turbineNow.word));
      set(turbineWords, { "data-weight": turbineNow.weight });
      // A mark stays with its word.
      const lines = say(pumpsNow.word).replace("✕ ", "✕\u00a0").split(" ");
      const over = lines.length > 2;
      set(pumpWords, { "data-weight": pumpsNow.weight, y: over ? y.pump - 4 - 13 * lines.length : y.pump + 25 });
      const x = (pumps?.x ?? 0) - (over ? 10 : 2);
      pumpWords.replaceChildren(...lines.map((text, line) => s("tspan", { x, dy: line && 13, text })));
    };

    // Condenser, hotwell and condensate pumps; the emergency drains' header comes back to it.
    const shellTop = y.condenser - 30;
    const shell = s("rect", { class: "vessel-of", x: condenser.x - 40, y: shellTop, width: 80, height: 60, rx: 8 });
    const cooling = s("path", { class: "tubes", d: `M${condenser.x - 40} ${y.condenser - 4}h18l5 -9l8 18l8 -18l8 18l5 -9h28` });
    const exhaust = s("path", { class: "pipe steam", d: `M${exhaustX} ${y.band}V${shellTop}` });
    const first = plan.heaters[0];
    const low = Math.min(plan.height - 22, y.header + 28);
    const rise = condenser.right - 26;
    const condensate = s("path", { class: "pipe water", d: `M${condenser.x} ${y.condenser + 30}V${low}H${rise}V${y.water}H${first ? first.x - 25 : rise}` });
    const condensatePump = createPump(10);
    condensatePump.setAttribute("transform", `translate(${(condenser.x + rise) / 2} ${low})`);
    const header = s("path", { class: "pipe drain away", d: "" });

    // The feedwater line from heater to heater; behind the open one down to the pumps and up again.
    const feed = s("path", { class: "pipe water" });
    let way = "";
    plan.heaters.forEach((place, at) => {
      const heater = heaters[at];
      const beyond = plan.heaters[at + 1];
      const half = heater?.kind === "open" ? 33 : 25;
      if (heater?.kind === "open" && pumps) {
        way += `M${place.x + 14} ${y.foot}V${y.pump}H${pumps.x}M${pumps.x} ${y.pump}H${pumps.right - 12}V${y.water}H${beyond ? beyond.x - 25 : boiler.left + 12}`;
      } else way += `M${place.x + half} ${y.water}H${beyond ? beyond.x - (heaters[at + 1]?.kind === "open" ? 33 : 25) : boiler.left + 12}`;
    });
    set(feed, { d: way });
    const pump = createPump(12);
    if (pumps) pump.setAttribute("transform", `translate(${pumps.x} ${y.pump})`);

    // Bypasses: one for each group, from before its first heater to behind its last, over the shells.
    const groups = heaters
      .filter((heater) => heater.kind === "closed" && heater.bypass_group.length > 0)
      .filter((heater) => heaters.find((one) => heater.bypass_group.includes(one.id))?.id === heater.id);
    const bypasses = groups.map((heater) => {
      const members = heaters.flatMap((one, at) => (heater.bypass_group.includes(one.id) ? [plan.heaters[at]] : []));
      const a = members[0];
      const b = members.at(-1);
      const line = s("path", { class: "pipe water round" });
      const valve = createSheetValve(app, {
        heater,
        name: "bypass",
        upright: false,
        kind: "motor",
        side: 1,
        word: say("bypass"),
        pick: () => {
          app.pick(heater.id);
          operate(store.get(`${heater.id}.bypass`) > 0.5 ? "put_back" : "trip_heater");
        },
      });
      if (a && b) {
        const [from, to] = [a.left + 17, b.right - 9];
        set(line, { d: `M${from} ${y.water}V${y.round}H${to}V${y.water}` });
        valve.place(a.x - 22, y.round, [-12, -6, "end"]);
        // Its tag stands left of it, above the line.
      }
      return { heater, line, valve };
    });

    const tank = plan.heaters.find((_, at) => heaters[at]?.kind === "open");
    const boilerBox = s("rect", { class: "machine", x: boiler.left + 12, y: y.band + 8, width: boiler.right - boiler.left - 18, height: y.foot - y.band, rx: 6 });
    const main = s("path", { class: "pipe steam", d: `M${boiler.x + 6} ${y.band + 8}V${(y.turbine + y.band) / 2}H${right}` });
    const middle = boiler.x + 3;
    const casings = pumps ? pumpsOf(store, "fp").filter((id) => store.has(`${id}.casing_temperature`)) : [];
    const casingsX = (pumps?.x ?? 0) - 30;
    const unit = [
      createBubble(null, "gross_output", exhaustX + 8, (y.turbine + y.band) / 2, "right", { unit: true }),
      createBubble(null, "condenser_pressure", exhaustX + 17, y.flow, "below", { unit: true, digits: 2 }),
      createBubble(null, "hotwell_level", condenser.x - 24, y.condenser + 46, "below", { signed: true }),
      createBubble(null, "condensate_flow", rise, (y.condenser + y.header) / 2 + 8, "left"),
      createBubble(null, "final_fw_temperature", middle, y.water - 24, "above", { unit: true }),
      createBubble(null, "feed_flow", middle, y.water + 24, "below", { unit: true }),
      ...(pumps && tank
        ? [
            createBubble(null, "feed_pump_suction_temperature", tank.x + 6, y.pump + 20, "below"),
            createBubble(null, "feed_pump_discharge", pumps.right - 31, y.water - 10, "above"),
            // Casings of the pumps, one beside the other where there is room: under the drains that come back to the tank.
            ...casings.map((id, nth) =>
              createBubble(null, "casing_temperature", casingsX + 29 * (nth - (casings.length - 1) / 2), y.lower - 2, "above", { digits: 0 }, { id, nth }),
            ),
          ]
        : []),
    ];
    const closed = plan.heaters.filter((_, at) => heaters[at]?.kind === "closed");
    const far = closed.at(-1);
    set(header, { d: far ? `M${far.x + 17} ${y.header}H${condenser.x + 16}V${y.condenser + 30}` : "" });

    picture.replaceChildren(
      ...row.flatMap((one) => one.lines),
      exhaust,
      main,
      header,
      condensate,
      feed,
      ...bypasses.map(({ line }) => line),
      turbine,
      boilerBox,
      shell,
      cooling,
      turbineWords,
      words(middle, y.band + 26, say("boiler")),
      words(condenser.x, y.condenser + 24, say("device_condenser")),
      ...(casings.length ? [words(casingsX, y.lower + 26, say("pump_casings"))] : []),
      generator,
      condensatePump,
      ...(pumps ? [pump, pumpWords] : []),
      ...unit,
      ...row.map((one) => one.el),
      ...bypasses.map(({ valve }) => valve.el),
      s("text", {
        class: "legend",
        x: plan.width - 10,
        y: plan.height - 8,
        "text-anchor": "end",
        text: say("sheet_units", {
          temperature: units.unit("temperature"),
          pressure: units.unit("pressure"),
          flow: units.unit("mass_flow"),
          level: units.unit("level_offset"),
        }),
      }),
      bind(s("text", { class: "sheet-value soft", x: right - 8, y: (y.turbine + y.band) / 2 + 4, "text-anchor": "end" }), "unit.throttle_flow", { unit: true, digits: 1 }),
    );
    dropDetached();
    updateSignals(app);
    return { row, bypasses, header, tellMachines };
  }

  return {
    el,
    drawn: () => drawn !== null,
    /** @param {boolean} slow */
    update(slow) {
      if (size.width < 120 || size.height < 120) return;
      const key = `${size.width} ${size.height} ${app.units.system}`;
      if (key !== drawnFor) {
        // What is redrawn takes the focus of what it replaces.
        const focused = document.activeElement;
        const [valve, heater] = ["data-valve", "data-sheet-heater"].map((name) => focused?.getAttribute(name));
        drawn = draw();
        drawnFor = key;
        const again = valve
          ? picture.querySelector(`[data-valve="${CSS.escape(valve)}"]`)
          : heater && picture.querySelector(`[data-sheet-heater="${CSS.escape(heater)}"]`);
        if (again instanceof SVGElement) again.focus();
        seen = "";
        slow = true;
      }
      const state = `${store.version} ${app.version}`;
      const fresh = state !== seen;
      if (!drawn || (!fresh && !(slow && due))) return;
      seen = state;
      due = !slow;
      for (const one of drawn.row) one.update(slow);
      if (slow) drawn.tellMachines();
      const spilt = heaters.some(({ id }) => store.get(`${id}.emergency_drain_flow`) > 0.05);
      set(drawn.header, { "data-flow": spilt ? "yes" : "no" });
      for (const { heater, line, valve } of drawn.bypasses) {
        set(line, { "data-flow": store.get(`${heater.id}.bypass_flow`) > 0.05 ? "yes" : "no" });
        if (slow) valve.update();
      }
    },
  };
}
