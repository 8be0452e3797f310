// The plans that this phone carries, and what is left of them.

import { lookedAt, type Plan, type PlanLook, type Planned } from "../model/plan";
import type { RecordOut, TreeView } from "../model/types";
import { overlay } from "./overlay";
import type { Tables } from "./tables";

/** Those for one bench by name, as the shed lists them. */
export async function plans(db: Tables): Promise<Plan[]> {
  return (await db.plans.toArray()).sort((a, b) => a.name.localeCompare(b.name));
}

/** A plan with what is left of it; undefined where this phone no longer carries it. */
export function planned(db: Tables, id: string): PromiseLike<Planned | undefined> {
  return db.transaction("r", [db.plans, db.log, db.trees, db.local], async () => {
    const plan = await db.plans.get(id);
    if (!plan) return undefined;
    const ids = plan.stops.map((stop) => stop.tree);
    const [trees, local] = await Promise.all([db.trees.bulkGet(ids), db.local.bulkGet(ids)]);
    const looked = lookedSince(await since(db, Date.parse(plan.made_at)));
    return {
      plan,
      stops: plan.stops.map((stop, at) => {
        const found = overlay(trees[at], local[at]);
        const view = found?.bench && !found.left ? found : undefined;
        const mine = looked.get(stop.tree);
        const open = view ? stop.looks.filter((look) => !mine?.has(look.what) && !known(view, look)) : [];
        return { stop, view, open };
      }),
    };
  });
}

/** Somebody else's later look, as the shed told it, or one of this phone that the shed did not have yet. */
function known(view: TreeView, { what, seen }: PlanLook): boolean {
  const last = view.st?.last[what]?.[1];
  if (last !== undefined && last > seen) return true;
  return what !== "taper" && what !== "caliper" && view.fresh[what] !== undefined;
}

/** This phone's records made at or after a moment [ms, the shed's clock]: their numbers go up with time. */
function since(db: Tables, ms: number): PromiseLike<RecordOut[]> {
  return db.log.orderBy("device_seq").reverse().until((record) => Number(record.hlc.slice(0, 15)) < ms).toArray();
}

/** What was looked at on each tree; what was taken back does not count. */
function lookedSince(records: readonly RecordOut[]): Map<string, Set<PlanLook["what"]>> {
  const gone = new Set(
    records.flatMap(({ body }) => ("replaces" in body && "withdraw" in body ? body.replaces : [])),
  );
  const looked = new Map<string, Set<PlanLook["what"]>>();
  for (const { id, kind, tree, body } of records) {
    const what = lookedAt(kind, body as Record<string, unknown>);
    if (!what || !tree || gone.has(id)) continue;
    if (!looked.has(tree)) looked.set(tree, new Set());
    looked.get(tree)!.add(what);
  }
  return looked;
}
