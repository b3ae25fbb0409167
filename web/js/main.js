/** Starts the page: each panel gets its place, the Plot is loaded, the address is followed. */

import { startAddress } from "./address.js";
import { contact, NEEDS_SERVER, ping, ServiceError } from "./api.js";
import { el, replace, show } from "./dom.js";
import { compute } from "./draft/compute.js";
import { lookElsewhere } from "./draft/elsewhere.js";
import { listPlans, NOTHING, openDesk, openPlan } from "./draft/open.js";
import { send } from "./draft/save.js";
import { utcText } from "./format.js";
import { startKeys } from "./keys.js";
import { later } from "./later.js";
import { nextLight, startLight } from "./light.js";
import { startLeaving } from "./leaving.js";
import { startBasis } from "./panels/basis.js";
import { startBring } from "./panels/bring.js";
import { startCautions } from "./panels/cautions.js";
import { startChecks } from "./panels/checks.js";
import { startConflict } from "./panels/conflict.js";
import { startDangers } from "./panels/dangers.js";
import { startDesk } from "./panels/desk.js";
import { startFindings } from "./panels/findings.js";
import { startBanner, startHead } from "./panels/head.js";
import { startInputBar } from "./panels/input_bar.js";
import { startJob } from "./panels/job.js";
import { startLedger } from "./panels/ledger.js";
import { startLimits } from "./panels/limits.js";
import { startMoving } from "./panels/moving.js";
import { startNearest } from "./panels/nearest.js";
import { startPlanState } from "./panels/plan_state.js";
import { problemBox } from "./panels/problem.js";
import { startShip } from "./panels/ship.js";
import { startStepKeys, startSteps } from "./panels/steps.js";
import { startTurnCard } from "./panels/turn_card.js";
import { lookSession, nobody, startWho } from "./panels/who.js";
import { openRevision, readRecord } from "./record/open.js";
import { lookSync, startSync } from "./parcels/sync.js";
import { lookThreads, notesWait, readingNow, startThreadsOpen } from "./threads/open.js";
import { freshness, FRESHNESS_KEYS, set, state, watch } from "./state.js";

const PING_EVERY_MS = 4000;
const SESSION_EVERY_MS = 30_000;

const at = (id) => document.getElementById(id);

/** The pen is there only where people sign in; until it is fetched there is nothing to look at. */
let lookPen = async () => {};
const startPenPart = async () => {
  const part = await import("./panels/pen.js");
  lookPen = part.lookPen;
  return part.startPen;
};

