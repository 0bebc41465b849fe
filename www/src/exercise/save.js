// The debrief as a file of its own: what stands on the page, with its charts as pictures, readable without it.

import { h } from "../dom.js";
import { download } from "../download.js";
import { currentLanguage } from "../language.js";
import { say } from "../words.js";

const STYLE = `body{font:15px/1.45 system-ui,sans-serif;margin:2rem auto;max-width:60rem;padding:0 1rem;color:#18212a;background:#fff}
table{border-collapse:collapse;width:100%}th,td{text-align:left;padding:.3em .6em;border-bottom:1px solid #bcc4ca;vertical-align:top}
img{max-width:100%}ol{padding-left:1.2em}figure{margin:.5em 0}dl{display:grid;grid-template-columns:max-content 1fr;gap:.1em 1em}dd{margin:0}
h3{margin-top:2em;border-top:2px solid #7d8891;padding-top:.5em}.hidden{position:absolute;left:-100vw}li time{display:inline-block;min-width:5em}`;

/**
 * @param {HTMLElement} el
 * @param {string} title
 * @param {string} name
 */
export function saveDebrief(el, title, name) {
  // In a document that is never shown: the page's own would load the pictures, which its policy forbids.
  const file = document.implementation.createHTMLDocument(title);
  const copy = file.importNode(el, true);
  const canvases = [...el.querySelectorAll("canvas")];
  copy.querySelectorAll("canvas").forEach((canvas, k) => {
    const drawn = canvases[k];
    if (!drawn?.width) return canvas.remove();
    // On paper and elsewhere the ground is white, whatever colours the page has.
    const sheet = document.createElement("canvas");
    sheet.width = drawn.width;
    sheet.height = drawn.height;
    const ctx = sheet.getContext("2d");
    if (!ctx) return;
    ctx.fillStyle = getComputedStyle(el.querySelector(".ex-part") ?? el).backgroundColor;
    ctx.fillRect(0, 0, sheet.width, sheet.height);
    ctx.drawImage(drawn, 0, 0);
    const picture = file.createElement("img");
    picture.src = sheet.toDataURL("image/png");
    picture.alt = "";
    picture.width = Math.round(drawn.width / devicePixelRatio);
    canvas.replaceWith(picture);
  });
  // What only a screen can use goes; of what is folded, charts that were never opened.
  for (const one of copy.querySelectorAll("button, select, input, fieldset, .ex-twin-ask, .ex-excerpt:not([open])")) one.remove();
  for (const one of copy.querySelectorAll(".visually-hidden")) one.className = "hidden";
  for (const one of copy.querySelectorAll("[style]")) one.removeAttribute("style");
  copy.append(h("p", { text: say("caution") }));
  const head = h("title", { text: title }).outerHTML;
  download(
    name,
    new Blob(
      [`<!doctype html>\n<html lang="${currentLanguage()}">\n<head><meta charset="utf-8">${head}<style>${STYLE}</style></head>\n<body>${copy.outerHTML}</body>\n</html>\n`],
      { type: "text/html;charset=utf-8" },
    ),
  );
}
