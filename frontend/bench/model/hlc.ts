// Hybrid logical clock: the order of records, even where the phone's clock stands still or goes back.

export interface Clock {
  /** The last stamp given: milliseconds and counter. */
  ms: number;
  count: number;
}

/** A stamp further ahead of the corrected time than this came from a clock since put right. [ms] */
export const TOO_FAR_AHEAD = 5 * 60_000;

/**
 * The next stamp after `last`, at server-corrected time `now` [ms]. Always greater than `last`, except
 * where `last` came from a clock that ran far ahead: to follow it would stamp everything in the future, and
 * the shed would let this phone win over all others for as long.
 */
export function tick(last: Clock, now: number): Clock {
  if (now > last.ms || last.ms - now > TOO_FAR_AHEAD) return { ms: now, count: 0 };
  return last.count < 0xffff ? { ms: last.ms, count: last.count + 1 } : { ms: last.ms + 1, count: 0 };
}

/** 15 digits of milliseconds, "-", 4 hex digits: sorts as text. */
export function stamp(clock: Clock): string {
  return `${String(clock.ms).padStart(15, "0")}-${clock.count.toString(16).padStart(4, "0")}`;
}

/** The order of records everywhere: (hlc, id), as text. */
export function before(a: { hlc: string; id: string }, b: { hlc: string; id: string }): number {
  if (a.hlc !== b.hlc) return a.hlc < b.hlc ? -1 : 1;
  return a.id < b.id ? -1 : a.id > b.id ? 1 : 0;
}
