// Judges records and checks exercises in a thread of its own. The same judgement as on the page: crates/drill, in the same
// module.

import { Marker, check_exercise, initSync } from "bledsteam_web";

/** Steps between two words about how far it has come: some tenths of a second. */
const SLICE = 2400;

/** @type {Marker | null} */
let marker = null;

const post = /** @type {(message: import("./review/crew.js").Told) => void} */ ((message) => self.postMessage(message));

/** @param {MessageEvent<import("./review/crew.js").Asked>} event */
self.onmessage = ({ data }) => {
  try {
    if ("module" in data) {
      initSync({ module: data.module });
      marker = new Marker(data.files);
      post({ ready: true });
    } else if ("check" in data) {
      post({ faults: check_exercise(data.check) });
    } else if (marker) {
      marker.open(data.path, new Uint8Array(data.bytes));
      for (;;) {
        const { done, steps, of } = marker.advance(SLICE);
        if (done) break;
        post({ steps, of });
      }
      post({ row: marker.row() });
    }
  } catch (thrown) {
    const said = thrown && typeof thrown === "object" && "message" in thrown ? thrown.message : thrown;
    post({ failed: String(said) });
  }
};
