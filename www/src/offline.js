// The service worker: keeps the whole page of one build, so that it opens again without a network.
//
// The build puts in what it made: every file with the hash of its content. A build is kept wholly or not at all, since files
// of two builds do not fit each other; the next one waits until no page of this one is open, or until the reader takes it.

/** @typedef {{ waitUntil(work: Promise<unknown>): void }} Extendable */
/** @typedef {Extendable & { request: Request, respondWith(answer: Promise<Response>): void }} Fetching */
const worker = /** @type {any} */ (globalThis);
const scope = new URL(worker.registration.scope);
/** Caches are the origin's, which other copies of the page may share. */
const own = `bledsteam ${scope.pathname} `;
const current = own + BUILD;

worker.addEventListener("install", (/** @type {Extendable} */ event) => {
  // Past the browser's own cache, and refused if it is not what this build made.
  const wanted = Object.entries(FILES).map(([path, hash]) => new Request(path, { cache: "no-cache", integrity: `sha256-${hash}` }));
  const keep = async () => {
    try {
      await (await caches.open(current)).addAll(wanted);
    } catch (why) {
      await caches.delete(current);
      throw why;
    }
  };
  event.waitUntil(keep());
});

worker.addEventListener("activate", (/** @type {Extendable} */ event) => {
  const old = async () => (await caches.keys()).filter((name) => name.startsWith(own) && name !== current);
  event.waitUntil(old().then((names) => Promise.all([worker.clients.claim(), ...names.map((name) => caches.delete(name))])));
});

worker.addEventListener("message", (/** @type {MessageEvent} */ { data }) => data === "take" && worker.skipWaiting());

worker.addEventListener("fetch", (/** @type {Fetching} */ event) => {
  const { origin, pathname } = new URL(event.request.url);
  const path = pathname.slice(scope.pathname.length).replace(/^(index\.html)?$/, "./");
  const here = origin === scope.origin && pathname.startsWith(scope.pathname) && path in FILES;
  if (!here || event.request.method !== "GET") return;
  const kept = async () => (await (await caches.open(current)).match(path)) ?? fetch(event.request);
  event.respondWith(kept());
});
