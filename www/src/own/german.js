// The words about plants of the reader's own in German.

/** @type {Partial<Record<keyof typeof import("./words.js").ownWords, string>>} */
export const germanOwnWords = {
  own_choose: "Eigene Anlagendatei …",
  own_group: "Eigene",
  own_shipped: "Mitgeliefert",
  own_title: "Eine eigene Anlage",
  own_lead:
    "Eine Anlagendatei öffnen oder irgendwo auf dieser Seite ablegen. Die Anlage läuft wie eine mitgelieferte und nimmt Übungen auf; ihre Datei bleibt in diesem Browser. Eine Wärmebilanz allein genügt: was zum Laufen fehlt, lässt sich ergänzen.",
  own_open: "Anlagendatei öffnen …",
  own_kept: "In diesem Browser aufbewahrt",
  own_forget: "Vergessen",
  own_forgotten: "{title} ist hier vergessen; die Datei selbst bleibt, wo sie liegt.",
  own_show: "Öffnen",
  own_run: "Laufen lassen",
  own_write: "Übung dazu schreiben",
  own_take: "Für diese Übung nehmen",
  own_save: "Anlagendatei sichern",
  own_facts: "{heaters} Vorwärmer, im Auslegungspunkt {output} brutto; Kurzname {name}.",
  own_faults: "{file} wurde nicht geöffnet, und nichts hat sich geändert. Die Anlage hat Fehler: {n}.",
  own_mend: "In der Datei beheben und sie neu öffnen. Felder, Einheiten und Bedeutung stehen im Schema, das „bledsteam schema“ ausgibt.",
  own_bare: "Die Datei {file} enthält eine Wärmebilanz; zum Laufen fehlt: {places}. Mäntel, Rohre, Ventile und Pumpen üblicher Maße lassen sich ergänzen; bekannte wirkliche Maße gehören in die Datei.",
  own_equip: "Übliches ergänzen",
  own_equipped: "Ergänzt wurden Mäntel, Rohre, Ventile und Pumpen üblicher Maße: nicht die der wirklichen Anlage. Die Datei sichern, um die wirklichen einzutragen.",
  own_unfit: "{file} wurde nicht geöffnet, und nichts hat sich geändert. Das Übliche, aus den Strömen der Bilanz gerechnet, ergibt keine Anlage, die läuft; Fehler: {n}. Prüfen, ob die Ströme die eines ganzen Blocks sind.",
  own_missing: "Die Anlage „{name}“ hat dieser Browser nicht, oder er kann sie nicht mehr lesen. Ihre Datei neu öffnen; inzwischen läuft eine mitgelieferte.",
};
