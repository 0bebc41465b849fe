// Draws the flows by width: steam along the turbine and down to the heaters, drains back between them, water up the
// stair. Every width is the flow's share of the throttle steam at design.

import { createPump } from "../climb/symbols.js";
import { s } from "../dom.js";
import { say } from "../words.js";
import { band, from, n, ribbon, wave } from "./bands.js";
import { NONE, endOf, flowsOf } from "./flows.js";
import { HEATING } from "./place.js";

/**
 * @typedef {import("./flows.js").Stream} Stream
 * @typedef {import("./flows.js").Train} Train
 * @typedef {import("./place.js").Place} Place
 */

/** Radius of a bend (px). */
const BEND = 9;
/** How far right of a shell the drain of its extraction line falls (px). */
const BESIDE = 6;

/**
 * @param {import("../app.js").App} app
 * @param {import("../types.js").Balance} balance
 * @param {import("./place.js").Places} box
 * @returns {{ els: Element[], streams: Map<string, Stream> }}
 */
export function draw(app, balance, box) {
  const { units } = app;
  const { wide, turbine, lanes, compact, places } = box;
  const flows = flowsOf(app, balance);
  const place = new Map(places.map((one) => [one.id, one]));
  const [condenser, boiler, last] = [places[0], places.at(-1), places.at(-2)];
  if (!condenser || !boiler || !last) return { els: [], streams: new Map() };

  /** From the back to the front. */
  const layers = /** @type {Record<"branches" | "vessels" | "water" | "bands" | "words", Element[]>} */ ({
    branches: [],
    vessels: [],
    water: [],
    bands: [],
    words: [],
  });
  /** Drains to the condenser pass behind all else. @type {Element[]} */
  const behind = [];
  /** @type {Set<string>} */
  const drawn = new Set();
  const put = (/** @type {Element[]} */ layer, /** @type {Stream} */ stream, /** @type {string} */ d) => {
    layer.push(band(stream, d, wide(stream.flow)));
    drawn.add(stream.id);
  };
  const flowing = (
    /** @type {Stream} */ stream,
    /** @type {Place} */ a,
    /** @type {Place} */ b,
    /** @type {number} */ to,
  ) => {
    layers.water.push(band(stream, ribbon(wide(stream.flow), [a.right, a.water], [b.left, b.water], to), 0));
    drawn.add(stream.id);
  };
  const word = (
    /** @type {string} */ kind,
    /** @type {number} */ x,
    /** @type {number} */ y,
    /** @type {string} */ text,
    anchor = "middle",
  ) => layers.words.push(s("text", { class: kind, x: n(x), y: n(y), "text-anchor": anchor, text }));
  const flow = (/** @type {number} */ value) => units.text("mass_flow", value, false, value >= 100 ? 1 : 2);

  /** Where a heater's steam comes down, and how wide. */
  const taps = new Map(
    flows.train.map(({ heater, extraction }) => {
      const one = place.get(heater.id) ?? boiler;
      const width = wide(extraction.flow);
      return [heater.id, { x: compact ? one.x : one.right - Math.max(10, width / 2 + 6), width }];
    }),
  );
  /** The turbine's lower edge before each heater's tap. @type {Map<string, number>} */
  const edges = new Map();

  /** Words above the turbine stand clear of heating steam. */
  const above = turbine - 7 - (flows.dried?.heating ? HEATING : 0);
  /** Where steam is dried. */
  let dryer = 0;

  // The turbine, from the boiler to the condenser: its band narrows where a heater takes its share.
  let x = boiler.left;
  flows.stages.forEach((stage, at) => {
    const solved = balance.stages[at];
    if (!solved) return;
    const end = endOf(balance, solved);
    const tap = taps.get(end);
    const width = wide(stage.flow);
    const y = turbine + width / 2;
    const next = balance.stages[at + 1];
    // Where no heater stands, half-way to the next that does.
    const on = next && (taps.get(endOf(balance, next))?.x ?? condenser.x);
    const to = tap ? tap.x + BEND : on === undefined ? condenser.x + width / 2 + 4 : (x + on) / 2;
    edges.set(end, turbine + width);
    put(layers.bands, stage, `${from(x, y)}H${n(to)}`);
    if (flows.reheated[at]) {
      dryer = x;
      edges.set("dryer", turbine + wide(flows.stages[at - 1]?.flow ?? stage.flow));
      layers.words.push(s("path", { class: "reheat", d: `M${n(x + 7)} ${turbine - 2}v-9h-14v9m-3 -4l3 4l3 -4` }));
      if (!compact)
        word(
          "soft",
          x - 14,
          above,
          balance.separator
            ? say("flow_dried", { water: units.full("mass_flow", balance.separator.drain_flow, false, 1) })
            : say("flow_reheat", { heat: units.full("heat_flow", balance.reheat, false, 1) }),
          "end",
        );
    }
    x = to;
  });
  // What is left bends down into the condenser.
  const exhaust = wide(flows.exhaust.flow);
  const hood = turbine + exhaust + 14;
  put(
    layers.bands,
    flows.exhaust,
    `${from(x, turbine + exhaust / 2)}Q${n(condenser.x)} ${n(turbine + exhaust / 2)} ${n(condenser.x)} ${n(turbine + exhaust + 4)}V${n(hood + 6)}`,
  );

  /** Down, behind the water, and back to the condenser along the foot of the picture: the farthest lowest. */
  let floor = lanes;
  const runBack = (/** @type {Stream} */ stream, /** @type {number} */ at, /** @type {number} */ top) => {
    const width = wide(stream.flow);
    const y = floor - width / 2;
    floor -= width + 4;
    put(
      behind,
      stream,
      `${from(at, top)}V${n(y - BEND)}Q${n(at)} ${n(y)} ${n(at - BEND)} ${n(y)}H${n(condenser.right)}`,
    );
    return { width, y };
  };
  const toCondenser = (/** @type {Stream} */ stream, /** @type {number} */ at, /** @type {number} */ top) => {
    const { width, y } = runBack(stream, at, top);
    if (!compact)
      word(
        "figure spilt",
        at + width / 2 + 6,
        y - width / 2 - 6,
        say("flow_spilt", { flow: units.full("mass_flow", stream.flow) }),
        "start",
      );
  };

  /** Upper edge of each vessel. @type {Map<string, number>} */
  const tops = new Map();

  // From the boiler down: see the lanes above.
  for (const one of [...flows.train].reverse()) {
    const { heater, extraction, outage } = one;
    const here = place.get(heater.id);
    const tap = taps.get(heater.id);
    const before = here && places[places.indexOf(here) - 1];
    if (!here || !tap || !before) continue;
    const open = heater.kind === "open";
    const out = outage === "out";
    const half = wide(one.water.flow) / 2;
    const inflow = one.balance.drain_in > NONE ? wide(one.balance.drain_in) : 0;
    const steam = extraction.flow > NONE;
    const top = Math.min(here.drain - inflow - (steam ? tap.width : 0) - 8, here.drain - 22);
    tops.set(heater.id, top);
    // The water goes through a heater in service, and past one that is out.
    const foot = out ? here.drain + 3 : here.water + half + 5;
    layers.vessels.push(
      s("rect", {
        class: `vessel ${outage}`,
        x: n(here.left),
        y: n(top),
        width: n(here.right - here.left),
        height: n(foot - top),
        rx: 7,
      }),
    );

    // Steam: off the turbine's lower edge, down, and round the bend onto what drains from above.
    const edge = edges.get(heater.id) ?? turbine;
    if (steam) {
      const y = edge - tap.width / 2;
      const bed = here.drain - inflow - tap.width / 2;
      const end = open ? `V${n(top)}` : `V${n(bed - BEND)}Q${n(tap.x)} ${n(bed)} ${n(tap.x - BEND)} ${n(bed)}`;
      put(layers.bands, extraction, `${from(tap.x + BEND, y)}Q${n(tap.x)} ${n(y)} ${n(tap.x)} ${n(y + BEND)}${end}`);
    } else layers.vessels.push(s("path", { class: "shut", d: `M${n(tap.x)} ${n(edge + 2)}V${n(top)}` }));
    // The drain of a shut line: off the turbine beside it, past the shell.
    if (one.lineDrain) {
      runBack(one.lineDrain, here.right + BESIDE, edge);
      // Next to the condenser, clear of what is said of the exhaust.
      const line = edge + (before === condenser ? 30 : 14);
      if (!compact) word("figure", tap.x - 4, line, say("line_drain_short", { flow: flow(one.lineDrain.flow) }), "end");
    }

    const start = steam ? tap.x - BEND : here.right - 6;
    if (one.drain) drainOf(one.drain, heater.drains_to, here, before, start);
    if (one.spill) toCondenser(one.spill, here.left + 8 + wide(one.spill.flow) / 2, here.drain - 2);
    // Beside the name, which stands over a closed heater's left.
    if (one.vent) put(layers.bands, one.vent, `${from(open ? here.left + 8 : here.x + 8, top)}v-9`);

    // Water: rising between vessels, level in them. A pump stands in the line, not round it.
    const origin = before.kind === "pump" ? (places[places.indexOf(before) - 1] ?? before) : before;
    flowing(one.water, origin, here, open ? here.left : here.right);
    if (before.kind === "pump") {
      const pump = createPump(compact ? 5 : 9);
      const y = (origin.water + here.water) / 2;
      pump.setAttribute("transform", `translate(${n((origin.right + here.left) / 2)} ${n(y)})`);
      layers.bands.push(pump);
      if (!compact) {
        word("soft", before.x, y + half + 32, say("feed_pumps"));
        word("figure", before.x, y + half + 46, flow(balance.feed));
      }
    }

    if (compact) {
      word(out ? "name out" : "name", here.x, here.water + half + 17, app.short(heater.id));
      continue;
    }
    // The open one's longer name would meet its steam.
    if (open) word("name", tap.x - tap.width / 2 - 5, top - 6, app.short(heater.id), "end");
    else word("name", here.left, top - 6, app.short(heater.id), "start");
    if (outage !== "none") word("state", tap.x - 5, top - 20, say(out ? "bal_out" : "bal_steam_off"), "end");
    if (steam) word("figure", tap.x - tap.width / 2 - 4, edge + (top - edge) * 0.42, flow(extraction.flow), "end");
    if (before !== condenser) {
      const gap = before.kind === "pump" ? here.left - 17 : (here.left + before.right) / 2;
      word("degrees", gap, here.water + half + 18, units.text("temperature", one.balance.water_in_t));
    }
  }

  /**
   * To the next heater, where its steam comes on top; from the last to the condenser beside it.
   * @param {Stream} stream
   * @param {string} target
   * @param {Place} here
   * @param {Place} before
   * @param {number} start
   */
  function drainOf(stream, target, here, before, start) {
    const width = wide(stream.flow);
    const y = here.drain - width / 2;
    if (target === "forward") {
      // Round, and along with the water: it joins behind the heater.
      const [turn, low, out] = [here.left + 2 + width / 2, here.drain + 5 + width / 2, here.right + 16];
      put(
        layers.bands,
        stream,
        `${from(start, y)}H${n(turn + BEND)}Q${n(turn)} ${n(y)} ${n(turn)} ${n((y + low) / 2)}Q${n(turn)} ${n(low)} ${n(turn + BEND)} ${n(low)}H${n(here.right)}Q${n(out)} ${n(low)} ${n(out)} ${n(here.water)}`,
      );
      return;
    }
    const next = place.get(target) ?? condenser;
    if (next === condenser && before !== condenser && before.kind !== "pump") {
      toCondenser(stream, start, here.drain - 2);
      return;
    }
    const bottom = (next === condenser ? here.drain + 14 : next.drain) - width / 2;
    const inside = next.kind === "closed" ? `H${n((taps.get(target)?.x ?? next.x) - BEND)}` : "";
    put(layers.bands, stream, `${from(start, y)}H${n(here.left)}${wave(here.left, y, next.right, bottom)}${inside}`);
    if (!compact) {
      const gap = Math.min(here.left - next.right, 44);
      word("figure", here.left - gap / 2, y - width / 2 - 7, flow(stream.flow));
    }
  }

  // Off the separator: its moisture and what the heating steam condenses to, each to the side of a vessel.
  if (flows.dried && dryer > 0) {
    const { moisture, heating, heated } = flows.dried;
    const edge = edges.get("dryer") ?? turbine;
    if (heating) {
      const y = turbine - 3 - wide(heating.flow) / 2;
      const at = dryer + 5;
      put(
        layers.bands,
        heating,
        `${from(boiler.left, y)}H${n(at + BEND)}Q${n(at)} ${n(y)} ${n(at)} ${n(y + BEND)}`,
      );
      if (!compact) word("figure", dryer + 14, above, flow(heating.flow), "start");
    }
    for (const [one, at] of /** @type {const} */ ([
      [moisture, dryer - 5],
      [heated, dryer + 5],
    ])) {
      if (one?.drain) branchOf(one.drain, one.to, at, edge);
      if (one?.spill) toCondenser(one.spill, at, edge);
    }
  }

  /**
   * Down from the separator and to the near side of a vessel.
   * @param {Stream} stream
   * @param {string} to
   * @param {number} at
   * @param {number} edge
   */
  function branchOf(stream, to, at, edge) {
    const target = place.get(to);
    if (!target) return;
    const half = wide(stream.flow) / 2;
    const left = at > target.x;
    // From the right on top of what drains there from above; from the left above what leaves it.
    const arriving = flows.train.find(({ heater }) => heater.id === to)?.balance.drain_in ?? 0;
    const y = left ? target.drain - wide(arriving) + half : (tops.get(to) ?? target.drain) + half + 6;
    const side = left ? target.right : target.left;
    const bend = left ? -BEND : BEND;
    put(
      layers.branches,
      stream,
      `${from(at, edge - 1)}V${n(y - BEND)}Q${n(at)} ${n(y)} ${n(at + bend)} ${n(y)}H${n(side)}`,
    );
    // To the right the steam of the next heater stands in the way; what goes there is figured as heating steam.
    if (left && !compact) word("figure", at - half - 4, edge + (y - edge) * 0.6, flow(stream.flow), "end");
  }

  // Both ends.
  const feed = wide(flows.feed.flow) / 2;
  flowing(flows.feed, last, boiler, boiler.left + 3);
  const end = (
    /** @type {Place} */ at,
    /** @type {number} */ top,
    /** @type {number} */ foot,
    /** @type {string} */ kind,
  ) =>
    s("rect", {
      class: `vessel ${kind}`,
      x: n(at.left),
      y: n(top),
      width: n(at.right - at.left),
      height: n(foot - top),
      rx: 9,
    });
  const ends = [
    end(condenser, hood + 6, lanes + 5, "end"),
    end(boiler, turbine - 8, boiler.water + feed + (compact ? 8 : 12), "end boiler"),
  ];
  if (!compact) {
    const clear = (turbine + 2 * feed + boiler.water - feed) / 2;
    word("name", boiler.x, clear, say("boiler"));
    word("soft", boiler.x, clear + 15, units.full("heat_flow", balance.heat_added, false, units.shown("heat_flow", balance.heat_added) < 1000 ? 1 : 0));
    word("name", boiler.x, boiler.water + feed + 28, units.full("temperature", balance.final_temperature));
    word("soft", boiler.left - 6, above, units.full("mass_flow", balance.throttle, false, 1), "end");
    word("name", condenser.right + 4, above - 1, say("turbine"), "start");
    word("name end-name", condenser.x, hood + 24, say("device_condenser"));
    word("soft", condenser.x, hood + 38, units.full("low_pressure", balance.condenser_pressure));
    word("figure", condenser.x + exhaust / 2 + 8, hood + 1, flow(balance.exhaust), "start");
    word("figure", condenser.right - 5, condenser.water + 4, flow(balance.condensate), "end");
  }
  return {
    els: [...ends, ...behind, ...layers.branches, ...layers.vessels, ...layers.water, ...layers.bands, ...layers.words],
    streams: walk(flows, drawn),
  };
}

/**
 * The streams that are drawn, in the order of a walk round the plant: steam, condenser, then up from heater to heater.
 * @param {import("./flows.js").Flows} flows
 * @param {Set<string>} drawn
 */
function walk({ stages, exhaust, train, feed, dried }, drawn) {
  const branches = [dried?.moisture, dried?.heated].flatMap((one) => (one ? [one.drain, one.spill] : []));
  const all = [
    ...stages,
    exhaust,
    ...branches,
    dried?.heating,
    ...train.flatMap(({ water, extraction, lineDrain, drain, spill, vent }) => [water, extraction, lineDrain, drain, spill, vent]),
    feed,
  ];
  return new Map(all.flatMap((stream) => (stream && drawn.has(stream.id) ? [[stream.id, stream]] : [])));
}
