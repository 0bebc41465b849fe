// Faults at their fields: each stands under the field whose place it names, or under the nearest that is shown.

/** @typedef {import("../types.js").Fault} Fault */

/** A place without its last part. @param {string} place */
const outer = (place) => place.replace(/(\.[^.[\]]+|\[\d+\]|^[^.[\]]+)$/, "");

/** @param {HTMLElement} sheet */
export function clearFaults(sheet) {
  for (const slot of sheet.querySelectorAll(".ed-fault")) slot.textContent = "";
  for (const field of sheet.querySelectorAll("[data-faulty]")) field.removeAttribute("data-faulty");
  for (const control of sheet.querySelectorAll("[aria-invalid]")) {
    control.removeAttribute("aria-invalid");
    control.removeAttribute("aria-describedby");
  }
}

/**
 * Shows the faults that belong to what is shown; gives the element of the first.
 * @param {HTMLElement} sheet
 * @param {Fault[]} faults
 * @returns {Element | null}
 */
export function showFaults(sheet, faults) {
  clearFaults(sheet);
  /** @type {Element | null} */
  let first = null;
  for (const fault of faults) {
    /** @type {Element | null} */
    let at = null;
    for (let place = fault.place.split(/[\s:]/)[0] ?? ""; place && !at; place = outer(place))
      at = sheet.querySelector(`[data-place="${CSS.escape(place)}"]`);
    const slot = at?.querySelector(".ed-fault");
    if (!at || !slot) continue;
    first ??= at;
    at.setAttribute("data-faulty", "yes");
    slot.textContent = [slot.textContent, `${fault.message} ${fault.remedy}`].filter(Boolean).join(" ");
    const control = at.matches(".ed-field") ? at.querySelector("input, select, textarea") : null;
    if (control) {
      control.setAttribute("aria-invalid", "true");
      control.setAttribute("aria-describedby", slot.id);
    }
  }
  return first;
}
