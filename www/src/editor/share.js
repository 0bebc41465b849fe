// An exercise in an address: compressed into the part behind the #, which no browser sends to any server.

import { say } from "../words.js";

/** Longest part behind the # that is offered [characters]: what mail programs and chats pass on whole. */
export const LONGEST = 8000;
/** Largest exercise that a link may hold when unpacked [bytes], as of a file. */
const LARGEST = 1 << 18;
/** What such a part begins with. */
const MARK = "#shared/";

/** @param {Uint8Array} bytes */
const toText = (bytes) => btoa(String.fromCharCode(...bytes)).replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");
/** @param {string} text */
const toBytes = (text) => Uint8Array.from(atob(text.replaceAll("-", "+").replaceAll("_", "/")), (c) => c.charCodeAt(0));

/**
 * What comes out of a stream, as long as it is not more than `most`.
 * @param {ReadableStream<Uint8Array>} stream
 * @param {number} most
 * @returns {Promise<Uint8Array | null>}
 */
async function gathered(stream, most) {
  const reader = stream.getReader();
  /** @type {Uint8Array[]} */
  const parts = [];
  let size = 0;
  for (;;) {
    const { done, value } = await reader.read();
    if (done) break;
    size += value.length;
    if (size > most) {
      await reader.cancel();
      return null;
    }
    parts.push(value);
  }
  const whole = new Uint8Array(size);
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}

/** @param {Uint8Array<ArrayBuffer>} bytes @param {CompressionStream | DecompressionStream} through @param {number} most */
const passed = (bytes, through, most) =>
  gathered(
    new Blob([bytes]).stream().pipeThrough(/** @type {ReadableWritablePair<Uint8Array, any>} */ (/** @type {unknown} */ (through))),
    most,
  );

/**
 * The part of an address that holds an exercise, or why there is none.
 * @param {string} json
 * @returns {Promise<{ hash: string } | { refused: string }>}
 */
export async function pack(json) {
  if (typeof CompressionStream === "undefined") return { refused: say("ed_share_no_stream") };
  const bytes = new TextEncoder().encode(JSON.stringify(JSON.parse(json)));
  const packed = await passed(bytes, new CompressionStream("deflate-raw"), LARGEST);
  const hash = packed ? MARK + toText(packed) : "";
  if (!packed || hash.length > LONGEST) {
    const n = hash ? hash.length : LARGEST;
    return { refused: say("ed_share_too_long", { n, most: LONGEST }) };
  }
  return { hash };
}

/** Whether an address holds an exercise. */
export const isShared = () => location.hash.startsWith(MARK);

/**
 * The exercise that an address holds, as the text of its file, or why it cannot be read.
 * @param {string} hash
 * @returns {Promise<{ json: string } | { refused: string }>}
 */
export async function unpack(hash) {
  if (typeof DecompressionStream === "undefined") return { refused: say("ed_share_no_stream") };
  try {
    const bytes = await passed(toBytes(hash.slice(MARK.length)), new DecompressionStream("deflate-raw"), LARGEST);
    if (!bytes) return { refused: say("ed_shared_too_large", { most: LARGEST }) };
    return { json: new TextDecoder("utf-8", { fatal: true }).decode(bytes) };
  } catch {
    return { refused: say("ed_shared_damaged") };
  }
}
