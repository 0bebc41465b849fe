// Who judges: workers, as many as the machine has processors for, or, where none can be started, this thread in slices
// short enough for the page to answer in between.

import { Marker } from "bledsteam_web";
import { compiled } from "../engine.js";
import { startWorker } from "../trusted.js";

/**
 * @typedef {import("bledsteam_web").GradeRow} Row
 * @typedef {{ path: string, file: Blob }} Paper  a file; its path as it was dropped
 * @typedef {{ module: WebAssembly.Module, files: string[] } | { path: string, bytes: ArrayBuffer } | { check: string }} Asked
 * @typedef {{ ready: true } | { steps: number, of: number } | { row: Row } | { failed: string }
 *   | { faults: import("bledsteam_web").Fault[] }} Told
 * @typedef {{ row: (paper: Paper, row: Row) => void, far: (paper: Paper, share: number) => void }} Heard
 */

export const WORKER = "src/worker.js";
/** More would not finish a class sooner, and each holds a plant of its own. */
const MOST_HANDS = 4;
/** Steps between two looks at the clock on this thread. */
const SLICE = 60;
/** Wall time at a stretch on this thread (ms): the longer, the fewer frames are drawn meanwhile; whoever presses something waits so long. */
const BUDGET_MS = 24;
/** What is read of a file: a little more than a record may have, so that one too long is told by its length. */
const MOST_BYTES = (1 << 23) + 1;

/** @param {Blob} file */
export const bytesOf = (file) => file.slice(0, MOST_BYTES).arrayBuffer();

/** Lets the page answer. A timer would be held back where the page is not in front; a message is not. */
function breath() {
  const { port1, port2 } = new MessageChannel();
  return new Promise((resolve) => {
    port1.onmessage = () => {
      port1.close();
      resolve(undefined);
    };
    port2.postMessage(null);
  });
}

/**
 * Judges papers, in whatever order they are through.
 * @param {Paper[]} papers
 * @param {string[]} files  exercises and plants besides those shipped
 * @param {Heard} heard
 * @param {AbortSignal} signal
 * @param {number} [hands]  0: on this thread
 */
export async function judge(papers, files, heard, signal, hands = navigator.hardwareConcurrency || 2) {
  const queue = [...papers];
  const crew = Math.min(MOST_HANDS, hands, papers.length);
  if (crew > 0) {
    const module = await compiled();
    await Promise.all(Array.from({ length: crew }, () => hand(module, queue, files, heard, signal)));
  }
  // Whatever no worker took: all, where none could be started.
  await alone(queue, files, heard, signal);
}

/**
 * One worker, until the queue is empty. A paper it fails on goes back, and it takes no further one.
 * @param {WebAssembly.Module} module
 * @param {Paper[]} queue
 * @param {string[]} files
 * @param {Heard} heard
 * @param {AbortSignal} signal
 */
async function hand(module, queue, files, heard, signal) {
  /** @type {Worker} */
  let worker;
  try {
    worker = startWorker(WORKER);
  } catch {
    return; // not allowed here: this thread does it
  }
  const stop = () => worker.terminate();
  signal.addEventListener("abort", stop);
  try {
    const ready = await ask(worker, { module, files }, signal);
    while (ready && !signal.aborted) {
      const paper = queue.shift();
      if (!paper) break;
      const bytes = await bytesOf(paper.file);
      const told = await ask(worker, { path: paper.path, bytes }, signal, (share) => heard.far(paper, share));
      if (told && "row" in told) heard.row(paper, told.row);
      else {
        if (!signal.aborted) queue.unshift(paper);
        break;
      }
    }
  } finally {
    signal.removeEventListener("abort", stop);
    stop();
  }
}

/**
 * Asks and waits for the answer; null where the worker fails or is stopped.
 * @param {Worker} worker
 * @param {Asked} asked
 * @param {AbortSignal} signal
 * @param {(share: number) => void} [far]
 * @returns {Promise<Told | null>}
 */
export function ask(worker, asked, signal, far) {
  return new Promise((resolve) => {
    const none = () => resolve(null);
    if (signal.aborted) return none();
    signal.addEventListener("abort", none, { once: true });
    worker.onerror = (event) => {
      event.preventDefault();
      none();
    };
    worker.onmessageerror = none;
    worker.onmessage = (/** @type {MessageEvent<Told>} */ { data }) => {
      if ("steps" in data) far?.(data.of > 0 ? data.steps / data.of : 0);
      else resolve("failed" in data ? null : data);
    };
    worker.postMessage(asked, "bytes" in asked ? [asked.bytes] : []);
  });
}

/**
 * This thread, in slices.
 * @param {Paper[]} queue
 * @param {string[]} files
 * @param {Heard} heard
 * @param {AbortSignal} signal
 */
async function alone(queue, files, heard, signal) {
  if (queue.length === 0 || signal.aborted) return;
  const marker = new Marker(files);
  for (let paper = queue.shift(); paper && !signal.aborted; paper = queue.shift()) {
    const of = paper;
    const row = await through(marker, of, signal, (share) => heard.far(of, share));
    if (row) heard.row(of, row);
  }
  marker.free();
}

/**
 * Takes a marker through a paper on this thread; null where it was stopped.
 * @param {Marker} marker
 * @param {Paper} paper
 * @param {AbortSignal} signal
 * @param {(share: number) => void} far
 * @returns {Promise<Row | null>}
 */
export async function through(marker, paper, signal, far) {
  const bytes = new Uint8Array(await bytesOf(paper.file));
  await breath();
  marker.open(paper.path, bytes);
  for (;;) {
    const began = performance.now();
    let done = false;
    while (!done && performance.now() - began < BUDGET_MS) {
      const judged = marker.advance(SLICE);
      done = judged.done;
      if (!done && judged.of > 0) far(judged.steps / judged.of);
    }
    if (signal.aborted) return null;
    if (done) return marker.row();
    await breath();
  }
}
