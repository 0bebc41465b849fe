// The part of a brief that makes a package of the exercise.

import { h, setText, show } from "../dom.js";
import { download } from "../download.js";
import { asFault } from "../fault.js";
import { recall, remember } from "../settings.js";
import { say } from "../words.js";
import { packageOf } from "./package.js";
import { STANDARDS } from "./packed.js";

/** An origin out of what was typed; null where it is none. @param {string} text */
function originOf(text) {
  if (!text) return "";
  try {
    const url = new URL(text);
    return url.protocol === "https:" || url.protocol === "http:" ? url.origin : null;
  } catch {
    return null;
  }
}

/**
 * @param {import("../app.js").App} app
 * @param {string} exercise  text of its file
 */
export function createPackaging(app, exercise) {
  const status = h("p", { class: "label", role: "status" });
  const standard = h("select", { id: "learn-standard" }, ...STANDARDS.map((one) => h("option", { value: one, text: say(`learn_${one}`) })));
  const known = STANDARDS.find((one) => one === recall("learning"));
  if (known) standard.value = known;
  const lrs = h("input", { type: "text", inputmode: "url", id: "learn-lrs", autocomplete: "off", spellcheck: "false" });
  const store = h("p", { class: "ex-name" }, h("label", { for: "learn-lrs", text: say("learn_lrs") }), lrs);
  const arrange = () => show(store, standard.value === "cmi5");
  standard.addEventListener("change", arrange);
  arrange();
  const save = h("button", {
    type: "button",
    "data-action": "save_package",
    text: say("learn_save"),
    on: {
      click: async () => {
        const chosen = STANDARDS.find((one) => one === standard.value) ?? "scorm12";
        const origin = chosen === "cmi5" ? originOf(lrs.value.trim()) : "";
        if (origin === null) {
          setText(status, say("learn_lrs_wrong"));
          lrs.focus();
          return;
        }
        remember("learning", chosen);
        save.disabled = true;
        setText(status, say("learn_packing"));
        await new Promise((done) => setTimeout(done, 30));
        try {
          const bytes = await packageOf(exercise, chosen, origin);
          const name = `${JSON.parse(exercise).id}-${chosen}.zip`;
          download(name, new Blob([/** @type {Uint8Array<ArrayBuffer>} */ (bytes)], { type: "application/zip" }));
          setText(status, say("learn_saved", { name, size: Math.round(bytes.length / 1000) }));
        } catch (thrown) {
          setText(status, app.explain(asFault(thrown)));
        }
        save.disabled = false;
      },
    },
  });
  return h(
    "details",
    { class: "ex-package" },
    h("summary", { text: say("learn_package") }),
    h("p", { class: "label", text: say("learn_package_lead") }),
    h("p", { class: "ex-name" }, h("label", { for: "learn-standard", text: say("learn_standard") }), standard, save),
    store,
    status,
  );
}
