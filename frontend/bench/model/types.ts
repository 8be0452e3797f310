// The shapes that travel between phone and shed, and those that the screens see.

import type { Sentence } from "./sentences";
import type {
  Buds, FateWord, Leaving, Phase, Role, Scars, Soil, Style, WirePart, WireState, Work,
} from "./words";

// ---- records ----

export interface Root { deg: number; grade: number; level: boolean }

/** The body of each kind of record. */
export interface Bodies {
  site_set: { site: string; name: string; time_zone?: string; latitude?: number; longitude?: number };
  bench_set: { bench: string; site: string; name: string; rows: number; places: number; walk_order?: number };
  lot_set: { lot: string; code: string; species: string; source?: string; year?: number };
  sowing: { lot: string; on: string; seeds: number; floaters?: number; flat?: string };
  tree_new: { tag: string; species: string; lot?: string; sown_year?: number; phase?: Phase };
  tree_tag: { tag: string };
  target_set: { height_mm?: number | null; base_mm?: number | null; style?: Style | null };
  tree_move: { bench: string | null; row?: number; place?: number };
  phase_change: { to: Phase; why?: string };
  tree_left: { how: Leaving; why?: string };
  walk_started: { bench: string };
  walk_ended: Record<string, never>;
  wire_on: { part: WirePart; wire_mm?: number };
  wire_look: { state: WireState; wiring?: string; bulk?: boolean };
  wire_off: { wiring?: string; scars?: Scars };
  soil_check: { state: Soil; bulk?: boolean };
  bud_check: { state: Buds; bulk?: boolean };
  firm_check: { firm: boolean };
  caliper: { mm: number; height_mm?: number | null; method?: "photo"; photo?: string; sd_mm?: number };
  root_survey: { roots: Root[]; defects?: ("crossing" | "one_sided" | "high" | "girdling" | "rot")[] };
  branch_survey: { primaries: number; secondaries: number; internode_mm?: number; order?: number };
  note: { text: string };
  work_done: { task: Work; detail?: string };
  /** `sha256` and `bytes` of the file that follows it; `width` and `height` in pixels. */
  photo: { photo: string; sha256: string; bytes: number; width: number; height: number; caption?: string };
  correction: { replaces: string; withdraw: true } | { replaces: string; body: Record<string, unknown> };
}
export type Kind = keyof Bodies;

/** A record as it travels. Made once, never changed. */
export interface RecordOut<K extends Kind = Kind> {
  id: string;
  device_seq: number;
  kind: K;
  v: 1;
  tree: string | null;
  run: string | null;
  /** The phone's own wall clock, UTC, "2026-06-01T08:15:00.000Z". */
  observed_at: string;
  utc_offset_min: number;
  /** Server-corrected: 15 digits of milliseconds, "-", 4 hex digits. */
  hlc: string;
  body: Bodies[K];
}

/** What a screen hands to `capture`; the store adds identity, number and time. */
export type Draft = {
  [K in Kind]: {
    kind: K;
    body: Bodies[K];
    /** Given for a tree_new; else the tree that the record is about. */
    tree?: string | null;
    run?: string | null;
    /** Given only where the screen must know the id beforehand. */
    id?: string;
    /** Of a photo: the picture itself, saved in the same transaction. */
    file?: ArrayBuffer;
  };
}[Kind];

export type LocalState = "waiting" | "acknowledged" | "set_aside";

/** A record that this phone made and still holds. */
export interface LocalRecord {
  record: RecordOut;
  state: LocalState;
  /** A later local correction took it back. */
  withdrawn: boolean;
  /** Where set aside: a stable word, one sentence, and what to do. Else "". */
  reason: string;
  field: string;
  message: Sentence;
  mend: Sentence;
}

// ---- the mirror: what the shed last said ----

export interface Site { id: string; name: string; time_zone: string }
export interface Species { slug: string; name: string; latin: string; habit: string; techniques: string[] }
/** `order`: benches with a lower one are walked first. */
export interface Bench { id: string; name: string; rows: number; places: number; order: number }
export interface Lot { id: string; code: string; species: string; year: number | null }

export type DueWhat = "wire" | "soil" | "buds" | "caliper" | "roots" | "firm" | "branches";
export interface Due { what: DueWhat; why: Sentence }
export interface Target { base_mm: number | null; height_mm: number | null; style: Style | null | "" }

/** The standing as the server rolled it up. */
export interface StandingRow {
  gate: string;
  p: number | null;
  held: string;
  not_looked: boolean;
  due: Due[];
  wire: { state: WireState | ""; since: string | null; by: string | null; why: Sentence } | null;
  buds_p: number | null;
  /** e.g. {"soil": ["dry", "2026-06-01"], "caliper": [12.5, "2026-05-01"]} */
  last: Record<string, [string | number | boolean, string]>;
  caliper_mm: number | null;
  as_of: string;
}

export interface TreeRow {
  id: string;
  tag: string;
  species: string;
  phase: Phase;
  sown: number | string | null;
  lot: string | null;
  bench: string | null;
  row: number | null;
  place: number | null;
  target: Target | null;
  left: Leaving | "" | null;
  st: StandingRow | null;
}

/** Things that a local record can say anew about a tree, before the shed has answered. */
export type FreshWhat = "wire" | "soil" | "buds" | "caliper" | "firm" | "roots" | "branches" | "note" | "work";

export interface Fresh {
  /** The state as recorded: "snug", "dry", 12.5, true; "on" / "off" for wire put on or taken off. */
  state: string | number | boolean;
  record: string;
  run: string | null;
  observed_at: string;
  bulk: boolean;
}

/** A mirror row with this phone's own newer moves, tags and phases laid over it, and what it saw since. */
export interface TreeView extends TreeRow {
  fresh: Partial<Record<FreshWhat, Fresh>>;
  /** True where the shed has never heard of the tree. */
  local: boolean;
}

export interface Fate { id: string; fate: FateWord; reason: string; message: Sentence; mend: Sentence }

// ---- the phone itself ----

export interface Me { device: string; name: string; role: Role; epoch: string }

/** Where the grower stands on a walk; kept so that a killed app opens where it was. */
export interface WalkState {
  run: string;
  bench: string;
  /** The tree under the thumb. */
  tree: string | null;
  /** The plan that it follows, if any. */
  plan?: string | undefined;
  started_at: string;
}
