// Hands something to the reader as a file, without asking any server.

/**
 * @param {string} name
 * @param {Blob} content
 */
export function download(name, content) {
  const url = URL.createObjectURL(content);
  const link = document.createElement("a");
  link.href = url;
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}

/** A table as a file. The mark tells spreadsheets that degree signs are UTF-8. @param {string} name @param {string} text */
export const downloadTable = (name, text) =>
  download(name, new Blob(["\uFEFF", text], { type: "text/csv;charset=utf-8" }));

/** A cell of such a table (RFC 4180). @param {string | number} cell */
export function quoted(cell) {
  const text = String(cell);
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
