// Boot: bring the model, build the views, and keep one animation frame that reads the one state.

import { createAlarms } from "./alarms/alarms.js";
import { createWatch } from "./alarms/watch.js";
import { App } from "./app.js";
import { createBalance } from "./balance/balance.js";
import { createCards } from "./cards.js";
import { createClimb } from "./climb/climb.js";
import { createDesk } from "./desk/desk.js";
import { h, show } from "./dom.js";
import { openPlant } from "./engine.js";
import { createEditor, writeOn } from "./editor/editor.js";
import { createShared } from "./editor/shared.js";
import { createEvents } from "./events.js";
import { createExercise } from "./exercise/exercise.js";
import { showLocks } from "./exercise/locks.js";
import { asFault } from "./fault.js";
import { createOwn, openOwn } from "./own/own.js";
import { createPaperHead, startPaper } from "./paper/paper.js";
import { createFooter } from "./footer.js";
import { createHeader } from "./header.js";
import { createHelp } from "./help.js";
import { onLanguage, startLanguage } from "./language.js";
import { createInside } from "./inside/inside.js";
import { keepPage } from "./kept.js";
import { learning } from "./learning/learning.js";
import { startKeys } from "./keys.js";
import { createReview } from "./review/review.js";
import { createSheet } from "./sheet/sheet.js";
import { updateSignals } from "./signals.js";
import { createStopped } from "./stopped.js";
import { startTheme } from "./theme.js";
import { createTotals } from "./totals.js";
import { createTrend } from "./trend.js";
import { createTrends } from "./trends/trends.js";
import { createMisplaced } from "./misplaced.js";
import { placeTrend } from "./place.js";
import { WORKING, createRail, inAddress } from "./views.js";
import { createPanel } from "./working/panel.js";
import { arrangeStops, startPicking } from "./working/pick.js";
import { say } from "./words.js";

/** Numbers change this often (ms): faster could not be read. */
const READABLE_MS = 220;
/** Numbers that came into view by other ways than a choice get their stop of the Tab key this soon (ms). */
const ARRANGE_MS = 1000;

/**
 * Builds every view anew around the running plant.
 * @param {App} app
 * @param {AbortSignal} signal  ends this building: another language builds another
 */
