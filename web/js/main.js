/** Starts the page: each panel gets its place, the Plot is loaded, the address is looked at. */

import { openDemonstration } from "./actions.js";
import { contact, ping } from "./api.js";
import { utcText } from "./format.js";
import { startKeys } from "./keys.js";
import { nextLight, startLight } from "./light.js";
import { startBasis } from "./panels/basis.js";
import { startBring } from "./panels/bring.js";
import { startCautions } from "./panels/cautions.js";
import { startChecks } from "./panels/checks.js";
import { startDangers } from "./panels/dangers.js";
import { startFindings } from "./panels/findings.js";
import { startBanner, startHead } from "./panels/head.js";
import { startInputBar } from "./panels/input_bar.js";
import { startJob } from "./panels/job.js";
import { startLedger } from "./panels/ledger.js";
import { startLimits } from "./panels/limits.js";
import { startNearest } from "./panels/nearest.js";
import { startShip } from "./panels/ship.js";
import { freshness, set, state, watch } from "./state.js";

const PING_EVERY_MS = 4000;

const at = (id) => document.getElementById(id);

function startPanels() {
  startLight(at("light"));
  startHead({ name: at("plan-name"), demo: at("demo-word"), status: at("head-status") });
  startBanner(at("banner"), utcText);
  startCautions(at("cautions"));
  startBring(at("panel-route"));
  startShip(at("panel-ship"));
  startLimits(at("panel-limits"));
  startDangers(at("panel-dangers"));
  startInputBar(at("input-bar"));
  startJob(at("job"), at("job-live"));
  startLedger(at("ledger"));
  startNearest(at("nearest"));
  startFindings(at("findings"));
  startChecks(at("checks"));
  startBasis(at("basis"));
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

/** Notices within seconds when the server stops answering. */
function watchContact() {
  contact.reached = () => { if (state.unreachableSince) set({ unreachableSince: null }); };
  contact.lost = () => { if (!state.unreachableSince) set({ unreachableSince: new Date() }); };
  setInterval(() => { if (!document.hidden) ping(); }, PING_EVERY_MS);
}

/** The state of the values stands on the work area, for the eye (hatch, word) and for tests. */
function markFreshness() {
  watch(["plan", "dirty", "unreachableSince", "job"], () => {
    at("work").dataset.state = freshness();
  });
  watch(["job"], () => { document.title = state.plan?.answer.name ? `${state.plan.answer.name} - wheelover` : "wheelover"; });
}

/** Links within the page move view and focus but leave the address, which names what is open, alone. */
function followLinks() {
  document.addEventListener("click", (event) => {
    const link = event.target.closest('a[href^="#"]');
    const target = link && at(link.getAttribute("href").slice(1));
    if (!target) return;
    event.preventDefault();
    if (!target.hasAttribute("tabindex")) target.tabIndex = -1;
    target.focus({ preventScroll: true });
    target.scrollIntoView({ block: link.classList.contains("finding-link") ? "center" : "start" });
  });
}

function followAddress() {
  const follow = () => { if (location.hash === "#/demonstration" && !state.inputs.demonstration) openDemonstration(); };
  window.addEventListener("hashchange", follow);
  follow();
}

startPanels();
watchContact();
markFreshness();
startKeys({ ledger: at("ledger"), plot: at("plot"), findings: at("findings") }, () => nextLight(at("light")));
startPlot();
followLinks();
followAddress();
