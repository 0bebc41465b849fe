// What can be taken: the shipped exercises in the order of learning, a file of one's own, and the records that are kept.

import { h, set, setText, show } from "../dom.js";
import { download } from "../download.js";
import { exercise_file, exercises, plants } from "../engine.js";
import { asFault } from "../fault.js";
import { currentLanguage } from "../language.js";
import { plantTime, tickText } from "../units.js";
import { say } from "../words.js";
import { askedIn } from "./brief.js";
import { createChooser } from "../files/choose.js";
import { PLACES } from "../files/look.js";
import { openOwn } from "../own/own.js";
import { isShipped, readExercise } from "./file.js";
import { listRecords, setDeleted, textOf } from "./records.js";
import { takeUp } from "./taking.js";

/** @typedef {import("./records.js").Head} Head */

/** A file name out of words. @param {string} text */
export const fileName = (text) => text.toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-+|-+$/g, "") || "record";

/** @param {string} iso */
export const dateOf = (iso) => {
  const date = new Date(iso);
  if (Number.isNaN(date.getTime())) return iso;
  return date.toLocaleString(currentLanguage(), { dateStyle: "medium", timeStyle: "short" });
};

/**
 * @param {import("../app.js").App} app
 * @param {(text: string, shipped: boolean) => void} choose
 */
