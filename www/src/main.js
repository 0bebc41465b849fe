// Boot: bring the model, build the views, and keep one animation frame that reads the one state.

import { App, asFault } from "./app.js";
import { createBalance } from "./balance/balance.js";
import { createCards } from "./cards.js";
import { createClimb } from "./climb/climb.js";
import { h, show } from "./dom.js";
import { openPlant } from "./engine.js";
import { createEvents } from "./events.js";
import { createFooter } from "./footer.js";
import { createHeader } from "./header.js";
import { createHelp } from "./help.js";
import { startKeys } from "./keys.js";
import { updateSignals } from "./signals.js";
import { createStopped } from "./stopped.js";
import { startTheme } from "./theme.js";
import { createTotals } from "./totals.js";
import { createTrend } from "./trend.js";
import { placeTrend } from "./place.js";
import { viewInAddress } from "./views.js";
import { say } from "./words.js";

/** Numbers change this often (ms): faster could not be read. */
const READABLE_MS = 220;

/** @param {App} app */
function build(app) {
  const header = createHeader(app);
  const totals = createTotals(app);
  const climb = createClimb(app);
  const trend = createTrend(app);
  const cards = createCards(app);
  const events = createEvents(app);
  const stopped = createStopped(app);
  document.title = say("document_title", { plant: app.manifest.plant.title });
  const stage = h("div", { class: "stage" }, climb.el, trend.el);
  const plant = h("main", { "aria-label": say("main") }, stage, h("div", { class: "panel" }, cards.el, events.el));
  const paper = h("main", { class: "balance", "aria-label": say("balance") });
  /** Made when it is first looked at: nobody waits for it before. @type {ReturnType<typeof createBalance> | null} */
  let balance = null;
  document.body.replaceChildren(header.el, totals.el, plant, paper, createFooter(app), createHelp());
  startKeys(app, (action) => cards.act(action));

  function turn() {
    app.show(viewInAddress());
    const climbs = app.view === "climb";
    document.body.dataset.view = app.view;
    show(plant, climbs);
    show(totals.el, climbs);
    show(paper, !climbs);
    (climbs ? plant : paper).prepend(stopped.el);
    if (climbs) return;
    if (!balance) paper.append((balance = createBalance(app)).el);
  }
  addEventListener("hashchange", turn);
  turn();

  let slowAt = -Infinity;
  let drawn = "";
  /** @param {number} now */
  function frame(now) {
    requestAnimationFrame(frame);
    app.advance(now);
    const key = `${app.store.version} ${app.version}`;
    const fresh = key !== drawn;
    const slow = now - slowAt >= READABLE_MS || (fresh && !app.clock.running);
    if (slow) slowAt = now;
    drawn = key;
    if (slow) updateSignals(app);
    header.update(slow);
    stopped.update();
    if (app.view === "climb") {
      totals.update(slow);
      cards.update(slow);
      events.update();
      if (fresh || slow) climb.update(slow);
      if (slow) placeTrend(stage, climb, trend.el);
      trend.update(slow);
    } else balance?.update();
    if (app.clock.running && (climb.drawn() || balance?.drawn())) document.body.dataset.ready = "true";
  }
  app.run();
  requestAnimationFrame(frame);
}

startTheme();
document.body.replaceChildren(h("p", { class: "starting", role: "status", text: say("starting") }));
try {
  build(new App(await openPlant()));
} catch (thrown) {
  const fault = asFault(thrown);
  document.body.replaceChildren(
    h(
      "main",
      { class: "starting" },
      h("h1", { text: say("cannot_start") }),
      h("p", { text: fault.place ? `${fault.place}: ${fault.message}` : fault.message }),
      h("p", { text: fault.remedy }),
    ),
  );
}