function startPanels() {
  startLight(at("light"));
  startHead({ name: at("plan-name"), demo: at("demo-word"), draft: at("draft-word"), saved: at("saved"), status: at("head-status") });
  startPlanState(at("plan-state"));
  later(at("pen"), ["session"], () => state.session?.mode === "accounts", startPenPart);
  later(at("offer-strip"), ["offering"], () => state.offering, async () => (await import("./panels/offer.js")).startOffer);
  later(at("amend-strip"), ["amending"], () => state.amending, async () => (await import("./panels/amend.js")).startAmend);
  startBanner(at("banner"), utcText);
  startCautions(at("cautions"));
  startDesk(at("desk"));
  startBring(at("panel-route"));
  startShip(at("panel-ship"));
  startLimits(at("panel-limits"));
  startDangers(at("panel-dangers"));
  later(at("panel-alternatives"), ["openPanel"], () => state.openPanel === "alternatives", async () => (await import("./panels/alternatives.js")).startAlternatives);
  later(at("panel-charts"), ["openPanel"], () => state.openPanel === "charts", async () => (await import("./panels/charts.js")).startCharts);
  later(at("panel-marks"), ["openPanel"], () => state.openPanel === "marks", async () => (await import("./panels/marks.js")).startMarks);
  later(at("panel-lines"), ["openPanel"], () => state.openPanel === "lines", async () => (await import("./panels/aid_lines.js")).startAidLines);
  later(at("panel-depth"), ["openPanel"], () => state.openPanel === "depth", async () => (await import("./panels/depth.js")).startDepth);
  later(at("panel-monitoring"), ["openPanel"], () => state.openPanel === "monitoring", async () => (await import("./panels/monitoring.js")).startMonitoring);
  later(at("panel-daylight"), ["openPanel"], () => state.openPanel === "daylight", async () => (await import("./panels/daylight.js")).startDaylight);
  later(at("panel-contingencies"), ["openPanel"], () => state.openPanel === "contingencies", async () => (await import("./panels/contingencies.js")).startContingencies);
  later(at("panel-sources"), ["openPanel"], () => state.openPanel === "sources", async () => (await import("./panels/sources.js")).startSources);
  later(at("panel-schedule"), ["openPanel"], () => state.openPanel === "schedule", async () => (await import("./panels/schedule_inputs.js")).startScheduleInputs);
  later(at("panel-files"), ["openPanel"], () => state.openPanel === "files", async () => (await import("./panels/files.js")).startFiles);
  startInputBar(at("input-bar"));
  startJob(at("job"), at("job-live"));
  startConflict(at("conflict"));
  startSteps(at("steps"));
  startMoving(at("moving"));
  startLedger(at("ledger"));
  startNearest(at("nearest"));
  later(at("all-dangers"), ["dangersTable"], () => state.dangersTable, async () => (await import("./panels/all_dangers.js")).startAllDangers);
  later(at("charted"), ["plan"], () => state.plan?.answer.charts, async () => (await import("./panels/charted.js")).startCharted);
  later(at("rules"), ["plan"], () => state.plan?.answer.limit_set || state.plan?.request.waivers?.length > 0, async () => (await import("./panels/rules.js")).startRules);
  later(at("depths"), ["plan"], () => state.plan?.answer.depths?.keel.length > 0 || state.plan?.answer.depths?.mast.length > 0, async () => (await import("./panels/depths.js")).startDepths);
  later(at("sky"), ["plan"], () => state.plan?.answer.schedule?.sun, async () => (await import("./panels/sky.js")).startSky);
  later(at("schedule"), ["plan"], () => state.plan?.answer.schedule, async () => (await import("./panels/schedule.js")).startSchedule);
  startFindings(at("findings"));
  startChecks(at("checks"));
  startBasis(at("basis"));
  startTurnCard(at("turn-card"));
  later(at("record"), ["record"], () => state.record, async () => (await import("./panels/record.js")).startRecord);
  later(at("review"), ["review"], () => state.review, async () => (await import("./panels/review.js")).startReview);
  later(at("threads"), ["threads"], readingNow, async () => (await import("./panels/threads.js")).startThreads);
  startThreadsOpen();
  later(at("two-sides"), ["sync"], () => state.sync?.conflicts.length > 0, async () => (await import("./panels/two_sides.js")).startTwoSides);
  startSync();
  later(at("parcels"), ["desk"], () => state.desk.status !== "idle", async () => (await import("./panels/parcels.js")).startParcels);
  later(at("people"), ["session", "place", "desk"], () => state.session?.signed_in && state.place.kind === "desk" && state.desk.status !== "idle", async () => (await import("./panels/people.js")).startPeople);
}

/** The Plot is an extra: where it cannot be loaded, the Ledger stands alone and says so. */
async function startPlot() {
  try {
    const { startPlot: start } = await import("./map/plot.js");
    start({ host: at("plot"), frame: at("plot-frame"), tools: at("plot-tools"), foot: at("plot-foot") });
  } catch (error) {
    at("plot-foot").textContent = `The Plot could not be started (${error.message}). The Ledger is complete without it.`;
  }
}

/** Notices within seconds when the server stops answering; when it is back, what waits is sent. */
function watchContact() {
  contact.reached = () => {
    if (!state.unreachableSince) return;
    set({ unreachableSince: null });
    setTimeout(resume);
  };
  contact.lost = () => { if (!state.unreachableSince) set({ unreachableSince: new Date() }); };
  const look = async () => {
    if (document.hidden) return;
    await ping();
    if (state.unreachableSince) return;
    if (state.session?.signed_in) await lookSession(SESSION_EVERY_MS);
    await lookElsewhere();
    await lookPen();
    await readRecord();
    await lookThreads();
    await lookSync();
  };
  contact.unknown = () => lookSession();
  setInterval(look, PING_EVERY_MS);
  document.addEventListener("visibilitychange", look);
}