function build(app, signal) {
  const header = createHeader(app);
  const rail = createRail(app);
  const totals = createTotals(app);
  const climb = createClimb(app);
  const trend = createTrend(app);
  const cards = createCards(app);
  const events = createEvents(app);
  const stopped = createStopped(app);
  const working = createPanel(app);
  const watch = createWatch(app);
  const paper = createPaperHead();
  document.title = say("document_title", { plant: app.manifest.plant.title });
  const stage = h("div", { class: "stage" }, climb.el, trend.el);
  // The picked heater's card and what happened stand beside every view of the running train.
  const panel = h("div", { class: "panel" }, cards.el, events.el);
  /** Where each view stands; all but the first are filled when first looked at: nobody waits for them before. */
  const places = {
    climb: h("main", { class: "climbs", "aria-label": say("main") }, stage),
    sheet: h("main", { class: "sheets", "aria-label": say("view_sheet") }),
    heater: h("main", { class: "insides", "aria-label": say("inside") }),
    trends: h("main", { class: "trends-main", "aria-label": say("view_trends") }),
    balance: h("main", { class: "balance", "aria-label": say("balance") }),
    alarms: h("main", { class: "alarms-main", "aria-label": say("view_alarms") }),
    editor: h("main", { class: "editor-main", "aria-label": say("view_editor") }),
    exercise: h("main", { class: "exercise-main", "aria-label": say("view_exercise") }),
    desk: h("main", { class: "desk-main", "aria-label": say("desk") }),
    review: h("main", { class: "review-main", "aria-label": say("view_review") }),
  };
  const makers = {
    sheet: createSheet,
    heater: createInside,
    trends: createTrends,
    balance: createBalance,
    alarms: createAlarms,
    editor: createEditor,
    exercise: createExercise,
    desk: createDesk,
    review: createReview,
  };
  /** @type {Partial<Record<keyof typeof makers, { el: HTMLElement, drawn: () => boolean, update: (slow: boolean) => void }>>} */
  const made = {};
  document.body.replaceChildren(
    paper,
    header.el,
    rail.el,
    totals.el,
    ...Object.values(places),
    createFooter(app, signal),
    createHelp(),
    working.el,
    watch.el,
    createShared(signal),
    createOwn(app, writeOn),
    createMisplaced(app, signal),
  );
  startKeys(app, (action) => cards.act(action), working.open, signal);
  startPicking(working, signal);

  function turn() {
    const { view, of } = inAddress();
    app.show(view);
    if (view === "heater") app.pick(of && app.store.heater(of) ? of : app.picked);
    document.body.dataset.view = view;
    for (const [name, place] of Object.entries(places)) show(place, name === view);
    show(totals.el, view === "climb");
    const place = places[view];
    place.prepend(stopped.el);
    if (view !== "climb" && !made[view]) place.append((made[view] = makers[view](app)).el);
    if (WORKING.has(view)) place.append(panel);
  }
  addEventListener("hashchange", turn, { signal });
  turn();

  let slowAt = -Infinity;
  let drawn = "";
  /** What was chosen, and when, as numbers last got their stops of the Tab key. */
  let arranged = { version: -1, at: -Infinity };
  /** @param {number} now */
  function frame(now) {
    if (signal.aborted) return;
    requestAnimationFrame(frame);
    const due = now - slowAt >= READABLE_MS;
    // What asks for places comes first: nothing has moved since the last picture, so that nothing is laid out for it.
    if (due && app.view === "climb") placeTrend(stage, climb, trend.el);
    if (due && (app.version !== arranged.version || now - arranged.at > ARRANGE_MS)) {
      arranged = { version: app.version, at: now };
      arrangeStops();
    }
    app.advance(now);
    picture(now, due);
  }
  /** Draws what is looked at. @param {number} now @param {boolean} due  figures that are read change now */
  function picture(now, due) {
    const key = `${app.store.version} ${app.version}`;
    const fresh = key !== drawn;
    const slow = due || (fresh && !app.clock.running);
    if (slow) slowAt = now;
    drawn = key;
    if (slow) updateSignals(app);
    if (slow) showLocks(app);
    if (slow) learning?.look(app);
    working.update(slow);
    header.update(slow);
    rail.update();
    if (slow) {
      watch.update(now);
      rail.calls(watch.count());
    }
    stopped.update();
    const { view } = app;
    if (WORKING.has(view)) {
      cards.update(slow);
      events.update();
    }
    if (view === "climb") {
      totals.update(slow);
      if (fresh || slow) climb.update(slow);
      trend.update(slow);
    } else made[view]?.update(slow);
    const seen = view === "climb" ? climb.drawn() : made[view]?.drawn();
    if (app.clock.running && seen) document.body.dataset.ready = "true";
  }
  requestAnimationFrame(frame);
  startPaper(app, paper, picture, signal);
}

startLanguage();
startTheme();
document.body.replaceChildren(h("p", { class: "starting", role: "status", text: say("starting") }));
try {
  const opened = await openPlant();
  const app = new App(opened);
  let building = new AbortController();
  build(app, building.signal);
  // In a learning package only the exercise runs.
  if (!learning) app.run();
  if (opened.missing !== undefined) openOwn({ missing: opened.missing });
  // After the first picture: keeping the page is no part of starting it.
  setTimeout(keepPage, 1000);
  const anew = () => {
    building.abort();
    building = new AbortController();
    build(app, building.signal);
  };
  app.onHandle = anew;
  void learning?.start(app);
  onLanguage(() => {
    anew();
    const choice = document.querySelector("select.language");
    if (choice instanceof HTMLElement) choice.focus();
  });
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
