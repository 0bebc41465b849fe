// The list of everything that can be drawn: searched by words, grouped by device.

import { isShut } from "../desk/lock.js";
import { h, set, setText, show } from "../dom.js";
import { say } from "../words.js";
import { deviceOf, fullNameOf, nameOf, parts } from "./names.js";
import { MOST } from "./pens.js";

/** What has no curve of its own. */
const LEFT_OUT = new Set(["time"]);

/**
 * @param {import("../app.js").App} app
 * @param {import("./pens.js").Pens} pens
 */
export function createPicker(app, pens) {
  const search = h("input", {
    type: "search",
    id: "trend-search",
    placeholder: say("trends_search"),
    "aria-label": say("trends_search"),
    autocomplete: "off",
  });
  const refusal = h("p", { class: "refusal", role: "status" });
  const none = h("p", { class: "nothing", text: say("trends_none"), hidden: true });
  // While an exercise runs, and in a trainee's copy, what no instrument shows has nothing to draw.
  const hidden = (app.exercise !== null && !app.exercise.over) || isShut();
  const signals = app.manifest.signals.filter(({ id, truth }) => !LEFT_OUT.has(parts(id)[1]) && !(truth && hidden));
  // What is shown first, the truth beside it behind.
  signals.sort((a, b) => Number(a.id.endsWith("_true")) - Number(b.id.endsWith("_true")));
  // The unit first, then the heaters in the water's order.
  const devices = ["unit", ...app.manifest.heaters.map(({ id }) => id)];
  const others = signals.map(({ device }) => device).filter((device) => !devices.includes(device));
  const rows = signals.map((signal) => {
    const box = h("input", {
      type: "checkbox",
      id: `pen-${signal.id}`,
      "data-pen": signal.id,
      on: {
        change: () => {
          const why = box.checked ? pens.add(signal.id) : (pens.remove(signal.id), "");
          if (why) box.checked = false;
          setText(
            refusal,
            why === "axes"
              ? say("trends_axes", { name: fullNameOf(app, signal.id) })
              : why
                ? say("trends_most", { n: MOST })
                : "",
          );
        },
      },
    });
    const truth = signal.truth ? h("span", { class: "truth", text: say("trends_truth") }) : null;
    return {
      signal,
      box,
      text: fullNameOf(app, signal.id).toLowerCase(),
      el: h("li", {}, h("label", {}, box, h("span", { text: nameOf(signal.id) }), truth)),
    };
  });
  const groups = [...devices, ...new Set(others)].map((device) => {
    const own = rows.filter(({ signal }) => signal.device === device);
    return {
      device,
      own,
      el: h(
        "details",
        { open: device === "unit" },
        h("summary", { text: deviceOf(app, device) }),
        h("ul", {}, ...own.map(({ el }) => el)),
      ),
    };
  });
  search.addEventListener("input", () => {
    const words = search.value.toLowerCase().split(/\s+/).filter(Boolean);
    let found = 0;
    for (const { own, el } of groups) {
      let here = 0;
      for (const row of own) {
        const fits = words.every((word) => row.text.includes(word) || row.signal.id.includes(word));
        show(row.el, fits);
        here += fits ? 1 : 0;
      }
      show(el, here > 0);
      if (words.length) el.open = here > 0;
      found += here;
    }
    show(none, found === 0);
  });

  return {
    el: h(
      "section",
      { class: "picker", "aria-label": say("trends_list") },
      search,
      refusal,
      h("div", { class: "picker-list", tabindex: 0, role: "group", "aria-label": say("trends_list") }, none, ...groups.map(({ el }) => el)),
    ),
    update() {
      for (const { signal, box } of rows) {
        const drawn = pens.has(signal.id);
        if (box.checked !== drawn) box.checked = drawn;
      }
      for (const { own, el } of groups) set(el, { "data-some": own.some(({ box }) => box.checked) ? "yes" : null });
    },
  };
}