/** The review is fetched when it is first opened. */
const openReview = async (place) => {
  set({ ...NOTHING, place, review: { status: "working" } });
  try {
    const { openReview: open } = await import("./review/open.js");
    if (state.place === place) open(place);
  } catch (error) {
    if (state.place === place) set({ review: { status: "failed", error: new ServiceError({ title: "The review was not fetched", detail: error.message, unreachable: true }) } });
  }
};

/** Notes that wait in this browser are sent; what sends them is fetched only where there are any. */
async function sendNotes() {
  if (!notesWait()) return;
  const outbox = await import("./threads/outbox.js").catch((error) => { console.info(`Notes wait: ${error.message}`); }); // the next answer of the server tries again
  await outbox?.sendNotes();
}

/** Opens what the address names once more. */
function openPlace() {
  const { kind, id, revision } = state.place;
  if (kind === "review") { openReview(state.place); return; }
  if (revision) openRevision(id, revision); else openPlan(id);
}

/** What was given up while the server did not answer is done now. */
function resume() {
  const { place, desk, openError, job, moving, notice } = state;
  if (notice?.includes(NEEDS_SERVER)) set({ notice: null });
  if (moving?.problem) set({ moving: { ...moving, problem: null } });
  if (place.kind === "desk" && desk.status === "failed") listPlans();
  else if (openError?.unreachable || state.review?.error?.unreachable) openPlace();
  send();
  sendNotes();
  if (job.status === "failed" && job.error.unreachable && state.save.status === "saved") compute();
}

/** The state of the values stands on the work area, for the eye (hatch, word) and for tests. */
function markFreshness() {
  watch([...FRESHNESS_KEYS, "frozen"], () => {
    at("work").dataset.state = freshness();
    at("turn-card").dataset.state = freshness();
  });
  watch(["inputs", "place", "job", "review"], () => { 
    const { inputs, place, review } = state;
    document.title = [place.kind === "review" && "Review", inputs?.route.name ?? review?.plan?.name, place.revision && `r${place.revision}`, "wheelover"].filter(Boolean).join(" - ");
  });
}

/** Which parts of the page the address shows. */
function showPlace() {
  watch(["place", "turnCard", "openError", "draft", "frozen"], () => {
    const plan = state.place.kind === "plan";
    const opened = plan && Boolean(state.draft || state.frozen);
    show(at("work"), opened && !state.turnCard);
    show(at("turn-card"), opened && Boolean(state.turnCard));
    show(at("input-bar"), opened && !state.frozen);
    replace(at("open-problem"), plan && state.openError && [
      problemBox(state.place.revision ? `r${state.place.revision} of this plan was not opened` : "This plan was not opened", state.openError, openPlace),
      el("p", {}, el("a", { href: "/", "data-go": true }, "To the Desk"))]);
  });
}

/** Links within the page move view and focus but leave the address, which names what is open, alone. */
function followLinks() {
  document.addEventListener("click", (event) => {
    const link = event.target.closest('a[href^="#"]:not([data-go])');
    const target = link && at(link.getAttribute("href").slice(1));
    if (!target) return;
    event.preventDefault();
    if (!target.hasAttribute("tabindex")) target.tabIndex = -1;
    target.focus({ preventScroll: true });
    target.scrollIntoView({ block: link.classList.contains("finding-link") ? "center" : "start" });
  });
}

startPanels();
watchContact();
markFreshness();
showPlace();
startKeys({ ledger: at("ledger"), plot: at("plot"), findings: at("findings"), card: at("turn-card") }, () => nextLight(at("light")));
startStepKeys();
startLeaving();
startPlot();
followLinks();
startWho(at("who"));
later(at("sign-in"), ["session"], () => nobody() || state.session?.signed_in?.locked, async () => {
  const { startSignIn } = await import("./panels/sign_in.js");
  return (host) => startSignIn(host, send);
});
await lookSession();
sendNotes();
if (!document.body.hasAttribute("data-nobody")) startAddress({ desk: openDesk, plan: openPlan, revision: openRevision, review: openReview });
