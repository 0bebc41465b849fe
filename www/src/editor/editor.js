// The exercise editor: a form made out of the published schema, checked as it is filled in; tried, saved, shared.

import { exercise_file, exercises } from "bledsteam_web";
import { h, set, setText, show } from "../dom.js";
import { download } from "../download.js";
import { offer } from "../exercise/exercise.js";
import { LARGEST } from "../exercise/file.js";
import { createChooser } from "../files/choose.js";
import { lookAt, refusalOf } from "../files/look.js";
import { openOwn } from "../own/own.js";
import { say, sayOr } from "../words.js";
import { Checker } from "./checker.js";
import { Doc, draft } from "./doc.js";
import { showFaults } from "./faults.js";
import { field } from "./form.js";
import { labelOf } from "./label.js";
import { namesOf } from "./names.js";
import { onOwn, plantIn } from "./plant.js";
import { root } from "./schema.js";
import { pack } from "./share.js";

/** @typedef {import("../types.js").Fault} Fault */

/** After the last key (ms). */
const PAUSE_MS = 350;

/** What is filled in together. A field that a later schema has besides stands under the last. */
const SECTIONS = /** @type {Record<string, string[]>} */ ({
  general: ["title", "id", "plant", "length_s", "pass_mark"],
  texts: ["brief", "idea", "explanation"],
  start: ["start"],
  timeline: ["timeline"],
  controls: ["controls"],
  trends: ["trends"],
  predictions: ["predictions"],
  questions: ["questions"],
  objectives: ["objectives"],
  hints: ["hints"],
  ends: ["ends"],
});
const OTHER = "more";
/** What is chosen with the plant's name: it has no form of its own. */
const WITH_PLANT = "plant_file";

/** @param {string} plant */
const empty = (plant) => ({
  format: root().properties.format.const,
  id: "new-exercise",
  title: "",
  plant,
  brief: "",
  idea: "",
  explanation: "",
  length_s: 900,
  timeline: [],
  trends: [],
  objectives: [],
  pass_mark: 60,
});

/** An empty exercise that carries a plant. @param {{ name: string }} plant */
const emptyOn = (plant) => onOwn(empty(plant.name), plant);

/** An empty exercise on the plant that runs. @param {import("../app.js").App} app */
const emptyHere = ({ ownPlant, manifest }) => (ownPlant ? emptyOn(ownPlant) : empty(manifest.plant.name));

/** The exercise that is written: it stays across languages and views. @type {Doc | null} */
let written = null;
let section = "general";
/** What was found of the exercise as it stands. @type {Fault[]} */
let faults = [];
/** The text that was checked last. */
let checked = "";

/** Opens an exercise in the editor; the one before can be had back by undoing. @param {any} value */
export function open(value) {
  if (written) written.replace(value);
  else written = new Doc(value);
  section = "general";
}

/** Begins an exercise that carries a plant. @param {{ name: string }} plant */
export const writeOn = (plant) => open(emptyOn(plant));

/** Tells the form that is shown what was found. */
let told = () => {};
const checker = new Checker((found, text) => {
  faults = found;
  checked = text;
  told();
});
addEventListener("pagehide", () => written?.keep());

/** @param {import("../app.js").App} app @returns {Doc} */
const document_ = (app) => (written ??= new Doc(draft() ?? emptyHere(app)));

