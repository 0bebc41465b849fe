// The same in German.

/** @type {Partial<Record<keyof typeof import("./words.js").localWords, string>>} */
export const germanLocalWords = {
  local: "Von Hand am Ventil",
  local_note: "Jemand geht hin und dreht das Handrad, das dauert Minuten. Danach bleibt das Ventil in Hand, was auch Regelung oder Schutz verlangen. In der Anlage: nur Befugte, nach deren Vorschriften, mit Freischaltung und Schildern.",
  local_valve: "Ventil von {heater}, das von Hand gedreht wird",
  local_to: "Drehen auf, in Prozent offen: {heater}",
  local_send: "Jemanden schicken",
  local_send_title: "Geht hin, dreht das Ventil und hält es",
  local_left: "Unterwegs oder am Drehen, noch",
  local_back: "Zurückgeben",
  local_back_title: "An den Antrieb zurückgeben: {valve}",
  local_count: "{n} in Hand",
  local_start_up_vent: "Anfahrentlüftung",
  local_line_drain: "Anzapfentwässerung",
  local_bypass: "Speisewasser-Umgehung",
};
