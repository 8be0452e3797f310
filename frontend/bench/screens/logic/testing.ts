// Rows for the tests of the screens' rules.

import type { DueWhat, LocalRecord, RecordOut, Species, StandingRow, TreeView } from "../../model/types";

export const PINE: Species = {
  slug: "japanese-black-pine",
  name: "Japanese black pine",
  latin: "Pinus thunbergii",
  habit: "two_flush_pine",
  techniques: ["decandled", "needles_thinned"],
};
export const MAPLE: Species = {
  slug: "trident-maple",
  name: "trident maple",
  latin: "Acer buergerianum",
  habit: "broadleaf",
  techniques: ["defoliated"],
};

const WHY: Readonly<Record<DueWhat, string>> = {
  wire: "Wire on since November",
  soil: "Soil not checked for 6 days",
  buds: "Low buds not looked at",
  caliper: "Not measured for a year",
  roots: "Roots not looked at",
  firm: "Not known to be firm",
  branches: "Branches not counted",
};

export function standing(due: DueWhat[] = [], more: Partial<StandingRow> = {}): StandingRow {
  return {
    gate: "branches",
    p: 0.5,
    held: "taper",
    not_looked: false,
    due: due.map((what) => ({ what, why: WHY[what] })),
    wire: null,
    buds_p: 0.5,
    last: {},
    caliper_mm: null,
    as_of: "2026-06-01",
    ...more,
  };
}

export function aTree(tag: string, due: DueWhat[] = [], more: Partial<TreeView> = {}): TreeView {
  return {
    id: `id-${tag}`,
    tag,
    species: PINE.slug,
    phase: "trunk",
    sown: 2022,
    lot: null,
    bench: "b",
    row: 1,
    place: 1,
    target: null,
    left: "",
    st: standing(due),
    fresh: {},
    local: false,
    ...more,
  };
}

export function wired(tag: string, state: "loose" | "snug" | "marking" | "biting", due: DueWhat[]): TreeView {
  return aTree(tag, due, { st: standing(due, { wire: { state, since: "2026-01-01", by: null, why: "" } }) });
}

let made = 0;

/** A local record; `at`: seconds after 08:00 on 1 June 2026. */
export function record(kind: RecordOut["kind"], tree: string | null, body: object, at = made): LocalRecord {
  made += 1;
  return {
    record: {
      id: `r${made}`,
      device_seq: made,
      kind,
      v: 1,
      tree,
      run: "run",
      observed_at: new Date(Date.UTC(2026, 5, 1, 8, 0, 0) + at * 1000).toISOString(),
      utc_offset_min: 0,
      hlc: `${String(made).padStart(15, "0")}-0000`,
      body: body as RecordOut["body"],
    },
    state: "waiting",
    withdrawn: false,
    reason: "",
    field: "",
    message: "",
    mend: "",
  };
}