/** @param {import("../app.js").App} app */
export function createEditor(app) {
  const doc = document_(app);
  const form = { doc, app, get names() { return namesOf(doc.value); }, takePlant };
  const known = [...Object.values(SECTIONS).flat(), WITH_PLANT];
  const further = Object.entries(root().properties).filter(([name, schema]) => schema.const === undefined && !known.includes(name));
  const sections = further.length > 0 ? { ...SECTIONS, [OTHER]: further.map(([name]) => name) } : SECTIONS;

  /** @param {string} action @param {import("../words.js").Word} word @param {() => void} click @param {import("../dom.js").Props} [more] */
  const button = (action, word, click, more) =>
    h("button", { type: "button", "data-action": action, text: say(word), ...more, on: { click } });
  const from = h(
    "select",
    {
      id: "ed-from",
      on: {
        change: () => {
          const id = from.value;
          from.value = "";
          if (id === "empty") open(emptyHere(app));
          else if (id === "file") file.click();
          else if (id) open(JSON.parse(exercise_file(id)));
        },
      },
    },
    h("option", { value: "", text: say("ed_begin") }),
    h("option", { value: "empty", text: say("ed_begin_empty") }),
    h("option", { value: "file", text: say("ed_begin_file") }),
    h("optgroup", { label: say("ed_begin_shipped") }, ...exercises().map((one) => h("option", { value: one.id, text: one.title }))),
  );
  const notice = h("p", { class: "refusal", role: "status" });
  const file = createChooser((chosen) => void read(chosen), { "data-action": "ed_file" });
  const undo = button("ed_undo", "ed_undo", () => doc.undo());
  const redo = button("ed_redo", "ed_redo", () => doc.redo());
  const attempt = button("ed_try", "ed_try", () => {
    doc.keep();
    offer(doc.text());
  }, { class: "primary", title: say("ed_try_title") });
  const save = button("ed_save", "ed_save", () => download(`${doc.get(["id"]) || "exercise"}.json`, new Blob([doc.text(), "\n"], { type: "application/json" })));
  const share = button("ed_share", "ed_share", () => link());
  const state = h("p", { class: "ed-state", role: "status" });

  const tabs = Object.keys(sections).map((name) => {
    const count = h("span", { class: "ed-count", hidden: true });
    const el = h(
      "button",
      {
        type: "button",
        "data-section": name,
        on: {
          click: () => {
            section = name;
            build();
          },
        },
      },
      h("span", { text: sayOr(`ed_section_${name}`, labelOf(name)) }),
      count,
    );
    return { name, el, count };
  });
  const sheet = h("section", { class: "ed-sheet", "aria-labelledby": "ed-sheet-title" });
  const list = h("ol", { class: "ed-faults" });
  const sharing = h("div", { class: "ed-sharing" });
  const el = h(
    "div",
    { class: "editor" },
    h(
      "div",
      { class: "ed-bar" },
      h("h2", { text: say("ed_heading") }),
      h("label", { for: "ed-from", class: "visually-hidden", text: say("ed_begin") }),
      from,
      file,
      undo,
      redo,
      h("span", { class: "ed-gap" }),
      attempt,
      save,
      share,
    ),
    h("nav", { class: "ed-tabs", "aria-label": say("ed_sections") }, ...tabs.map((tab) => tab.el)),
    sheet,
    h(
      "aside",
      { class: "ed-side", "aria-label": say("ed_checks") },
      h("h3", { text: say("ed_checks") }),
      notice,
      state,
      list,
      sharing,
      h("p", { class: "label ed-kept", text: say("ed_kept") }),
    ),
  );
  el.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    // In a text the browser's own undo acts, letter by letter.
    if (event.target instanceof Element && event.target.closest("input:not([type=checkbox]), textarea")) return;
    const key = event.key.toLowerCase();
    if (key === "z" && !event.shiftKey) doc.undo();
    else if (key === "y" || (key === "z" && event.shiftKey)) doc.redo();
    else return;
    event.preventDefault();
  });

  for (const kind of ["dragover", "drop"])
    el.addEventListener(kind, (event) => {
      if (!(event instanceof DragEvent) || !event.dataTransfer?.types.includes("Files")) return;
      event.preventDefault();
      if (kind === "drop") void read(event.dataTransfer.files[0]);
    });

  /** @param {File | undefined} chosen */
  async function read(chosen) {
    if (!chosen) return;
    setText(notice, "");
    try {
      const look = await lookAt(chosen);
      if (look.kind === "plant") return takePlant(chosen);
      const refused = refusalOf(look, "exercise");
      if (refused) return setText(notice, refused);
      if (chosen.size > LARGEST) throw new Error(say("ed_file_large", { most: LARGEST }));
      open(JSON.parse(look.text));
    } catch (thrown) {
      setText(notice, say("ed_file_refused", { file: chosen.name, why: thrown instanceof Error ? thrown.message : String(thrown) }));
    }
  }

  /** Sets the exercise on a plant. @param {File} chosen */
  async function takePlant(chosen) {
    const take = (/** @type {{ name: string }} */ plant) => {
      section = "general";
      doc.change([], (old) => onOwn(old, plant));
    };
    setText(notice, "");
    const plant = await plantIn(chosen);
    if (plant) take(plant);
    // What is wrong with it is told there, and what it lacks can be filled in.
    else openOwn({ file: chosen, take });
  }

  async function link() {
    const packed = await pack(doc.text());
    if ("refused" in packed) {
      sharing.replaceChildren(h("p", { class: "refusal", role: "status", text: packed.refused }));
      return;
    }
    const address = location.href.split("#")[0] + packed.hash;
    const text = h("textarea", { rows: 4, readonly: true, "aria-label": say("ed_share_address"), class: "ed-address" });
    text.value = address;
    const said = h("p", { class: "label", role: "status", text: say("ed_share_done", { n: packed.hash.length }) });
    const copy = button("ed_copy", "ed_share_copy", async () => {
      text.select();
      try {
        await navigator.clipboard.writeText(address);
        setText(said, say("ed_share_copied"));
      } catch {
        setText(said, say("ed_share_by_hand")); // the browser does not let a page write there: it is selected
      }
    });
    sharing.replaceChildren(
      h("h3", { text: say("ed_share_address") }),
      text,
      h("p", { class: "ed-buttons" }, copy),
      said,
      h("p", { class: "label", text: location.protocol === "file:" ? say("ed_share_disk") : say("ed_share_note") }),
    );
    text.select();
  }

  /** Builds the section's form anew; what was open and where the focus was stays. */
  function build() {
    const opened = new Set([...sheet.querySelectorAll("details[open]")].map((one) => one.getAttribute("data-item")));
    const focused = document.activeElement;
    const had = sheet.contains(focused) ? focused?.id || focused?.getAttribute("data-add") : "";
    const added = focused?.getAttribute("data-add");
    const top = sheet.scrollTop;
    const names = sections[section] ?? [];
    const required = new Set(root().required);
    sheet.replaceChildren(
      h("h3", { id: "ed-sheet-title", text: sayOr(`ed_section_${section}`, labelOf(section)) }),
      h("p", { class: "label", text: sayOr(`ed_about_${section}`, "") }),
      ...names.map((name) => field(form, root().properties[name], [name], { name, of: "", required: required.has(name) })),
    );
    for (const one of sheet.querySelectorAll("details")) if (opened.has(one.getAttribute("data-item"))) one.open = true;
    if (added) {
      // What was just added is to be filled in.
      const items = (/** @type {any[]} */ (doc.get(pathOf(added))) ?? []).length;
      const last = sheet.querySelector(`details[data-item="${CSS.escape(`${added}[${items - 1}]`)}"]`);
      if (last instanceof HTMLDetailsElement) last.open = true;
      const first = last?.querySelector("input, textarea, select") ?? document.getElementById(`ed:${added}[${items - 1}]`);
      if (first instanceof HTMLElement) first.focus();
    } else if (had) document.getElementById(had)?.focus();
    sheet.scrollTop = top;
    for (const tab of tabs) set(tab.el, { "aria-current": tab.name === section ? "true" : null });
    showFaults(sheet, faults);
  }

  /** @param {string} place */
  const pathOf = (place) =>
    place.split(/[.[\]]+/).filter(Boolean).map((part) => (/^\d+$/.test(part) ? Number(part) : part));

  /** The section in which a fault stands. @param {Fault} fault */
  const sectionOf = ({ code, place }) => {
    const named = place.split(/[.[]/)[0] ?? "";
    const first = code === "no_such_plant" || named === WITH_PLANT ? "plant" : named;
    return Object.entries(sections).find(([, names]) => names.includes(first))?.[0];
  };

  function tell() {
    setText(state, faults.length === 0 ? `✓ ${say("ed_no_faults")}` : say("ed_faults", { n: faults.length }));
    set(state, { "data-sound": faults.length === 0 ? "yes" : "no" });
    list.replaceChildren(
      ...faults.map((fault) => {
        const where = sectionOf(fault);
        const text = `${fault.message} ${fault.remedy}`;
        return h(
          "li",
          {},
          where
            ? h("button", { type: "button", class: "link", "data-fault": fault.place, text: fault.place, on: { click: () => go(fault, where) } })
            : h("strong", { text: fault.place }),
          h("p", { text }),
          // What no form shows cannot be mended in one.
          fault.code === "unknown_field" ? button("ed_take_out", "ed_take_out", () => doc.change(pathOf(fault.place), () => undefined)) : null,
        );
      }),
    );
    for (const tab of tabs) {
      const n = faults.filter((fault) => sectionOf(fault) === tab.name).length;
      show(tab.count, n > 0);
      setText(tab.count, String(n));
      set(tab.el, { title: n > 0 ? say("ed_faults", { n }) : null });
    }
    // A sound exercise can be taken; one with faults says what it lacks.
    for (const one of [attempt, share]) one.disabled = faults.length > 0 || checked !== doc.text();
    showFaults(sheet, faults);
  }

  /** @param {Fault} fault @param {string} where */
  function go(fault, where) {
    section = where;
    build();
    const at = showFaults(sheet, [fault]);
    showFaults(sheet, faults);
    for (let box = at?.closest("details"); box; box = box.parentElement?.closest("details")) box.open = true;
    const control = at?.querySelector("input, textarea, select, button");
    if (control instanceof HTMLElement) control.focus();
    at?.scrollIntoView({ block: "nearest" });
  }

  told = tell;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let pause;
  let seen = -1;
  let shape = -1;
  let units = app.units.system;
  let plant = namesOf(doc.value);
  return {
    el,
    drawn: () => seen >= 0,
    update() {
      if (seen === doc.version && shape === doc.shape && units === app.units.system) return;
      if (shape !== doc.shape || units !== app.units.system || plant !== namesOf(doc.value)) build();
      units = app.units.system;
      plant = namesOf(doc.value);
      shape = doc.shape;
      if (seen !== doc.version) {
        clearTimeout(pause);
        pause = setTimeout(() => checker.check(doc.text()), seen < 0 ? 0 : PAUSE_MS);
        setText(state, say("ed_checking"));
        // A link made before holds another exercise.
        if (seen >= 0) sharing.replaceChildren();
        attempt.disabled = share.disabled = true;
      }
      seen = doc.version;
      undo.disabled = doc.past.length === 0;
      redo.disabled = doc.future.length === 0;
    },
  };
}
