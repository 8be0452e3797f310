// Start: take up the open walk by a first look, draw, then open the phone's memory, and only then think of the network.

import { looking, reach } from "./looking";
import { render } from "preact";
import "../style/tokens.css";
import "../style/parts.css";
import "../style/pages.css";
import "../style/bench.css";
import "../style/small.css";
import "../style/plan.css";
import "../style/large.css";
import "../style/words.css";
import { lateStore, newSigns, type FirstLook, type MishoStore, type Signs } from "../store";
import { makeSync } from "../sync";
import { App } from "./app";
import { faultOf, makeDesk, refresh, type Desk } from "./desk";
import { askKept, registerWorker } from "./install";
import { followLanguage, notThere } from "./language";
import { loadSoon } from "./later";
import "./leaving";
import { followLeaving, inSight } from "./lastSeen";
import { begin, place } from "./nav";
import { buzz } from "./senses";
import { wear } from "./settings";
import { betweenTaps, painted } from "./thumb";

/** The feed may bring species, or a new name for this phone. */
function follow(desk: Desk): void {
  desk.walk.said.subscribe((said) => said && buzz("saved"));
  desk.sync.status.subscribe((status) => {
    if (status.state !== "done") return;
    if (status.pushed) desk.handed.value = status;
    void refresh(desk).catch((error: unknown) => (desk.fault.value = faultOf(error)));
  });
}

/** Read the whole memory, side by side: the bench takes the longest. */
async function learn(store: MishoStore, ...reading: Promise<unknown>[]): Promise<void> {
  await Promise.all([...reading, store.refresh()]);
}

/** What is known before the memory is read. Gives the reading of the bench, which waits until all this is `shown`. */
function take(look: FirstLook, desk: Desk, signs: Signs, shown: Promise<void>): Promise<unknown> {
  desk.me.value = look.me;
  desk.species.value = look.species;
  signs.waiting.value = look.waiting;
  signs.photos.waiting.value = look.photos;
  return desk.walk.begin(look, shown);
}

function show(root: HTMLElement, desk: Desk, shown: Promise<void>): void {
  const walk = desk.walk.state.value;
  if (walk && place.value.screen === "benches" && !location.hash) begin("bench", walk.bench, shown);
  root.replaceChildren();
  render(<App desk={desk} />, root);
  follow(desk);
}

async function start(root: HTMLElement): Promise<void> {
  wear(document.documentElement);
  const signs = newSigns();
  const store = lateStore(() => import("../store/open").then((it) => it.openUncounted("misho", undefined, signs, betweenTaps)), signs);
  const desk = makeDesk(store, makeSync(store, undefined, undefined, betweenTaps));
  const spoken = followLanguage(document.documentElement, () => (desk.fault.value = notThere()));
  const [look] = await Promise.all([looking, spoken]);
  const shown = painted();
  void shown.then(() => followLeaving(() => inSight(desk, reach())));
  if (look) {
    const bench = take(look, desk, signs, shown);
    show(root, desk, shown);
    await shown;
    await learn(store, bench).catch((error: unknown) => (desk.fault.value = faultOf(error)));
    await betweenTaps();
    // As the app was left, this phone may have been another's.
    await refresh(desk).catch((error: unknown) => (desk.fault.value = faultOf(error)));
  } else {
    await learn(store, desk.walk.resume(), refresh(desk));
    show(root, desk, shown);
  }
  await betweenTaps();
  desk.sync.start();
  loadSoon();
  void registerWorker();
  void askKept();
}

const root = document.getElementById("app");
if (root) {
  start(root).catch((error: unknown) => {
    const { message, mend } = faultOf(error);
    const words = document.createElement("p");
    words.className = "page lead";
    words.setAttribute("role", "alert");
    words.textContent = `${message} ${mend}`;
    root.replaceChildren(words);
  });
}
