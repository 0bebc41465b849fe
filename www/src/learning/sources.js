// The page's own files, to be packed: out of the document where it is one file, from the server it came from otherwise.

import { MODULE, MODULE_ELEMENT } from "../engine.js";
import { say } from "../words.js";
import { ELEMENT } from "./packed.js";

/** Scripts that the page names only when it starts them. */
const WORKER = "src/worker.js";

/** What every page of ours must not do, as the server says it; a package has to say it itself. */
const RULES =
  "default-src 'none'; base-uri 'none'; form-action 'none'; require-trusted-types-for 'script'; trusted-types app; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' data:; worker-src 'self' blob:";

/** @param {string} text */
const attribute = (text) => text.replaceAll("&", "&amp;").replaceAll('"', "&quot;");
/** @param {string} carried  what the page carries, as base64 */
const element = (carried) => `<script type="text/plain" id="${ELEMENT}">${carried}</script>`;
/** @param {string} rules */
const policy = (rules) => `<meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="${attribute(rules)}">\n`;

/** The page as one file once more: its head holds all there is, and what runs has changed only the body. @param {string} carried @param {string} connect */
function single(carried, connect) {
  const said = document.head.querySelector('meta[http-equiv="Content-Security-Policy"]')?.getAttribute("content") ?? "";
  const parts = [...document.head.children].filter((el) => {
    if (el instanceof HTMLMetaElement) return el.httpEquiv.toLowerCase() !== "content-security-policy" && !el.hasAttribute("charset");
    return el.id !== ELEMENT;
  });
  // Text of scripts and styles comes out as it went in, so that the hashes in the policy still name it.
  const head = parts.map((el) => el.outerHTML).join("\n");
  const rules = connect ? `${said}; connect-src ${connect}` : said;
  const text = `<!doctype html>\n<html lang="en">\n<head>${policy(rules)}${element(carried)}\n${head}\n</head>\n<body></body>\n</html>\n`;
  return { "index.html": new TextEncoder().encode(text) };
}

/** @param {string} path */
async function fetched(path) {
  const answer = await fetch(new URL(path, document.baseURI));
  if (!answer.ok) throw { code: "not_read", place: path, message: say("learn_cannot"), remedy: say("learn_cannot_remedy") };
  return new Uint8Array(await answer.arrayBuffer());
}

/** The page as its server gives it. @param {string} carried @param {string} connect */
async function served(carried, connect) {
  /** @type {Record<string, Uint8Array>} */
  const files = {};
  const named = [...document.head.querySelectorAll("script[src], link[rel=stylesheet], link[rel=icon]")].map((el) => el.getAttribute("src") ?? el.getAttribute("href") ?? "");
  for (const path of [...named, WORKER, MODULE]) files[path] = await fetched(path);
  const index = new TextDecoder().decode(await fetched("."));
  const at = index.indexOf("<head>") + "<head>".length;
  const rules = `${RULES}; connect-src 'self'${connect ? ` ${connect}` : ""}`;
  // It is not installed from a package, so what a browser would install is not named.
  const rest = index.slice(at).replace(/<link rel="manifest"[^>]*>/, "");
  files["index.html"] = new TextEncoder().encode(index.slice(0, at) + policy(rules) + element(carried) + rest);
  return files;
}

/**
 * Every file of a page that carries something, by its path.
 * @param {string} carried
 * @param {string} connect  what it may speak to besides its own server
 * @returns {Promise<Record<string, Uint8Array>>}
 */
export async function sources(carried, connect) {
  try {
    return document.getElementById(MODULE_ELEMENT) ? single(carried, connect) : await served(carried, connect);
  } catch (thrown) {
    if (thrown && typeof thrown === "object" && "code" in thrown) throw thrown;
    throw { code: "not_read", place: "", message: `${say("learn_cannot")} (${thrown})`, remedy: say("learn_cannot_remedy") };
  }
}
