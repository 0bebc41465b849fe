// The trends as a file: the samples of the shown time as a table, or the chart with its pens as a picture.

import { download, downloadTable, quoted } from "../download.js";
import { colour } from "../theme.js";
import { plantTime } from "../units.js";
import { say } from "../words.js";
import { fullNameOf } from "./names.js";
import { DASHES } from "./pens.js";

/**
 * @param {import("../app.js").App} app
 * @param {{ id: string }[]} pens
 * @param {number[][]} columns  times and values in inside units
 */
export function trendsTable(app, pens, columns) {
  const { units, store } = app;
  const heads = pens.map(({ id }) => {
    const unit = units.unit(store.quantity(id));
    return unit ? `${fullNameOf(app, id)} (${unit})` : fullNameOf(app, id);
  });
  const lines = [[`${say("plant_time")} (s)`, ...heads]];
  (columns[0] ?? []).forEach((time, row) =>
    lines.push([
      String(Math.round(time * 100) / 100),
      ...pens.map(({ id }, at) => {
        const value = units.shown(store.quantity(id), columns[at + 1]?.[row] ?? NaN);
        return Number.isFinite(value) ? String(Number(value.toPrecision(7))) : "";
      }),
    ]),
  );
  return lines.map((line) => line.map(quoted).join(",")).join("\r\n") + "\r\n";
}

/** @param {import("../app.js").App} app @param {string} ending */
const fileName = (app, ending) =>
  `${app.manifest.plant.name}-${plantTime(app.store.get("unit.time")).replaceAll(":", "-")}.${ending}`;

/**
 * @param {import("../app.js").App} app
 * @param {{ id: string }[]} pens
 * @param {number[][]} columns
 */
export function saveTable(app, pens, columns) {
  downloadTable(fileName(app, "csv"), trendsTable(app, pens, columns));
}

/**
 * @param {import("../app.js").App} app
 * @param {{ id: string, place: number }[]} pens
 * @param {HTMLCanvasElement} chart
 */
export function savePicture(app, pens, chart) {
  const px = devicePixelRatio;
  const line = 19 * px;
  const head = 26 * px + Math.ceil(pens.length / 2) * line + 8 * px;
  const canvas = document.createElement("canvas");
  canvas.width = chart.width;
  canvas.height = chart.height + head;
  const ctx = canvas.getContext("2d");
  if (!ctx) return;
  const family = getComputedStyle(document.body).fontFamily;
  ctx.fillStyle = colour("panel");
  ctx.fillRect(0, 0, canvas.width, canvas.height);
  ctx.fillStyle = colour("ink");
  ctx.font = `600 ${14 * px}px ${family}`;
  ctx.fillText(`${app.manifest.plant.title} · ${say("view_trends")}`, 10 * px, 19 * px);
  ctx.font = `${12 * px}px ${family}`;
  pens.forEach(({ id, place }, at) => {
    const x = (10 + (at % 2) * (canvas.width / px / 2)) * px;
    const y = 34 * px + Math.floor(at / 2) * line;
    ctx.strokeStyle = colour(`pen-${place}`);
    ctx.lineWidth = 2 * px;
    ctx.setLineDash((DASHES[place] ?? []).map((one) => one * px));
    ctx.beginPath();
    ctx.moveTo(x, y);
    ctx.lineTo(x + 34 * px, y);
    ctx.stroke();
    ctx.fillStyle = colour("ink");
    const unit = app.units.unit(app.store.quantity(id));
    ctx.fillText(unit ? `${fullNameOf(app, id)}, ${unit}` : fullNameOf(app, id), x + 42 * px, y + 4 * px);
  });
  ctx.drawImage(chart, 0, head);
  canvas.toBlob((blob) => blob && download(fileName(app, "png"), blob), "image/png");
}
