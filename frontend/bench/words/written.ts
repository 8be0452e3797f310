// Days, times, numbers and lists as the grower's language writes them.

import { locale, same, written, type Locale } from ".";

/** Making one of Intl's takes longer than using it, and a list of records uses hundreds. */
const made = new Map<string, unknown>();

function kept<T>(what: string, make: (tag: string) => T): T {
  const key = `${locale()} ${what}`;
  if (!made.has(key)) made.set(key, make(written()));
  return made.get(key) as T;
}

/** A date "2026-06-01" means that day wherever the phone is; undefined where the text is none. */
function dateOf(iso: string): Date | undefined {
  const date = new Date(iso.length === 10 ? `${iso}T12:00:00` : iso);
  return Number.isNaN(date.getTime()) ? undefined : date;
}

/** The day of a date or time as a grower writes it: "1 June", with the year when it is another one. */
export function day(iso: string, now: Date = new Date()): string {
  const date = dateOf(iso);
  if (!date) return iso;
  const other = date.getFullYear() !== now.getFullYear();
  const format = kept(`day ${other}`, (tag) => {
    return new Intl.DateTimeFormat(tag, { day: "numeric", month: "long", year: other ? "numeric" : undefined });
  });
  return format.format(date);
}

/** The months' short names and the mark after a day (Unicode CLDR, en-GB and de-DE, "yMMMd"). */
const SHORT: Readonly<Record<Locale, { months: string; mark: string }>> = {
  en: { months: same("Jan Feb Mar Apr May Jun Jul Aug Sept Oct Nov Dec"), mark: "" },
  de: { months: same("Jan. Feb. März Apr. Mai Juni Juli Aug. Sept. Okt. Nov. Dez."), mark: "." },
};

/** "25 Nov 2026". Without Intl: its first format costs a slow phone a twentieth of opening the app. */
export function shortDay(iso: string): string {
  const date = dateOf(iso);
  if (!date) return iso;
  const { months, mark } = SHORT[locale()];
  return `${date.getDate()}${mark} ${months.split(" ")[date.getMonth()]} ${date.getFullYear()}`;
}

/** Today where the phone is: "2026-06-01". */
export function today(now: Date = new Date()): string {
  const two = (n: number) => String(n).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

/** "08:15". */
export function clock(at: number | string): string {
  const format = kept("clock", (tag) => new Intl.DateTimeFormat(tag, { hour: "2-digit", minute: "2-digit" }));
  return format.format(new Date(at));
}

/** "12.5", "12,5": with no more decimals than it has, and no more than `decimals`. */
export function number(value: number, decimals: number, least = 0): string {
  const format = kept(`number ${decimals} ${least}`, (tag) => {
    return new Intl.NumberFormat(tag, {
      maximumFractionDigits: decimals, minimumFractionDigits: least, useGrouping: false,
    });
  });
  return format.format(value);
}

/** "<1%", "55%", ">99%": a chance is never told as certain. */
export function percent(share: number): string {
  return kept("percent", (tag) => new Intl.NumberFormat(tag, { style: "percent" })).format(share);
}

/** "2 records and 1 photo". */
export function listed(parts: readonly string[]): string {
  return kept("list", (tag) => new Intl.ListFormat(tag, { type: "conjunction" })).format(parts);
}

/** What parts the whole from its decimals: "." or ",". */
export function point(): string {
  return number(0.5, 1).replaceAll("0", "").replaceAll("5", "");
}

/** A number as it was typed, with a point or a comma; NaN where it is none. */
export function typedNumber(text: string): number {
  const plain = text.trim().replace(",", ".");
  return /^\d*\.?\d+$|^\d+\.$/.test(plain) ? Number(plain) : Number.NaN;
}
