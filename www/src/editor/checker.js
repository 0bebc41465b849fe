// Checks the exercise as it is written, in a worker, so that typing never waits; on this thread where none may be started.

import { check_exercise } from "bledsteam_web";
import { compiled } from "../engine.js";
import { asFault } from "../fault.js";
import { WORKER, ask } from "../review/crew.js";
import { startWorker } from "../trusted.js";

/** @typedef {import("../types.js").Fault} Fault */

export class Checker {
  /** @param {(faults: Fault[], text: string) => void} heard  what was found of which text */
  constructor(heard) {
    this.heard = heard;
    /** @type {Promise<Worker | null> | null} */
    this.worker = null;
    this.busy = false;
    /** The newest text that waits; what came before it is of no interest any more. @type {string | null} */
    this.waiting = null;
    this.ended = new AbortController();
  }

  /** @param {string} text */
  async check(text) {
    this.waiting = text;
    if (this.busy) return;
    this.busy = true;
    while (this.waiting !== null && !this.ended.signal.aborted) {
      const now = this.waiting;
      this.waiting = null;
      this.heard(await this.faultsOf(now), now);
    }
    this.busy = false;
  }

  /** @param {string} text @returns {Promise<Fault[]>} */
  async faultsOf(text) {
    const worker = await (this.worker ??= this.start());
    if (worker) {
      const told = await ask(worker, { check: text }, this.ended.signal);
      if (told && "faults" in told) return told.faults;
      worker.terminate();
      this.worker = Promise.resolve(null);
    }
    try {
      return check_exercise(text);
    } catch (thrown) {
      return [asFault(thrown)];
    }
  }

  async start() {
    try {
      // Compiled first: a worker that cannot start says so at once, when somebody has to listen.
      const module = await compiled();
      const worker = startWorker(WORKER);
      const ready = await ask(worker, { module, files: [] }, this.ended.signal);
      if (ready) return worker;
      worker.terminate();
    } catch {
      // Not allowed here: this thread does it.
    }
    return null;
  }

  async end() {
    this.ended.abort();
    (await this.worker)?.terminate();
  }
}
