// The page inside a learning platform: it opens the sitting, takes up what was kept, keeps what is new, reports what the
// first finished run was worth, and ends the sitting.

import { h, setText, show } from "../dom.js";
import { pointsText } from "../exercise/tell.js";
import { restored } from "../exercise/taking.js";
import { asFault } from "../fault.js";
import { say } from "../words.js";
import { carried, unpacked } from "./carry.js";
import { Cmi5 } from "./cmi5.js";
import { interactions } from "./interactions.js";
import { packed } from "./packed.js";
import { Scorm12 } from "./scorm12.js";
import { Scorm2004 } from "./scorm2004.js";

/** Wall time between two keepings while nothing but time passes (ms): platforms store each on a server. */
const EVERY_MS = 30_000;
/** The same while somebody acts (ms). */
const SOON_MS = 2000;

const PORTS = { scorm12: Scorm12, scorm2004: Scorm2004, cmi5: Cmi5 };

class Learning {
  /** @param {import("./packed.js").Packed} from */
  constructor(from) {
    this.exercise = from.exercise;
    /** @type {import("./port.js").Port} */
    this.port = new PORTS[from.standard]();
    this.began = performance.now();
    this.name = "";
    this.live = false;
    this.counts = false;
    /** What has been reported of the first finished run. @type {{ points: number, passed: boolean } | null} */
    this.reported = null;
    /** The run that counts. @type {import("../exercise/taking.js").Taking | null} */
    this.first = null;
    /** A run that an earlier sitting finished, shown again. @type {import("../exercise/taking.js").Taking | null} */
    this.past = null;
    /** What the platform has been told. @type {import("./carry.js").Told} */
    this.before = "";
    /** What is to be read, in the words of the moment: a language may change. */
    this.told = () => say("learn_opening");
    this.seen = "";
    this.keptAt = -Infinity;
    /** The record has outgrown what the platform keeps. */
    this.large = false;
  }

  seconds() {
    return (performance.now() - this.began) / 1000;
  }

  /** Opens the sitting and takes up what was kept. @param {import("../app.js").App} app */
  async start(app) {
    try {
      const { name, kept, counts } = await this.port.open();
      Object.assign(this, { name, counts, live: true });
      this.told = () => say(counts ? "learn_open" : "learn_look");
      addEventListener("pagehide", () => this.leave());
      document.addEventListener("visibilitychange", () => document.hidden && void this.keep());
      if (!kept) return;
      const found = unpacked(kept);
      if (!found) {
        this.told = () => say("learn_not_ours");
        return;
      }
      this.before = found.told;
      const taking = restored(app, this.exercise, found.short);
      // One that is over was reported when it ended; what was not passed may be tried again in this sitting.
      if (taking.over) this.past = taking;
      else this.first = taking;
      this.told = () => say(!taking.over ? "learn_resumed" : this.before === "passed" ? "learn_again" : "learn_retry");
    } catch (thrown) {
      this.fails(thrown);
    }
  }

  /** @param {unknown} thrown */
  fails(thrown) {
    const { message, remedy } = asFault(thrown);
    this.told = () => `${message} ${remedy}`;
  }

  /** Looks at what is being taken, a few times a second. @param {import("../app.js").App} app */
  look(app) {
    const taking = app.exercise;
    if (!this.live || !taking || taking.closed || taking === this.past) return;
    if (!this.reported && this.before === "passed") {
      this.told = () => say("learn_practice");
      return;
    }
    this.first ??= taking;
    if (taking !== this.first) {
      if (this.reported) this.told = () => say("learn_practice");
      // Begun anew before the first was over: that one is given up.
      else this.first = taking;
      return;
    }
    if (taking.over && !this.reported) return void this.report(taking);
    const key = `${taking.version} ${taking.over}`;
    const now = performance.now();
    if (now - this.keptAt < (key === this.seen ? EVERY_MS : SOON_MS) || (key === this.seen && taking.over)) return;
    this.seen = key;
    void this.keep();
  }

  async keep() {
    const taking = this.first;
    if (!this.live || !taking || taking.closed) return;
    this.keptAt = performance.now();
    try {
      const text = carried(taking.drill.short(), this.before);
      this.large = text.length > this.port.most;
      // What does not fit is not cut: half a record leads nowhere.
      await this.port.keep(this.large ? null : text, this.seconds());
      if (this.large) this.told = () => say("learn_large", { n: text.length, most: this.port.most });
    } catch (thrown) {
      this.fails(thrown);
    }
  }

  /** @param {import("../exercise/taking.js").Taking} taking */
  async report(taking) {
    const debrief = taking.drill.debrief();
    const { total, passed } = debrief.score;
    this.reported = { points: total, passed };
    const completedBefore = this.before !== "";
    if (this.counts) this.before = passed ? "passed" : "completed";
    try {
      await this.keep();
      await this.port.report({
        completedBefore,
        points: total,
        passed,
        seconds: this.seconds(),
        interactions: interactions(taking.exercise, debrief, taking.standing()),
      });
      this.told = () => say(!this.counts ? "learn_look" : passed ? "learn_passed" : "learn_failed", { points: pointsText(total) });
    } catch (thrown) {
      this.fails(thrown);
    }
  }

  /** Ends the sitting; the platform may close the window next. */
  leave() {
    if (!this.live) return;
    void this.keep();
    this.live = false;
    try {
      this.port.close(this.seconds(), this.reported !== null || (this.past !== null && this.first === null));
    } catch {
      // Nobody is left to be told.
    }
    this.told = () => say("learn_closed");
  }
}

/** The sitting, where this page came in a package. */
export const learning = packed ? new Learning(packed) : null;

/** The line that says how it stands with the platform. */
export function createLearning() {
  const words = h("span", { role: "status" });
  const leave = h("button", {
    type: "button",
    "data-action": "leave_platform",
    text: say("learn_leave"),
    on: {
      click: () => {
        const back = learning?.port.back;
        learning?.leave();
        if (back) location.assign(back);
      },
    },
  });
  return {
    el: h("p", { class: "ex-learning" }, words, " ", leave),
    update() {
      if (!learning) return;
      setText(words, learning.told());
      show(leave, learning.live);
    },
  };
}
