// A walk's plan as the shed made it: which trees to stop at, in which order, and why.

import type { Sentence } from "./sentences";
import type { DueWhat, TreeView } from "./types";

export interface PlanLook {
  /** As things due; "taper" is a second caliper reading, higher up. */
  what: DueWhat | "taper";
  why: Sentence;
  must: boolean;
  /** The day of the look before it, as the shed knew it; "" for none. */
  seen: string;
}
export interface PlanStop { tree: string; tag: string; bench: string; looks: PlanLook[] }
export interface Plan {
  /** The bench that it goes along, or "nursery". */
  id: string;
  name: string;
  /** The day of the walk. */
  on: string;
  made_at: string;
  minutes: number;
  seconds: number;
  stops: PlanStop[];
}

/** A stop as things stand now. */
export interface StopNow {
  stop: PlanStop;
  /** Undefined where the tree has left, or stands on no bench. */
  view: TreeView | undefined;
  /** What was not looked at since the plan was made. */
  open: PlanLook[];
}
export interface Planned { plan: Plan; stops: StopNow[] }

/** What a record looks at, in a plan's words; undefined for none of them. */
export function lookedAt(kind: string, body: Record<string, unknown>): PlanLook["what"] | undefined {
  if (kind === "caliper") return Number(body.height_mm ?? 0) > BASE_MM ? "taper" : "caliper";
  if (kind === "work_done") return body.task === "watered" ? "soil" : undefined;
  return LOOKED[kind];
}

/** A measurement up to so high above the roots is one of the base [mm]; as the shed has it. */
const BASE_MM = 30;
const LOOKED: Readonly<Record<string, DueWhat>> = {
  wire_look: "wire",
  wire_on: "wire",
  wire_off: "wire",
  soil_check: "soil",
  bud_check: "buds",
  firm_check: "firm",
  root_survey: "roots",
  branch_survey: "branches",
};
