// What `cargo xtask build` puts into the service worker.

/** Names the build: a hash over all its files. */
declare const BUILD: string;
/** Every file of the built page, relative to it, with the SHA-256 of its content in base 64. */
declare const FILES: Record<string, string>;
