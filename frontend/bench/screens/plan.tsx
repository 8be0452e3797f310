// A walk that was planned at the shed: its stops in order, why each, and what is left.

import { goOn, walkTo } from "../app/plan";
import { useDesk, useLive } from "../app/desk";
import { go } from "../app/nav";
import type { Plan, Planned, StopNow } from "../model/plan";
import type { TreeView } from "../model/types";
import { Handover } from "./handover";
import { byBench, isOpen, stopAfter, stopsLeft } from "./logic/plan";
import { t, tn, tx } from "../words";
import { day } from "../words/written";
import { inWords, minutes, sentence } from "./logic/words";
import { Head, Main, Tag } from "./parts";

/** "12 of 57 stops left". */
function leftWord(left: number, all: number): string {
  return left
    ? tn(all, "{left} of {n} stop left", "{left} of {n} stops left", { left })
    : tn(all, "All {n} stop looked at", "All {n} stops looked at");
}

/** Of the plan that the open walk follows; drawn anew at each tap, and nothing else with it. */
export function StopsLeft({ planned }: { planned: Planned }) {
  const { walk } = useDesk();
  return <>{t("Plan: {what}", { what: leftWord(stopsLeft(planned, walk.answers.value).length, planned.stops.length) })}</>;
}

/** What the main key of a sheet says: the next tree, or what comes after the last one of this bench. */
export function OnWord({ next }: { next: TreeView | undefined }) {
  const { walk } = useDesk();
  if (next) {
    return (
      <>
        {t("Next")} <small>{next.tag}</small>
      </>
    );
  }
  const planned = walk.planned.value;
  if (walk.partial.value) return <>{t("Next")}</>;
  if (!planned) {
    return (
      <>
        {t("Walk done")} <small>{t("what was found")}</small>
      </>
    );
  }
  const after = stopAfter(planned, walk.state.value?.tree ?? null, walk.answers.value);
  return (
    <>
      {after ? t("Next bench") : t("To the plan")} <small>{after ? after.stop.tag : t("what is left")}</small>
    </>
  );
}

const NO_ANSWERS = new Map();

/** The plans that this phone carries, above its benches. */
export function Plans() {
  const plans = useLive(async ({ store }) => {
    const all = await Promise.all((await store.plans()).map((plan) => store.planned(plan.id)));
    return all.filter((planned) => planned !== undefined);
  });
  if (!plans?.length) return null;
  return (
    <ul class="bench-lines plan-lines" aria-label={t("Planned walks")}>
      {plans.map((planned) => (
        <PlanLine key={planned.plan.id} planned={planned} />
      ))}
    </ul>
  );
}

function PlanLine({ planned: { plan, stops }, planned }: { planned: Planned }) {
  const left = stopsLeft(planned, NO_ANSWERS).length;
  return (
    <li>
      <button class="bench-line" data-plan={plan.id} data-left={left} onClick={() => go("plan", plan.id)}>
        <span class="bench-name">{t("Plan: {what}", { what: along(plan) })}</span>
        <span class={left ? "bench-due some" : "bench-due"}>
          {tx("{n} left", { n: <b>{left}</b> })}
        </span>
        <span class="bench-why">
          {tn(stops.length, "{n} stop", "{n} stops")}, {errand(plan)}
        </span>
      </button>
    </li>
  );
}

function along(plan: Plan): string {
  return plan.id === "nursery" ? t("all benches") : plan.name;
}

function errand(plan: Plan): string {
  return t("{minutes}, for {day}.", { minutes: minutes(plan.minutes), day: day(plan.on) });
}

function where({ view }: StopNow): string {
  return view?.row && view.place ? t("row {row}, place {place}", { row: view.row, place: view.place }) : "";
}

function StopLine({ now, pick }: { now: StopNow; pick: () => void }) {
  const { stop, view } = now;
  const open = isOpen(now, NO_ANSWERS);
  const left = new Set(now.open.map((look) => look.what));
  const must = now.open.some((look) => look.must);
  return (
    <li>
      <button class="stop-line" data-stop={stop.tag} data-open={open} disabled={!view} onClick={pick}>
        <Tag text={view?.tag ?? stop.tag} />
        <span class="soft">{view ? where(now) : t("no longer on a bench")}</span>
        {open && must && <b class="due-word">{t("must-see")}</b>}
        {!open && view && <b>{t("looked at")}</b>}
        {stop.looks.map((look) => (
          <span key={look.what} class={left.has(look.what) || !view ? "look" : "look struck"}>
            {sentence(inWords(look.why))}
          </span>
        ))}
      </button>
    </li>
  );
}

function Stops({ planned }: { planned: Planned }) {
  const desk = useDesk();
  const names = useLive(async ({ store }) => new Map((await store.benches()).map((b) => [b.id, b.name])));
  return (
    <>
      {byBench(planned).map(([bench, stops]) => (
        <section key={bench} class="part">
          <h2>{names?.get(bench) ?? ""}</h2>
          <ol class="stops">
            {stops.map((now) => (
              <StopLine key={now.stop.tree} now={now} pick={() => void walkTo(desk, planned.plan.id, now)} />
            ))}
          </ol>
        </section>
      ))}
    </>
  );
}

/** The key that goes on; a walk that is open elsewhere is ended by it, and it says so. */
function GoOn({ planned }: { planned: Planned }) {
  const desk = useDesk();
  const { walk } = desk;
  const follows = walk.state.value?.plan === planned.plan.id;
  const left = stopsLeft(planned, NO_ANSWERS);
  const next = (follows && stopAfter(planned, walk.state.value?.tree ?? null, NO_ANSWERS)) || left[0];
  if (!next) {
    return (
      <button class="btn main wide" data-action="benches" onClick={() => go("benches")}>
        {t("To the benches")}
      </button>
    );
  }
  const begun = follows || left.length < planned.stops.length;
  const tag = next.view?.tag ?? "";
  const ends = walk.started.value && !follows && walk.state.value?.bench !== next.view?.bench;
  return (
    <button class="btn main wide" data-action="plan-on" onClick={() => void goOn(desk, planned.plan.id)}>
      {begun ? t("Go on with {tag}", { tag }) : t("Begin with {tag}", { tag })}
      {ends && <small>{t("ends the walk along {bench}", { bench: walk.bench.value?.name ?? "" })}</small>}
    </button>
  );
}

export function PlanScreen({ id }: { id: string }) {
  const got = useLive(async ({ store }) => ({ planned: await store.planned(id) }), [id]);
  const planned = got?.planned;
  const left = planned ? stopsLeft(planned, NO_ANSWERS).length : 0;
  return (
    <div class="house" data-screen="plan" data-left={planned && left}>
      <Head
        title={t("Plan")}
        sub={planned && sentence(along(planned.plan))}
        back={() => go("benches")}
        backWord={t("Benches")}
      />
      <Main>
        {planned && (
          <p class="lead">
            {leftWord(left, planned.stops.length)}. {errand(planned.plan)}
          </p>
        )}
        {planned && <Stops planned={planned} />}
        {got && !planned && <p class="lead">{t("This phone no longer carries that plan. What was recorded is kept.")}</p>}
      </Main>
      <footer class="foot">
        <Handover second />
        {planned && <GoOn planned={planned} />}
      </footer>
    </div>
  );
}
