// The picture of the flows: drawn anew for each balance, walked through with the arrow keys, read out below.

import { h, s, set } from "../dom.js";
import { say } from "../words.js";
import { draw } from "./draw.js";
import { placesOf } from "./place.js";

/** @typedef {import("./flows.js").Stream} Stream */

/**
 * @param {import("../app.js").App} app
 * @param {import("../types.js").Balance} design
 */
export function createPicture(app, design) {
  const { heaters } = app.manifest;
  const svg = s("svg", { class: "flows", role: "group", "aria-label": say("flows_label") });
  const readout = h("p", { class: "readout" });
  const el = h("section", { class: "flows-of", "aria-label": say("flows") }, svg, readout);
  const most = design.throttle;
  const drains = Math.max(...design.heaters.map((heater) => heater.drain_flow));
  const heating = !!design.separator?.reheater;
  /** @type {Map<string, Stream>} */
  let streams = new Map();
  let at = "";

  const tell = (/** @type {string | null | undefined} */ id) => {
    const stream = streams.get(id ?? "");
    readout.replaceChildren(
      ...(stream
        ? [h("strong", { text: stream.name }), `: ${stream.facts}`]
        : [say("flows_hint", { unit: app.units.unit("mass_flow"), degrees: app.units.unit("temperature") })]),
    );
  };
  const bandOf = (/** @type {EventTarget | null} */ target) =>
    target instanceof Element ? target.closest("[data-band]")?.getAttribute("data-band") : null;
  const focused = () => bandOf(document.activeElement);
  svg.addEventListener("pointerover", (event) => tell(bandOf(event.target) ?? focused()));
  svg.addEventListener("pointerleave", () => tell(focused()));
  svg.addEventListener("focusin", (event) => {
    at = bandOf(event.target) ?? at;
    stop();
    tell(at);
  });
  svg.addEventListener("focusout", () => tell(null));
  svg.addEventListener("keydown", (event) => {
    const ids = [...streams.keys()];
    const here = ids.indexOf(at);
    const to = {
      ArrowRight: here + 1,
      ArrowDown: here + 1,
      ArrowLeft: here - 1,
      ArrowUp: here - 1,
      Home: 0,
      End: ids.length - 1,
    }[event.key];
    if (to === undefined) return;
    event.preventDefault();
    const id = ids[Math.min(ids.length - 1, Math.max(0, to))];
    const next = svg.querySelector(`[data-band="${CSS.escape(id ?? "")}"]`);
    if (next instanceof SVGElement) next.focus();
  });
  /** One stop for the tab key; the arrow keys go on from there. */
  function stop() {
    for (const one of svg.querySelectorAll("[data-band]"))
      one.setAttribute("tabindex", one.getAttribute("data-band") === at ? "0" : "-1");
  }

  return {
    el,
    svg,
    /**
     * @param {import("../types.js").Balance} balance
     * @param {number} width
     * @param {number} height
     */
    draw(balance, width, height) {
      const zoom = Math.max(1, Math.min(1.5, width / 1100, height / 400));
      const box = placesOf(width / zoom, height / zoom, heaters, most, drains, heating);
      set(svg, { viewBox: `0 0 ${box.width.toFixed(1)} ${box.height.toFixed(1)}` });
      const had = focused();
      const drawn = draw(app, balance, box);
      svg.replaceChildren(...drawn.els);
      streams = drawn.streams;
      if (!streams.has(at)) at = [...streams.keys()][0] ?? "";
      stop();
      const again = had ? svg.querySelector(`[data-band="${CSS.escape(had)}"]`) : null;
      if (again instanceof SVGElement) again.focus();
      tell(had);
    },
  };
}
