// All benches in walking order: how many trees, how many due, and the worst reason.

import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import { useDesk, useLive } from "../app/desk";
import { kept, newer, takeNewer } from "../app/install";
import { go } from "../app/nav";
import type { Bench } from "../model/types";
import { Handover } from "./handover";
import type { Tally } from "../store";
import { inOrder, worst } from "./logic/benches";
import { t, tn, tx } from "../words";
import { trees } from "./logic/words";
import { Install } from "./install";
import { keptWord } from "./logic/installWords";
import { Jump } from "./jump";
import { Head, Main, Panel } from "./parts";
import { Plans } from "./plan";

function WalkOpen({ other, close }: { other: Bench; close: () => void }) {
  const { walk } = useDesk();
  const here = walk.bench.value;
  const anew = async () => {
    await walk.end();
    await walk.open(other.id);
    go("bench", other.id);
  };
  return (
    <Panel
      name="walk-open"
      title={t("A walk is open")}
      close={close}
      go={
        <>
          <button class="btn" data-action="walk-anew" onClick={() => void anew()}>
            {t("End it")}
          </button>
          <button class="btn main" data-action="walk-on" onClick={() => here && go("bench", here.id)}>
            {t("Go on with {bench}", { bench: here?.name ?? "" })}
          </button>
        </>
      }
    >
      <p>
        {tn(
          walk.size.value,
          "The walk along {bench} is not ended: {looked} of {n} tree. End it, and begin on {other}?",
          "The walk along {bench} is not ended: {looked} of {n} trees. End it, and begin on {other}?",
          { bench: here?.name ?? "", looked: walk.looked.value, other: other.name },
        )}
      </p>
    </Panel>
  );
}

interface LineProps {
  bench: Bench;
  counts: Tally | undefined;
  open: () => void;
}

function BenchLine({ bench, counts, open }: LineProps) {
  const { walk } = useDesk();
  const walking = walk.state.value?.bench === bench.id && walk.started.value;
  const due = counts?.due ?? 0;
  const why = worst(counts);
  return (
    <li>
      <button class="bench-line" data-bench={bench.id} data-due={due} onClick={open}>
        <span class="bench-name">{bench.name}</span>
        <span class={due ? "bench-due some" : "bench-due"}>
          {tx("{n} due", { n: <b>{due}</b> })}
        </span>
        <span class="bench-why">
          {walking ? (
            <b>{t("Walk open: {n} looked at.", { n: walk.looked.value })}</b>
          ) : (
            `${trees(counts?.trees ?? 0)}.`
          )}{" "}
          {why ? <span class="due-word">{why.text}</span> : due ? "" : t("Nothing is due.")}
        </span>
      </button>
    </li>
  );
}

function Newer() {
  const { walk } = useDesk();
  if (!newer.value || walk.started.value) return null;
  return (
    <button class="btn wide gap" data-action="update" onClick={takeNewer}>
      {t("A newer Misho is on this phone: use it now")}
    </button>
  );
}

/** All at once, and what stands below with them: nothing that is in sight moves when the rest has been read. */
function Lines({ open, children }: { open: (bench: Bench) => void; children: ComponentChildren }) {
  const found = useLive(async ({ store }) => {
    const [benches, counts] = await Promise.all([store.benches(), store.benchCounts()]);
    return { benches: inOrder(benches), counts };
  });
  if (!found) return null;
  const { benches, counts } = found;
  return (
    <>
      {benches.length ? (
        <ol class="bench-lines">
          {benches.map((b) => (
            <BenchLine key={b.id} bench={b} counts={counts.get(b.id)} open={() => open(b)} />
          ))}
        </ol>
      ) : (
        <p class="lead">{t("No benches on this phone yet. Hand over and fetch where the phone can reach the shed.")}</p>
      )}
      {children}
    </>
  );
}

export function BenchesScreen() {
  const desk = useDesk();
  const [other, setOther] = useState<Bench>();
  const [jump, setJump] = useState(false);
  const open = async (bench: Bench) => {
    const state = desk.walk.state.value;
    if (state && state.bench !== bench.id && desk.walk.started.value) return setOther(bench);
    if (state?.bench !== bench.id) await desk.walk.open(bench.id);
    go("bench", bench.id);
  };
  const me = desk.me.value;
  return (
    <div class="house" data-screen="benches">
      <Head title={t("Benches")} sub={me ? (me.role === "viewer" ? t("{name}, may look only", { name: me.name }) : me.name) : ""} />
      <Main>
        <Plans />
        <Lines open={(bench) => void open(bench)}>
          <Newer />
          <Install />
          {kept.value === false && <p class="soft gap">{keptWord(false)}</p>}
        </Lines>
      </Main>
      <footer class="foot">
        <Handover />
        <div class="pair">
          <button class="btn" data-action="jump" onClick={() => setJump(true)}>
            {t("Find a tag")}
          </button>
          <button class="btn" data-action="phone" onClick={() => go("phone")}>
            {t("This phone")}
          </button>
        </div>
      </footer>
      {other && <WalkOpen other={other} close={() => setOther(undefined)} />}
      {jump && <Jump close={() => setJump(false)} pick={(t) => go("tree", t.id)} />}
    </div>
  );
}
