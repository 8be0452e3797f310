// What is to happen in one run, as the simulator made it from a seed.

import type { Draft } from "../../../frontend/bench/model/types";
import type { Trouble } from "./life";

export type Upset = { what: Trouble; after: number };

/** A fault of the way between phone and shed; it strikes the next request of its kind, once. */
export interface WireFault {
  what:
    | "lose_request" | "lose_answer" | "late" | "twice" | "cut" | "captive" | "too_large" | "slow_down"
    | "bad_gateway" | "poison" | "shed" | "edit" | "slow" | "revoke_before" | "revoke_after";
  on: "any" | "push" | "pull" | "lacking" | "photo";
  /** For the shed itself: "die:7", "full", "locked:2". */
  shed?: string;
  /** For an edit at the shed: which. */
  n?: number;
}

export type Action = { phone: number; upset?: Upset; wire?: WireFault[] } & (
  | { do: "pair" }
  /** `aside`: in a second tab, which is closed after it. */
  | { do: "capture"; drafts: Draft[]; key: string; aside: boolean }
  | { do: "undo"; pick: number; key: string }
  | { do: "correct"; pick: number; key: string; mm: number }
  | { do: "sync" }
  | { do: "two_tabs"; locks: boolean }
  | { do: "open" }
  | { do: "update" }
  | { do: "clock"; offset: number; backwards: boolean }
  | { do: "revoke"; forever: boolean }
  | { do: "backup" }
  | { do: "restore" }
  | { do: "edit"; n: number }
);

export interface Plan {
  seed: number;
  phones: number;
  /** Rows in a page of the feed. */
  page: number;
  /** Actions of one step happen at once. */
  steps: Action[][];
  port: number;
  broken: string;
}
