// Events on a chart: upright lines, and their shapes at the foot of it.

import { describe } from "./events.js";
import { colour } from "./theme.js";

/**
 * @param {import("./app.js").App} app
 * @param {import("uplot")} plot
 * @param {number} from     s of plant time
 * @param {boolean} shapes
 */
export function markEvents(app, plot, from, shapes) {
  const { events } = app.store;
  const { ctx, bbox } = plot;
  const px = devicePixelRatio;
  ctx.setLineDash([]);
  ctx.textAlign = "center";
  ctx.font = `${11 * px}px ${getComputedStyle(document.body).fontFamily}`;
  for (let index = events.length - 1; index >= 0; index -= 1) {
    const event = events[index];
    if (!event || event.time_s < from) break;
    const { shape, weight, marked } = describe(event, app);
    if (!marked) continue;
    const x = plot.valToPos(event.time_s, "x", true);
    ctx.strokeStyle = ctx.fillStyle =
      weight === "alarm" ? colour("alarm") : weight === "warn" ? colour("warn") : colour("ink-soft");
    ctx.lineWidth = px;
    ctx.beginPath();
    ctx.moveTo(x, bbox.top);
    ctx.lineTo(x, bbox.top + bbox.height);
    ctx.stroke();
    if (shapes) ctx.fillText(shape, x, bbox.top + bbox.height - 3 * px);
  }
}
