// Where a run begins: a load with heaters out, a snapshot, a file. And the run itself as a file, to be played again.

import { h, set, setText, show } from "../dom.js";
import { download } from "../download.js";
import { asFault } from "../fault.js";
import { lookAt, refusalOf } from "../files/look.js";
import { snapshot_info } from "../engine.js";
import { say } from "../words.js";
import { MOST, keep, list, write } from "./kept.js";
import { plantTime } from "./say.js";
import { begunAnew, own, runTo } from "./travel.js";

const LOADS = [100, 90, 80, 70, 60, 50, 40, 30];
/** How long a plant is left to settle away from design (s): its load ramp and the slowest metal. */
const SETTLE_S = 2400;

/** @param {import("../app.js").App} app */
export function createStart(app) {
  const session = own(app);
  const { manifest } = app;
  const plant = manifest.plant.name;
  const told = h("p", { class: "desk-answer", role: "status" });
  const refusal = h("p", { class: "refusal", role: "status" });
  /** @param {string} text */
  const tell = (text) => {
    setText(told, text);
    setText(refusal, "");
  };
  /** @param {unknown} thrown */
  const refuse = (thrown) => {
    setText(told, "");
    setText(refusal, app.explain({ ...asFault(thrown), place: "" }));
  };
  const today = () => new Date().toLocaleString(undefined, { dateStyle: "short", timeStyle: "short" });

  // Begin from a load.
  const load = h("select", { id: "start-load", "data-desk": "load" }, ...LOADS.map((n) => h("option", { value: n, text: `${n} %` })));
  const boxes = manifest.heaters
    .filter(({ kind }) => kind === "closed")
    .sort((a, b) => a.number - b.number)
    .map(({ id }) => ({ id, box: h("input", { type: "checkbox", "data-out": id }) }));
  const begin = h("button", { type: "button", class: "primary", "data-desk": "begin", text: say("start_go"), on: { click: settle } });
  const progress = h("progress", { max: 1, value: 0, hidden: true, "aria-label": say("start_settle") });
  /** @type {AbortController | null} */
  let going = null;
  const stop = h("button", { type: "button", "data-desk": "stop_settling", text: say("strip_stop"), hidden: true, on: { click: () => going?.abort() } });

  async function settle() {
    const out = boxes.filter(({ box }) => box.checked).map(({ id }) => id);
    const share = Number(load.value) / 100;
    try {
      session.begin({ load: share, out });
    } catch (thrown) {
      return refuse(thrown);
    }
    begunAnew(app);
    const seconds = share === 1 && out.length === 0 ? 0 : SETTLE_S;
    const way = (going = new AbortController());
    set(begin, { "aria-disabled": "true" });
    show(progress, true);
    show(stop, true);
    stop.focus();
    try {
      const how = await runTo(
        app,
        seconds,
        (done) => {
          progress.value = done;
          setText(told, say("start_settling", { share: Math.round(done * 100) }));
        },
        way.signal,
      );
      session.begin_here();
      begunAnew(app);
      // What led here is no part of the run that begins.
      app.seen = session.events(0).at(-1)?.seq ?? 0;
      app.store.clear();
      app.takeReading();
      tell(how === "done" ? say("start_done", { load: load.value }) : say("start_stopped"));
    } catch (thrown) {
      refuse(thrown);
    }
    going = null;
    set(begin, { "aria-disabled": null });
    show(progress, false);
    show(stop, false);
    begin.focus();
  }

  // Snapshots.
  const name = h("input", { type: "text", id: "snap-name", maxlength: 80, autocomplete: "off" });
  const rows = h("ul", { class: "snap-list" });
  const none = h("p", { class: "nothing", text: say("snap_none") });
  const undo = h("button", { type: "button", "data-desk": "undo_delete", text: say("snap_undo"), hidden: true });
  /** @type {import("./kept.js").Kept[] | null} */
  let before = null;
  undo.addEventListener("click", () => {
    if (before) write(plant, before);
    before = null;
    tell("");
    show(undo, false);
    listThem();
    name.focus();
  });
  const keepIt = h("button", {
    type: "button",
    "data-desk": "keep",
    text: say("snap_keep"),
    on: {
      click: () => {
        const time = session.desk().time_s;
        const called = name.value.trim() || say("snap_default", { plant: manifest.plant.title, time: plantTime(time) });
        try {
          const kept = today();
          const text = session.snapshot_file(called, kept);
          const how = keep(plant, { id: `${Date.now()}`, name: called, kept, time_s: time, text });
          if (how === "kept") tell(say("snap_kept", { name: called }));
          else setText(refusal, how === "full" ? say("snap_full", { n: MOST }) : say("snap_no_room"));
          name.value = "";
        } catch (thrown) {
          refuse(thrown);
        }
        listThem();
      },
    },
  });
  /** @param {string} text @param {string} called */
  function openSnapshot(text, called) {
    try {
      session.load_snapshot(text);
    } catch (thrown) {
      return refuse(thrown);
    }
    begunAnew(app);
    app.seen = session.events(0).at(-1)?.seq ?? 0;
    tell(say("snap_opened", { name: called }));
  }
  /** @param {string} called @param {string} kind @param {string} text */
  const save = (called, kind, text) =>
    download(
      `${plant}-${called.toLowerCase().replace(/[^\p{L}\p{N}]+/gu, "-").slice(0, 40) || kind}.${kind}.json`,
      new Blob([text], { type: "application/json" }),
    );
  function listThem() {
    const all = list(plant);
    show(none, all.length === 0);
    rows.replaceChildren(
      ...all.map((one) => {
        const button = (/** @type {string} */ key, /** @type {import("../words.js").Word} */ word, /** @type {() => void} */ click) =>
          h("button", { type: "button", "data-desk": key, text: say(word), "aria-label": `${say(word)}: ${one.name}`, on: { click } });
        return h(
          "li",
          { "data-snap": one.name },
          h("div", {}, h("strong", { text: one.name }), h("span", { class: "label", text: say("snap_at", { time: plantTime(one.time_s), kept: one.kept }) })),
          button("open_snap", "snap_open", () => openSnapshot(one.text, one.name)),
          button("save_snap", "snap_save", () => save(one.name, "snapshot", one.text)),
          button("delete_snap", "snap_delete", () => {
            before = list(plant);
            write(plant, before.filter(({ id }) => id !== one.id));
            listThem();
            tell(say("snap_deleted", { name: one.name }));
            show(undo, true);
            undo.focus();
          }),
        );
      }),
    );
  }
  const file = h("input", { type: "file", id: "snap-file", accept: ".json,application/json", class: "visually-hidden" });
  file.addEventListener("change", async () => {
    const chosen = file.files?.[0];
    file.value = "";
    if (!chosen) return;
    const look = await lookAt(chosen);
    const refused = refusalOf(look, "snapshot", "tape");
    if (refused) {
      setText(told, "");
      return void setText(refusal, refused);
    }
    const { text } = look;
    if (look.kind === "tape") {
      try {
        session.open_tape(text);
        begunAnew(app);
        app.seen = session.events(0).at(-1)?.seq ?? 0;
        tell(say("tape_opened", { name: chosen.name }));
      } catch (thrown) {
        refuse(thrown);
      }
      return;
    }
    try {
      openSnapshot(text, snapshot_info(text).name || chosen.name);
    } catch (thrown) {
      refuse(thrown);
    }
  });
  const openFile = h("label", { class: "button", for: "snap-file", title: say("snap_file_title"), text: say("snap_file") });

  // The run as a file.
  const tapeNote = h("p", { class: "label" });
  const saveTape = h("button", {
    type: "button",
    "data-desk": "save_tape",
    text: say("tape_save"),
    on: {
      click: () => {
        try {
          const called = say("snap_default", { plant: manifest.plant.title, time: plantTime(session.desk().time_s) });
          save("", "tape", session.tape_file(called, today()));
        } catch (thrown) {
          refuse(thrown);
        }
      },
    },
  });
  listThem();

  return {
    el: h(
      "div",
      { class: "start" },
      told,
      refusal,
      undo,
      h("h2", { text: say("start_begin") }),
      h(
        "div",
        { class: "desk-fields" },
        h("div", { class: "field" }, h("label", { for: "start-load", text: say("start_load") }), load),
        h(
          "fieldset",
          { class: "field outs" },
          h("legend", { text: say("start_out") }),
          ...boxes.map(({ id, box }) => h("label", {}, box, app.short(id))),
        ),
        begin,
        stop,
        progress,
      ),
      h("h2", { text: say("snap") }),
      h("div", { class: "desk-fields" }, h("div", { class: "field wide" }, h("label", { for: "snap-name", text: say("snap_name") }), name), keepIt, file, openFile),
      none,
      rows,
      h("h2", { text: say("tape") }),
      tapeNote,
      saveTape,
    ),
    update() {
      const { marks, bytes, reaches_s } = session.desk();
      setText(tapeNote, say("tape_note", { marks, kb: Math.round(bytes / 1000), from: plantTime(reaches_s) }));
    },
  };
}
