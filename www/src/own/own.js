// A plant of the reader's own, opened from its file: what it is, or why not; to be run, or to write an exercise on.

import { h, setText, show } from "../dom.js";
import { Session, addressOf, check_plant, equip_plant } from "../engine.js";
import { leaveFirst } from "../exercise/leave.js";
import { asFault } from "../fault.js";
import { createChooser } from "../files/choose.js";
import { lookAt, refusalOf } from "../files/look.js";
import { Store } from "../store.js";
import { Units } from "../units.js";
import { say } from "../words.js";
import { OWN, forgetPlant, keepPlant, ownPlants, savePlant } from "./plants.js";

/** Faults that are listed; the rest is counted. */
const MOST = 12;
/** The code of a plant that can be balanced, not run. */
const BARE = "cannot_run";
const GROSS = "unit.gross_output";

/**
 * What the dialog opens with: a file, or which plant is missing. `take`: the exercise that is written and wants the plant.
 * @typedef {{ file?: File, missing?: string, take?: (plant: { name: string }) => void }} What
 */
/** Opens the dialog that is built. @type {(what: What) => void} */
let opened = () => {};
/** @param {What} [what] */
export const openOwn = (what = {}) => opened(what);

/**
 * Runs a plant: the page opens anew on it, at rest at its design point.
 * @param {import("../app.js").App} app
 * @param {string} text  of a file without a fault
 */
function run(app, text) {
  const kept = keepPlant(text);
  const to = new URL(addressOf(OWN + JSON.parse(text).name));
  to.hash = "climb";
  leaveFirst(app, () => {
    // A newer file of the plant that runs has its address; and what is not kept goes along with this page.
    if (kept && to.search !== location.search) return location.assign(to);
    history.replaceState(kept ? null : { plant: text }, "", to);
    location.reload();
  });
}

/** What can be said of a plant in a line. @param {import("../app.js").App} app @param {string} text */
function factsOf(app, text) {
  const session = Session.of_file(text);
  const manifest = session.manifest();
  session.free();
  const units = new Units(manifest.quantities, app.units.system, manifest.currency);
  const store = new Store(manifest);
  const output = units.full(store.quantities.get(GROSS) ?? "", store.design(GROSS));
  return { plant: manifest.plant, line: say("own_facts", { heaters: manifest.heaters.length, output, name: manifest.plant.name }) };
}

/**
 * @param {import("../app.js").App} app
 * @param {(plant: { name: string }) => void} writeOn  begins an exercise on a plant
 */
export function createOwn(app, writeOn) {
  const body = h("div", { class: "own-body" });
  const el = h("dialog", { class: "own", "aria-labelledby": "own-title" }, body);
  /** @type {What["take"]} */
  let wanted;
  /** @param {string} text */
  const title = (text) => h("h2", { id: "own-title", text });
  /** @param {string} action @param {import("../words.js").Word} word @param {() => void} click @param {string} [cls] */
  const button = (action, word, click, cls = "") => h("button", { type: "button", class: cls, "data-own": action, text: say(word), on: { click } });
  const input = createChooser((file) => void look(file), { "data-own": "file" });
  const pick = () => button("open", "own_open", () => input.click());
  const close = () => button("close", "close", () => el.close());

  /** Shows something; `first` gets the focus. @param {HTMLElement} first @param {(Node | string | null)[]} what */
  function put(first, ...what) {
    body.replaceChildren(...what.filter((one) => one !== null), input);
    if (!el.open) el.showModal();
    first.focus();
  }

  /** @param {string} said */
  function start(said = "") {
    const told = h("p", { class: "refusal", role: "status", text: said });
    const list = h("ul", { class: "own-list" });
    const kept = h("section", { "aria-labelledby": "own-kept" }, h("h3", { id: "own-kept", text: say("own_kept") }), list);
    const fill = () => {
      const all = ownPlants();
      show(kept, all.length > 0);
      list.replaceChildren(
        ...all.map((one) => {
          const [go, forget] = [button("show", "own_show", () => void sound(one.text, one.name)), button("forget", "own_forget", () => {
            forgetPlant(one.name);
            setText(told, say("own_forgotten", { title: one.title }));
            fill();
          })];
          for (const each of [go, forget]) each.setAttribute("aria-label", `${each.textContent}: ${one.title}`);
          return h("li", { "data-plant": one.name }, h("span", { text: one.title }), go, forget);
        }),
      );
    };
    fill();
    const first = pick();
    put(first, title(say("own_title")), h("p", { text: say("own_lead") }), told, kept, h("p", { class: "own-answers" }, close(), first));
  }

  /** @param {string} said @param {import("../types.js").Fault[]} faults */
  function refuse(said, faults) {
    const first = pick();
    put(
      first,
      title(say("own_title")),
      h("p", { class: "refusal", role: "alert", text: said }),
      h(
        "ul",
        { class: "own-faults" },
        ...faults.slice(0, MOST).map((f) => h("li", {}, h("code", { text: f.place }), ` ${f.message} `, h("span", { class: "label", text: f.remedy }))),
      ),
      faults.length > MOST ? h("p", { text: say("ed_more_faults", { n: faults.length - MOST }) }) : null,
      faults.length > 0 ? h("p", { class: "label", text: say("own_mend") }) : null,
      h("p", { class: "own-answers" }, close(), first),
    );
  }

  /** @param {string} text @param {string} file @param {import("../types.js").Fault} fault */
  function bare(text, file, fault) {
    const fill = button("equip", "own_equip", () => {
      try {
        sound(JSON.stringify(JSON.parse(equip_plant(text)), null, 2), file, true);
      } catch (thrown) {
        refuse(say("own_faults", { file, n: 1 }), [asFault(thrown)]);
      }
    }, "primary");
    put(fill, title(String(JSON.parse(text).title)), h("p", { text: say("own_bare", { file, places: fault.place }) }), h("p", { class: "own-answers" }, close(), pick(), fill));
  }

  /** A plant that may be run. @param {string} text @param {string} file @param {boolean} [filled]  by usual equipment */
  function sound(text, file, filled = false) {
    const faults = check_plant(text);
    const lacks = faults.find(({ code }) => code === BARE);
    if (lacks && !filled && faults.length === 1) return bare(text, file, lacks);
    if (faults.length > 0) return refuse(say(filled ? "own_unfit" : "own_faults", { file, n: faults.length }), faults);
    const { plant, line } = factsOf(app, text);
    const go = button("run", "own_run", () => {
      el.close();
      run(app, text);
    }, "primary");
    const write = button("write", wanted ? "own_take" : "own_write", () => {
      keepPlant(text);
      if (wanted) wanted(JSON.parse(text));
      else writeOn(JSON.parse(text));
      el.close();
      location.hash = "editor";
    }, wanted ? "primary" : "");
    put(
      wanted ? write : go,
      title(plant.title),
      h("p", { text: plant.summary }),
      h("p", { class: "label", text: line }),
      filled ? h("p", { text: say("own_equipped") }) : null,
      h(
        "p",
        { class: "own-answers" },
        close(),
        filled ? button("save", "own_save", () => savePlant(text)) : null,
        write,
        wanted ? null : go,
      ),
    );
  }

  /** @param {File} file */
  async function look(file) {
    const found = await lookAt(file);
    const refused = refusalOf(found, "plant");
    if (refused) refuse(refused, []);
    else sound(found.text, file.name);
  }

  opened = ({ file, missing, take }) => {
    wanted = take;
    if (file) return void look(file);
    start(missing === undefined ? "" : say("own_missing", { name: missing }));
  };
  return el;
}
