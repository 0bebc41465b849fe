// Whether this page is kept for use without a network, and whether a newer one lies ready.

import { packed } from "./learning/packed.js";
import { startKeeper } from "./trusted.js";

/**
 * `none`: from the disk, or where the browser keeps nothing; `kept`: opens without a network; `newer`: another build is kept
 * too, and is used once it is taken.
 * @typedef {"none" | "kept" | "newer"} Kept
 */

const news = new EventTarget();
/** @type {Kept} */
let state = "none";
/** @type {ServiceWorker | null} */
let waiting = null;
/** The reader has asked for the newer build: this page gives way to it. */
let taking = false;

/** @param {Kept} now */
function become(now) {
  state = now;
  news.dispatchEvent(new Event("change"));
}

/** Lets the browser keep the page. Nothing depends on it: where it cannot, the page needs its server at the next start. */
export async function keepPage() {
  const { serviceWorker } = navigator;
  // A page from the disk has no service worker, the single file and a learning package need none, nor has an address that
  // is not secure.
  if (!serviceWorker || !location.protocol.startsWith("http") || document.getElementById("bledsteam-wasm") || packed) return;
  const had = serviceWorker.controller !== null;
  serviceWorker.addEventListener("controllerchange", () => {
    if (taking) location.reload();
    // Taken in another window of the browser.
    else if (had) become("newer");
  });
  try {
    const registration = await startKeeper();
    const look = () => {
      waiting = registration.waiting;
      if (waiting && registration.active) become("newer");
      else if (registration.active?.state === "activated" && state === "none") become("kept");
    };
    const follow = () => registration.installing?.addEventListener("statechange", look);
    registration.addEventListener("updatefound", follow);
    follow();
    look();
  } catch {
    // A server without it, or a browser that keeps nothing in a private window.
  }
}

/** Ends this page for the newer build. */
export function takeNewer() {
  taking = true;
  if (waiting?.state === "installed") waiting.postMessage("take");
  else location.reload();
}

/**
 * Says what holds, now and at every change.
 * @param {(state: Kept) => void} tell
 * @param {AbortSignal} signal
 */
export function onKept(tell, signal) {
  news.addEventListener("change", () => tell(state), { signal });
  tell(state);
}
