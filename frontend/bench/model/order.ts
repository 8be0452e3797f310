// How a bench is walked: odd rows from place 1 up, even rows from the far end back.

interface Standing {
  row: number | null;
  place: number | null;
  tag: string;
}

/** Trees without a place come last, by tag. */
export function inWalkingOrder<T extends Standing>(trees: readonly T[]): T[] {
  return [...trees].sort(byWalk);
}

function byWalk(a: Standing, b: Standing): number {
  const rows = (a.row ?? Infinity) - (b.row ?? Infinity);
  // Infinity less Infinity is no number: both stand in no row.
  if (rows) return rows;
  const places = (a.place ?? Infinity) - (b.place ?? Infinity);
  if (places) return a.row !== null && a.row % 2 === 0 && Number.isFinite(places) ? -places : places;
  return a.tag < b.tag ? -1 : a.tag > b.tag ? 1 : 0;
}
