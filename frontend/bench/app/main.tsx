// Start: open the phone's memory, take up the open walk, draw, and only then think of the network.

import { render } from "preact";
import "../style/tokens.css";
import "../style/parts.css";
import "../style/pages.css";
import "../style/bench.css";
import "../style/small.css";
import "../style/plan.css";
import "../style/large.css";
import "../style/words.css";
import { openUncounted } from "../store";
import { makeSync } from "../sync";
import { App } from "./app";
import { faultOf, makeDesk, refresh, type Desk } from "./desk";
import { askKept, registerWorker } from "./install";
import { followLanguage, notThere } from "./language";
import { loadSoon } from "./later";
import { go, place } from "./nav";
import { buzz } from "./senses";
import { wear } from "./settings";

/** The feed may bring species, or a new name for this phone. */
function follow(desk: Desk): void {
  desk.walk.said.subscribe((said) => said && buzz("saved"));
  desk.sync.status.subscribe((status) => {
    if (status.state !== "done") return;
    if (status.pushed) desk.handed.value = status;
    void refresh(desk).catch((error: unknown) => (desk.fault.value = faultOf(error)));
  });
}

async function start(root: HTMLElement): Promise<void> {
  wear(document.documentElement);
  const opening = openUncounted().then((store) => ({ store, desk: makeDesk(store, makeSync(store)) }));
  const spoken = followLanguage(document.documentElement, () => {
    opening.then(({ desk }) => (desk.fault.value = notThere())).catch(() => undefined);
  });
  const { store, desk } = await opening;
  // Side by side: the bench's own reading first, for it takes the longest.
  const [walk] = await Promise.all([desk.walk.resume(), refresh(desk), store.refresh(), spoken]);
  if (walk && place.value.screen === "benches" && !location.hash) go("bench", walk.bench, "", true);
  root.replaceChildren();
  render(<App desk={desk} />, root);
  follow(desk);
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
