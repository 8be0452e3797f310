// Walking a plan: from stop to stop, along its benches in order.

import type { StopNow } from "../model/plan";
import { stopAfter } from "../screens/logic/plan";
import type { Desk } from "./desk";
import { go } from "./nav";

/**
 * Go to a stop, on whichever bench it stands. A walk along another bench is ended first, for its records are
 * all saved; one along the same bench goes on.
 */
export async function walkTo({ walk }: Desk, plan: string, { stop, view }: StopNow): Promise<void> {
  const bench = view?.bench;
  if (!bench) return;
  if (walk.state.value?.bench !== bench) {
    if (walk.started.value && !(await walk.end())) return;
    if (!(await walk.open(bench))) return;
  }
  if (walk.state.value?.plan !== plan && !(await walk.follow(plan))) return;
  walk.select(stop.tree);
  go("bench", bench);
}

/** To the next open stop: after the tree at hand, or the plan's first where no walk follows it yet. */
export async function goOn(desk: Desk, plan: string): Promise<void> {
  const { state, answers } = desk.walk;
  const planned = await desk.store.planned(plan);
  const here = state.value?.plan === plan ? state.value.tree : null;
  const next = planned && (stopAfter(planned, here, answers.value) ?? stopAfter(planned, null, answers.value));
  if (next) await walkTo(desk, plan, next);
}

/** What the last open stop of a bench leads to: the next bench, or the plan where none is left. */
export async function onward(desk: Desk, plan: string): Promise<void> {
  const { state, answers } = desk.walk;
  const planned = await desk.store.planned(plan);
  const next = planned && stopAfter(planned, state.value?.tree ?? null, answers.value);
  if (next) await walkTo(desk, plan, next);
  else go("plan", plan);
}