export function createList(app, choose) {
  const titles = new Map(plants().map(({ name, title }) => [name, title]));
  const cards = exercises().map((one, at) =>
    h(
      "li",
      {},
      h(
        "button",
        { type: "button", class: "ex-card", "data-exercise": one.id, on: { click: () => choose(exercise_file(one.id), true) } },
        h("span", { class: "ex-number", "aria-hidden": "true", text: String(at + 1) }),
        h(
          "span",
          { class: "ex-card-words" },
          h("strong", { text: one.title }),
          h("span", { class: "label", text: `${say("minutes", { n: Math.round(one.length_s / 60) })} · ${titles.get(one.plant) ?? one.plant}` }),
          h("span", { text: askedIn(JSON.parse(exercise_file(one.id))) }),
          h("span", { class: "ex-card-idea", hidden: true, text: one.idea }),
        ),
      ),
    ),
  );

  const faults = h("ul", { class: "ex-faults", role: "alert" });
  /** @param {File | undefined} file */
  const read = async (file) => {
    if (!file) return;
    const { text, refused, trouble, kind, faults: found } = await readExercise(file);
    if (kind === "plant" && !trouble) {
      faults.replaceChildren();
      return openOwn({ file });
    }
    if (refused) {
      const place = kind && kind !== "exercise" ? PLACES[kind].view : null;
      faults.replaceChildren(
        h("li", {}, refused, " ", place ? h("a", { href: `#${place}`, text: say(`view_${place}`) }) : null),
      );
      return;
    }
    if (!found.length) return choose(text, isShipped(text));
    const places = found.map(({ code, place, message }) => (code === "no_such_plant" ? { place: "plant", message: `“${place}”: ${message}` } : { place, message }));
    faults.replaceChildren(
      h("li", {}, h("strong", { text: say("ex_file_refused", { name: file.name, n: found.length }) })),
      ...found.map((fault, at) =>
        h("li", {}, h("code", { text: places[at]?.place || file.name }), ` ${places[at]?.message} `, h("span", { class: "label", text: fault.remedy })),
      ),
      h("li", { class: "label", text: say("ex_file_mend") }),
    );
  };
  const input = createChooser((file) => void read(file));
  const drop = h(
    "div",
    { class: "ex-drop" },
    h("button", { type: "button", "data-action": "open_exercise", text: say("ex_open"), on: { click: () => input.click() } }),
    h("span", { class: "label", text: say("ex_open_hint") }),
    input,
    faults,
  );

  const records = h("ul", { class: "ex-records" });
  const none = h("p", { class: "nothing", text: say("ex_no_records") });
  const note = h("p", { class: "refusal", role: "status" });
  /** What was deleted a moment ago can be taken back. @type {Head | null} */
  let deleted = null;
  const undo = h(
    "p",
    { class: "ex-undo", role: "status", hidden: true },
    h("span"),
    " ",
    h("button", {
      type: "button",
      "data-action": "undo_delete",
      text: say("ex_undo"),
      on: {
        click: async () => {
          if (!deleted) return;
          await setDeleted(deleted, false);
          heads = [...heads, deleted].sort((a, b) => (a.changed < b.changed ? 1 : -1));
          deleted = null;
          draw();
        },
      },
    }),
  );
  /** @type {Head[]} */
  let heads = [];

  /** @param {Head} head */
  const state = (head) =>
    head.over
      ? say(head.passed ? "ex_record_passed" : "ex_record_over", { points: tickText(head.total ?? 0, 0) })
      : say("ex_record_broken", { time: plantTime(head.time_s), whole: plantTime(head.length_s) });

  /** @param {Head} head */
  const row = (head) => {
    const what = `${head.title}, ${dateOf(head.begun)}`;
    /** @param {string} action @param {string} text @param {() => void} click @param {string} [cls] */
    const button = (action, text, click, cls = "") =>
      h("button", { type: "button", class: cls, "data-action": action, "data-record": head.id, text, "aria-label": `${text}: ${what}`, on: { click } });
    return h(
      "li",
      { "data-record": head.id, "data-over": head.over ? "yes" : null },
      h(
        "span",
        { class: "ex-record-words" },
        h("strong", { text: head.title }),
        h("span", { class: "label", text: [head.by, dateOf(head.begun)].filter(Boolean).join(" · ") }),
        h("span", { text: state(head) }),
      ),
      button(head.over ? "show_record" : "resume_record", say(head.over ? "ex_show" : "ex_resume"), async () => {
        setText(note, say("ex_preparing"));
        await new Promise((done) => setTimeout(done, 30));
        try {
          await takeUp(app, head, isShipped(head.file));
        } catch (thrown) {
          setText(note, app.explain(asFault(thrown)));
        }
      }, head.over ? "" : "primary"),
      button("save_record", say("ex_save_record"), async () => {
        download(`${fileName(`${head.exercise} ${head.by} ${head.begun.slice(0, 16)}`)}.jsonl`, new Blob([await textOf(head)], { type: "application/jsonl" }));
      }),
      button("delete_record", say("ex_delete"), async () => {
        await setDeleted(head, true);
        deleted = head;
        heads = heads.filter(({ id }) => id !== head.id);
        draw();
        const back = undo.querySelector("button");
        if (back) back.focus();
      }),
    );
  };
  function draw() {
    // What an exercise teaches would give it away: it stands here once it has been taken.
    const taken = new Set(heads.filter((head) => head.over).map((head) => head.exercise));
    for (const card of cards) {
      const button = card.querySelector("button");
      const idea = card.querySelector(".ex-card-idea");
      if (button && idea instanceof HTMLElement) show(idea, taken.has(button.dataset.exercise ?? ""));
    }
    records.replaceChildren(...heads.map(row));
    show(none, heads.length === 0);
    set(el, { "data-kept": heads.length > 0 ? "yes" : null });
    show(undo, deleted !== null);
    const words = undo.firstElementChild;
    if (words && deleted) setText(words, say("ex_deleted", { what: `${deleted.title}, ${dateOf(deleted.begun)}` }));
  }
  listRecords().then(
    (found) => {
      heads = found;
      draw();
    },
    () => setText(note, say("ex_store_off")),
  );

  const el = h(
    "div",
    { class: "ex-list" },
    h(
      "div",
      { class: "ex-choose" },
      h("h2", { text: say("ex_choose") }),
      h("p", { class: "ex-lead", text: say("ex_choose_lead") }),
      h("ol", { class: "ex-cards" }, ...cards),
    ),
    h(
      "div",
      { class: "ex-aside" },
      h("section", { "aria-labelledby": "ex-own" }, h("h3", { id: "ex-own", text: say("ex_own") }), drop),
      h("section", { "aria-labelledby": "ex-kept" }, h("h3", { id: "ex-kept", text: say("ex_records") }), note, undo, none, records),
    ),
  );
  for (const kind of ["dragover", "drop"])
    el.addEventListener(kind, (event) => {
      if (!(event instanceof DragEvent) || !event.dataTransfer?.types.includes("Files")) return;
      event.preventDefault();
      if (kind === "drop") void read(event.dataTransfer.files[0]);
    });
  return { el, update() {} };
}
