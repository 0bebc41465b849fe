// The page's one door from text to code: the address of a worker of its own. Its policy on trusted types is made here and
// nowhere else.

/** @typedef {{ createPolicy: (name: string, rules: { createScriptURL: (url: string) => string }) => { createScriptURL: (url: string) => unknown } }} Factory */

const factory = /** @type {{ trustedTypes?: Factory }} */ (globalThis).trustedTypes;
const policy = factory?.createPolicy("app", { createScriptURL: (url) => url });

/**
 * Starts one of the page's own workers. The single file carries its text in an element of that name.
 * @param {string} path  below the page
 */
export function startWorker(path) {
  const inline = document.getElementById(path)?.textContent;
  const url = inline
    ? URL.createObjectURL(new Blob([Uint8Array.from(atob(inline.trim()), (c) => c.charCodeAt(0))], { type: "text/javascript" }))
    : new URL(path, document.baseURI).href;
  const trusted = /** @type {string} */ (policy ? policy.createScriptURL(url) : url);
  // A plain script, not a module: from one file the browser starts no module worker.
  return new Worker(trusted);
}
