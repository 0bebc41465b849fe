// The alarms as a table: what is most urgent first, consequences under the trip that they follow from.

import { h, set, setText, show } from "../dom.js";
import { plantTime } from "../units.js";
import { say } from "../words.js";
import { alarmLook, nameOf, quantityOf, unseen } from "./name.js";

/** @typedef {import("./name.js").Alarm} Alarm */

/** Times on the shelf (min). */
const MINUTES = [10, 30, 60, 240, 480];
const PRIORITIES = ["critical", "high", "medium", "low"];

/** What needs a look, then what was seen, then what was put aside. @param {Alarm} alarm */
function rank(alarm) {
  const aside = alarm.standing === "shelved" || alarm.standing === "out_of_service";
  return (aside ? 100 : unseen(alarm) ? 0 : 10) + (alarm.first_out ? -1 : PRIORITIES.indexOf(alarm.priority));
}

/** The order of the table, consequences after their cause. @param {Alarm[]} alarms */
function ordered(alarms) {
  const open = alarms.filter(({ standing }) => standing !== "normal" && standing !== "suppressed_by_design");
  open.sort((a, b) => rank(a) - rank(b) || b.raised_at - a.raised_at);
  const there = new Set(open.map((alarm) => alarm.id));
  /** @param {Alarm} alarm */
  const under = (alarm) => alarm.under !== null && there.has(alarm.under);
  return open
    .filter((alarm) => !under(alarm))
    .flatMap((alarm) => [alarm, ...open.filter((other) => under(other) && other.under === alarm.id)]);
}

/** @param {import("../app.js").App} app */
export function createList(app) {
  const refusal = h("p", { class: "refusal", role: "status" });
  const minutes = h(
    "select",
    { id: "shelf-minutes" },
    ...MINUTES.map((n) => h("option", { value: n, text: say("alarms_minutes", { n }) })),
  );
  /** @param {import("../types.js").Command} command */
  const ask = (command) => {
    const fault = app.command(command);
    setText(refusal, fault ? app.explain({ ...fault, place: "" }) : "");
    update();
  };
  const all = h("button", {
    type: "button",
    "data-action": "acknowledge_all",
    text: say("alarms_acknowledge_all"),
    on: { click: () => ask({ do: "acknowledge_alarm" }) },
  });
  const body = h("tbody");
  const none = h("p", { class: "nothing", text: say("alarms_none") });
  const figures = h("p", { class: "label" });
  const heads = /** @type {const} */ (["state", "priority", "time", "what", "value", "actions"]);
  const table = h(
    "table",
    { class: "alarm-table" },
    h("thead", {}, h("tr", {}, ...heads.map((head) => h("th", { scope: "col", text: say(`alarms_${head}`) })))),
    body,
  );

  /** @param {string} id */
  function makeRow(id) {
    const what = nameOf(app, id);
    /** @type {Alarm["standing"]} */
    let standing = "normal";
    /** @param {string} action @param {() => void} click */
    const button = (action, click) =>
      h("button", { type: "button", "data-action": action, on: { click } });
    const seen = button("acknowledge", () => ask({ do: "acknowledge_alarm", alarm: id }));
    const shelf = button("shelve", () =>
      ask(
        standing === "shelved"
          ? { do: "unshelve_alarm", alarm: id }
          : { do: "shelve_alarm", alarm: id, seconds: 60 * Number(minutes.value) },
      ),
    );
    const shape = h("span", { class: "shape", "aria-hidden": "true" });
    const state = h("span");
    const chip = h("span", { class: "chip" }, shape, " ", state);
    const priority = h("td");
    const time = h("td", { class: "time" });
    const note = h("span", { class: "alarm-note" });
    const value = h("td", { class: "alarm-value" });
    const el = h(
      "tr",
      { "data-alarm": id },
      h("td", {}, chip),
      priority,
      time,
      h("th", { scope: "row" }, h("span", { text: what }), note),
      value,
      h("td", { class: "alarm-do" }, seen, shelf),
    );
    setText(seen, say("alarms_acknowledge"));
    set(seen, { "aria-label": say("alarms_act_on", { action: say("alarms_acknowledge"), what }) });
    return {
      el,
      /** @param {Alarm} alarm */
      update(alarm) {
        standing = alarm.standing;
        const look = alarmLook(alarm);
        setText(shape, look.shape);
        setText(state, look.text);
        set(chip, { "data-weight": look.weight, title: look.means });
        set(el, {
          "data-standing": standing,
          "data-under": alarm.under,
          "data-first-out": alarm.first_out ? "yes" : null,
        });
        setText(priority, say(`alarm_priority_${alarm.priority}`));
        setText(time, plantTime(alarm.raised_at));
        setText(
          note,
          standing === "shelved"
            ? say("alarms_shelf_left", { time: plantTime(alarm.shelved_for) })
            : alarm.first_out
              ? `⚑ ${say("alarms_first_out")}`
              : alarm.under
                ? say("alarms_under", { what: nameOf(app, alarm.under) })
                : "",
        );
        const quantity = quantityOf(id);
        setText(
          value,
          alarm.setpoint === null
            ? ""
            : `${app.units.full(quantity, alarm.value)} / ${app.units.text(quantity, alarm.setpoint)}`,
        );
        // It keeps its place, and the focus, when there is nothing more to acknowledge.
        set(seen, { "aria-disabled": unseen(alarm) ? null : "true" });
        const action = say(standing === "shelved" ? "alarms_unshelve" : "alarms_shelve");
        setText(shelf, action);
        set(shelf, { "aria-label": say("alarms_act_on", { action, what }) });
      },
    };
  }

  /** @type {Map<string, ReturnType<typeof makeRow>>} */
  const rows = new Map();

  function update() {
    const alarms = ordered(app.alarms());
    const held = document.activeElement;
    const inside = held instanceof HTMLElement && body.contains(held) ? held : null;
    const ids = new Set(alarms.map((alarm) => alarm.id));
    for (const [id, row] of rows)
      if (!ids.has(id)) {
        row.el.remove();
        rows.delete(id);
      }
    alarms.forEach((alarm, at) => {
      let row = rows.get(alarm.id);
      if (!row) rows.set(alarm.id, (row = makeRow(alarm.id)));
      row.update(alarm);
      if (body.children[at] !== row.el) body.insertBefore(row.el, body.children[at] ?? null);
    });
    // A row that moves loses the focus, and one that goes takes it along.
    if (inside && document.activeElement !== inside) (inside.isConnected ? inside : all).focus();
    show(none, alarms.length === 0);
    show(table, alarms.length > 0);
    const f = app.session.alarm_figures();
    setText(
      figures,
      say("alarms_figures", { now: f.in_ten_minutes, peak: f.peak, grouped: f.grouped, standing: f.standing }),
    );
  }

  return {
    el: h(
      "section",
      { class: "alarm-part", "aria-labelledby": "alarms-title" },
      h(
        "div",
        { class: "alarm-head" },
        h("h2", { id: "alarms-title", text: say("view_alarms") }),
        all,
        h("label", { for: "shelf-minutes", text: say("alarms_shelve_for") }),
        minutes,
      ),
      figures,
      refusal,
      none,
      h("div", { class: "alarm-scroll", role: "region", tabindex: 0, "aria-label": say("view_alarms") }, table),
    ),
    update,
  };
}
