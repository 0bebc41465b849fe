// The records as a list: whose, of what, what they are found to be, and what is wrong with them.

import { h, setText, show } from "../dom.js";
import { download } from "../download.js";
import { say } from "../words.js";
import { chosen, dropped } from "./files.js";
import { group } from "./group.js";
import { nameOf, pointsText, verdictLook } from "./verdict.js";

/**
 * @param {(path: string) => void} pick  shows a record's debrief
 */
export function createList(pick) {
  const input = (/** @type {import("../dom.js").Props} */ more) =>
    h("input", {
      type: "file",
      multiple: true,
      class: "visually-hidden",
      tabindex: -1,
      "aria-hidden": "true",
      ...more,
      on: {
        change: (/** @type {Event} */ { target }) => {
          const field = /** @type {HTMLInputElement} */ (target);
          const list = chosen(field.files);
          field.value = "";
          group.add(list);
        },
      },
    });
  const files = input({ "data-action": "rev_files" });
  const folder = input({ "data-action": "rev_folder", webkitdirectory: true });
  /** @param {import("../words.js").Word} word @param {() => void} click @param {string} action */
  const button = (word, click, action) =>
    h("button", { type: "button", text: say(word), "data-action": action, on: { click } });
  const stop = button("rev_stop", () => group.stop(), "rev_stop");
  const on = button("rev_go_on", () => group.go(), "rev_go_on");
  const clear = button("rev_clear", () => group.clear(), "rev_clear");
  const bar = h("progress", { max: 1, "aria-label": say("rev_progress") });
  const words = h("p", { class: "rev-state", role: "status" });
  const notices = h("div", { class: "rev-notices" });
  const body = h("tbody");
  const table = h(
    "table",
    { class: "rev-table", "aria-label": say("rev_records") },
    body,
  );
  const drop = h(
    "div",
    { class: "rev-drop" },
    h("p", { text: say("rev_drop") }),
    h(
      "div",
      { class: "rev-buttons" },
      button("rev_choose", () => files.click(), "rev_choose"),
      button("rev_choose_folder", () => folder.click(), "rev_choose_folder"),
      files,
      folder,
      clear,
    ),
  );
  const el = h(
    "section",
    { class: "rev-part rev-records", "aria-labelledby": "rev-records" },
    h("h2", { id: "rev-records", text: say("rev_records") }),
    drop,
    h("div", { class: "rev-progress" }, bar, stop, on),
    words,
    notices,
    h("div", { class: "rev-scroll", tabindex: 0, role: "group", "aria-label": say("rev_records") }, table),
  );

  /** @param {import("./crew.js").Row} row */
  const passed = ({ passed }) => (passed === null ? "" : say(passed ? "rev_passed" : "rev_not_passed"));
  /** What needs a look comes first. @param {string} path */
  const rank = (path) => {
    const row = group.rows.get(path);
    return row ? ["alarm", "warn", "note", "calm"].indexOf(verdictLook(row).weight) : 4;
  };

  /** @param {import("./crew.js").Row | undefined} row @param {string} path */
  function line(row, path) {
    if (!row) {
      const share = group.far.get(path);
      const text =
        share === undefined ? say("rev_waits") : say("rev_at_work", { percent: Math.floor(share * 100) });
      return h(
        "tr",
        { "data-record": path },
        h("th", { scope: "row" }, h("div", { class: "rev-line" }, h("span", { class: "rev-name", text: path }), h("span", { class: "label", text }))),
      );
    }
    const look = verdictLook(row);
    look.more = group.troubles.get(path) ?? look.more;
    const name = nameOf(row);
    const who = row.total === null
      ? h("span", { text: name })
      : h("button", {
          type: "button",
          class: "link",
          text: name,
          "aria-label": say("rev_show", { name }),
          on: { click: () => pick(path) },
        });
    const chip = h("span", {
      class: "chip small",
      "data-weight": look.weight,
      text: `${look.shape} ${look.text}`,
      title: look.more,
    });
    return h(
      "tr",
      { "data-record": path, "data-verdict": row.verdict?.is ?? row.fault?.code ?? "" },
      h(
        "th",
        { scope: "row" },
        h(
          "div",
          { class: "rev-line" },
          h("span", { class: "rev-name" }, who),
          chip,
          h("span", { class: "rev-points" }, row.total === null ? "–" : h("strong", { text: pointsText(row.total) })),
        ),
        h("span", { class: "rev-file", text: [row.exercise, path, passed(row)].filter(Boolean).join(" · "), title: path }),
        look.weight === "calm" ? null : h("span", { class: "rev-why", text: look.more }),
      ),
    );
  }

  function notice() {
    const parts = group.beside.map(({ path, is, title, faults, lacks }) =>
      lacks
        ? h("p", { class: "refusal", text: say("rev_exercise_lacks", { title, plant: lacks }) })
        : faults.length === 0
        ? h("p", { class: "rev-added", text: say(`rev_${is}_added`, { title }) })
        : h(
            "div",
            { class: "refusal" },
            h("p", { text: say(`rev_${is}_faulty`, { file: path }) }),
            h("ul", {}, ...faults.slice(0, 8).map((f) => h("li", { text: `${f.place}: ${f.message} ${f.remedy}` }))),
          ),
    );
    if (group.notice) parts.push(h("p", { class: "refusal", text: group.notice }));
    notices.replaceChildren(...parts);
  }

  return {
    el,
    update() {
      const done = group.rows.size;
      const all = group.papers.length;
      const far = [...group.far.values()].reduce((sum, share) => sum + share, 0);
      bar.value = all > 0 ? (done + far) / all : 0;
      show(bar, group.busy);
      show(stop, group.busy);
      const rest = !group.busy && group.waiting.length > 0;
      show(on, rest);
      show(clear, all > 0 || group.beside.length > 0);
      setText(
        words,
        group.busy
          ? say("rev_judging", { done, all })
          : rest
            ? say("rev_stopped", { done, all })
            : all > 0 && group.took > 0
              ? say("rev_judged", { n: all, s: (group.took / 1000).toFixed(1).replace(".", say("decimal")) })
              : "",
      );
      notice();
      show(table, all > 0);
      const had = document.activeElement?.closest("tr")?.getAttribute("data-record");
      const papers = [...group.papers].sort((a, b) => rank(a.path) - rank(b.path));
      body.replaceChildren(...papers.map(({ path }) => line(group.rows.get(path), path)));
      const again = had && body.querySelector(`[data-record="${CSS.escape(had)}"] button`);
      if (again instanceof HTMLElement) again.focus();
    },
  };
}

/**
 * Lets files be dropped anywhere on the view.
 * @param {HTMLElement} el
 */
export function takeDrops(el) {
  /** @param {DragEvent} event */
  const over = (event) => {
    if (!event.dataTransfer?.types.includes("Files")) return;
    event.preventDefault();
    el.dataset.over = "yes";
  };
  el.addEventListener("dragenter", over);
  el.addEventListener("dragover", over);
  el.addEventListener("dragleave", ({ relatedTarget }) => {
    if (!(relatedTarget instanceof Node && el.contains(relatedTarget))) delete el.dataset.over;
  });
  el.addEventListener("drop", async (event) => {
    delete el.dataset.over;
    if (!event.dataTransfer) return;
    event.preventDefault();
    group.add(await dropped(event.dataTransfer));
  });
}

/** The gradebook as the shell writes it: no mark before it, nothing changed. */
export function saveGradebook() {
  if (group.book) download("gradebook.csv", new Blob([group.book.csv], { type: "text/csv;charset=utf-8" }));
}
