// The words about files that cannot be opened: a part of the catalogue in words.js.

export const fileWords = {
  file_not_opened: "{name} was not opened, and nothing has changed.",
  file_empty: "The file is empty. Save it once more where it came from, and copy it again.",
  file_large: "It has {size}; no file that is opened here has more than {most}. Check that it is the right one.",
  file_binary: "It holds no text: a picture, a document or a program. Give the file as Bledsteam saved it, ending in .json or .jsonl.",
  file_packed: "It is a packed folder (ZIP) or an office document. Unpack it first; Review also takes a packed folder of records as it is, unless it is locked by a password or damaged.",
  file_page: "It is a page to read, such as a saved debrief. To be opened here, give what “Save record”, or “Save file” in the editor, wrote, ending in .jsonl or .json.",
  file_words: "It is plain text, and no file that Bledsteam writes. Give one ending in .json or .jsonl.",
  file_other: "It is JSON, but says of no kind that Bledsteam reads: the field “format” is missing, or of another program. Give the file as Bledsteam saved it.",
  file_cut: "It ends in the middle, in line {line}: the rest is missing, or a bracket at the end. Copy or download it once more from where it came; if it was edited by hand, close what is open.",
  file_broken: "From line {line}, column {column} on it can no longer be read: {text} … A comma, a quotation mark or a bracket is missing there or just before, or one too many. Mend that line, or take the file as it was saved.",
  file_version: "It is of the form {format}; this page reads {reads}. Open it with the version of Bledsteam that wrote it, or use a newer page.",
};
