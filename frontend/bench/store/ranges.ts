// Which record numbers the shed has, as a few ranges: a phone numbers its records without gaps, oldest first.

/**
 * Records number `from` to `to`, acknowledged at or before `at` [ms, server time; 0: let go since].
 * `seen` 1: the mirror was fetched after that, so it holds what they say.
 */
export interface Range { from: number; to: number; at: number; seen: 0 | 1 }

/** Acknowledgements within so long of each other are remembered as one, by the later. [ms] */
const TOGETHER = 6 * 3600_000;

/** The range that holds a number; undefined where it waits. */
export function holding(ranges: readonly Range[], seq: number): Range | undefined {
  let [low, high] = [0, ranges.length - 1];
  while (low <= high) {
    const middle = (low + high) >> 1;
    const range = ranges[middle]!;
    if (seq < range.from) high = middle - 1;
    else if (seq > range.to) low = middle + 1;
    else return range;
  }
  return undefined;
}

/** Take numbers in, of which none is held yet. */
export function taking(ranges: readonly Range[], seqs: Iterable<number>, at: number, seen: 0 | 1 = 0): Range[] {
  const added = [...seqs].map((seq): Range => ({ from: seq, to: seq, at, seen }));
  return joined([...ranges, ...added]);
}

/** Take numbers out, each of what is left a range of its own. */
export function losing(ranges: readonly Range[], seqs: Iterable<number>): Range[] {
  const lost = [...seqs].sort((a, b) => a - b);
  return ranges.flatMap((range) => {
    const left: Range[] = [];
    let { from } = range;
    for (const seq of lost) {
      if (seq < from || seq > range.to) continue;
      if (seq > from) left.push({ ...range, from, to: seq - 1 });
      from = seq + 1;
    }
    return from <= range.to ? [...left, { ...range, from }] : left;
  });
}

/** As few ranges as tell the same, in order. */
export function joined(ranges: readonly Range[]): Range[] {
  const made: Range[] = [];
  for (const range of [...ranges].sort((a, b) => a.from - b.from)) {
    const last = made.at(-1);
    if (last && last.to + 1 === range.from && alike(last, range)) {
      made[made.length - 1] = { ...last, to: range.to, at: Math.max(last.at, range.at) };
    } else {
      made.push(range);
    }
  }
  return made;
}

function alike(a: Range, b: Range): boolean {
  if (a.seen !== b.seen || (a.at === 0) !== (b.at === 0)) return false;
  return Math.abs(a.at - b.at) <= TOGETHER;
}

/** The numbers that wait, as bounds of both ends; the last one is open. */
export function gaps(ranges: readonly Range[]): [from: number, to: number][] {
  const open: [number, number][] = [];
  let next = 1;
  for (const range of ranges) {
    if (range.from > next) open.push([next, range.from - 1]);
    next = range.to + 1;
  }
  return [...open, [next, Infinity]];
}

/** The lowest number that is not known to be in the mirror. */
export function firstUnseen(ranges: readonly Range[]): number {
  let next = 1;
  for (const range of ranges) {
    if (range.from > next || !range.seen) break;
    next = range.to + 1;
  }
  return next;
}
