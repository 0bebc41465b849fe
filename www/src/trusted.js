// The page's one door from text to code: the address of a worker of its own, and of its service worker. Its policy on
// trusted types is made here and nowhere else.

/** @typedef {{ createPolicy: (name: string, rules: { createScriptURL: (url: string) => string }) => { createScriptURL: (url: string) => unknown } }} Factory */

const factory = /** @type {{ trustedTypes?: Factory }} */ (globalThis).trustedTypes;
const policy = factory?.createPolicy("app", { createScriptURL: (url) => url });

/** @param {string} url */
const trusted = (url) => /** @type {string} */ (policy ? policy.createScriptURL(url) : url);

/**
 * Starts one of the page's own workers. The single file carries its text in an element of that name.
 * @param {string} path  below the page
 */
export function startWorker(path) {
  const inline = document.getElementById(path)?.textContent;
  const url = inline
    ? URL.createObjectURL(new Blob([Uint8Array.from(atob(inline.trim()), (c) => c.charCodeAt(0))], { type: "text/javascript" }))
    : new URL(path, document.baseURI).href;
  // A plain script, not a module: from one file the browser starts no module worker.
  return new Worker(trusted(url));
}

/** Registers the service worker that keeps the page. */
export function startKeeper() {
  // Asked of the server each time, past the browser's cache: whatever a server says of caching, a new build is found.
  return navigator.serviceWorker.register(trusted(new URL("offline.js", document.baseURI).href), { updateViaCache: "none" });
}
