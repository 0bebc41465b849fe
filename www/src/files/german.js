// The words about files in German.

/** @type {Partial<Record<keyof typeof import("./words.js").fileWords, string>>} */
export const germanFileWords = {
  file_not_opened: "{name} wurde nicht geöffnet, und nichts hat sich geändert.",
  file_empty: "Die Datei ist leer. Dort, woher sie kommt, noch einmal sichern und neu kopieren.",
  file_large: "Sie hat {size}; keine Datei, die hier geöffnet wird, hat mehr als {most}. Prüfen, ob es die richtige ist.",
  file_binary: "Sie enthält keinen Text: ein Bild, ein Dokument oder ein Programm. Die Datei nehmen, wie Bledsteam sie gesichert hat, mit der Endung .json oder .jsonl.",
  file_packed: "Sie ist ein gepackter Ordner (ZIP) oder ein Bürodokument. Erst entpacken; „Kurs“ nimmt einen gepackten Ordner mit Protokollen auch, wie er ist, solange er nicht durch ein Kennwort geschützt oder beschädigt ist.",
  file_page: "Sie ist eine Seite zum Lesen, etwa eine gesicherte Nachbesprechung. Hier öffnet sich, was „Protokoll speichern“ oder „Datei sichern“ im Editor geschrieben hat, mit der Endung .jsonl oder .json.",
  file_words: "Sie ist einfacher Text und keine Datei, die Bledsteam schreibt. Eine mit der Endung .json oder .jsonl nehmen.",
  file_other: "Sie ist JSON, nennt aber keine Art, die Bledsteam liest: das Feld „format“ fehlt oder ist von einem anderen Programm. Die Datei nehmen, wie Bledsteam sie gesichert hat.",
  file_cut: "Sie endet mittendrin, in Zeile {line}: der Rest fehlt, oder am Ende eine Klammer. Noch einmal kopieren oder herunterladen, woher sie kam; ist sie von Hand geändert, das Offene schließen.",
  file_broken: "Ab Zeile {line}, Spalte {column} ist sie nicht mehr zu lesen: {text} … Dort oder kurz davor fehlt ein Komma, ein Anführungszeichen oder eine Klammer, oder eines ist zu viel. Diese Zeile berichtigen oder die Datei nehmen, wie sie gesichert wurde.",
  file_version: "Sie hat die Form {format}; diese Seite liest {reads}. Mit der Ausgabe von Bledsteam öffnen, die sie schrieb, oder eine neuere Seite verwenden.",
};
