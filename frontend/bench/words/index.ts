// What the app says, in the grower's language. The English text is the key of its own translation, so the source
// reads as the screen does; where one English word is two of another language, "|" and a remark tell them apart:
// t("light|scars"). Texts of another language are loaded when it is chosen, and only then.

import { signal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import type { Catalogue } from "./texts";

export type { Catalogue, Plural } from "./texts";

export const LOCALES = ["en", "de"] as const;
export type Locale = (typeof LOCALES)[number];
/** As they call themselves: so does one find back who has chosen wrong. */
export const NAMES: Readonly<Record<Locale, string>> = { en: "English", de: "Deutsch" };

interface Tongue { locale: Locale; words: Catalogue }

/** How days, numbers and counts are written. */
const WRITTEN: Readonly<Record<Locale, string>> = { en: "en-GB", de: "de-DE" };

const spoken = signal<Tongue>({ locale: "en", words: {} });
const MARK: Readonly<Record<Locale, string>> = { en: ".", de: "," };
/** Made for what needs them: the first costs a slow phone as much as a tenth of opening the app. */
const formats = new Map<Locale, Intl.NumberFormat>();
let wanted: Locale = "en";

/** The language of all texts; a screen that asks is drawn anew when it changes. */
export function locale(): Locale {
  return spoken.value.locale;
}

/** What Intl calls it. */
export function written(): string {
  return WRITTEN[spoken.value.locale];
}

/** Speak another language from now on; its texts are there when this is done. Rejects where they cannot be loaded. */
export async function speak(locale: Locale): Promise<void> {
  wanted = locale;
  const words = locale === "en" ? {} : (await import("./german")).german;
  if (wanted === locale && spoken.peek().locale !== locale) spoken.value = { locale, words };
}

/** The first language that we have of those that the grower reads. */
export function localeOf(languages: readonly string[]): Locale {
  const bare = languages.map((tag) => tag.toLowerCase().split("-")[0]);
  return bare.map((name) => LOCALES.find((known) => known === name)).find((known) => known) ?? "en";
}

type Holes<S extends string> = S extends `${string}{${infer Name}}${infer Rest}` ? Name | Holes<Rest> : never;
type Fill<Names extends string, V> = [Names] extends [never] ? [] : [filled: { readonly [K in Names]: V }];
type Filled = Readonly<Record<string, unknown>>;
/** A text that may be translated later: made by `word`. */
export type Text = string & { readonly text: unique symbol };
/** Literals and what `word` made; any other string is a mistake: no catalogue can hold it. */
type Known<S extends string> = string extends S ? never : S;

/** A text without holes, for a table of words; `t` gives what it is in the grower's language. */
export function word<S extends string>(text: Known<S>): Text {
  return text as unknown as Text;
}

/** What is the same in all languages: a unit's sign, a language's own name. */
export function same(text: string): Text {
  return text as Text;
}

/** A text that came from the shed, where the catalogue has it; else as it came. */
export function translated(text: string): string {
  const has = spoken.value.words[text];
  return typeof has === "string" ? has : text;
}

function form(key: string, one: string, n: number): string {
  const forms = spoken.value.words[key];
  // The rule of both languages (Unicode CLDR, plural rules): "i = 1 and v = 0".
  const is = Math.abs(n) === 1 ? "one" : "other";
  if (forms) return typeof forms === "string" ? forms : forms[is];
  return is === "one" ? one : key;
}

function template(key: string): string {
  const has = spoken.value.words[key];
  return typeof has === "string" ? has : key.split("|")[0]!;
}

const HOLE = /\{(\w+)\}/;

/** Numbers as the language writes them: to three decimals, four digits ungrouped. */
function figure(value: number): string {
  const { locale } = spoken.value;
  const short = Number(value.toFixed(3));
  if (short === value && value >= 0 && value < 10_000) return String(short).replace(".", MARK[locale]);
  const made = formats.get(locale) ?? new Intl.NumberFormat(WRITTEN[locale], { useGrouping: "min2" });
  formats.set(locale, made);
  return made.format(value);
}

function put(value: unknown): string {
  return typeof value === "number" ? figure(value) : String(value);
}

function named(filled: readonly unknown[]): Filled {
  return (filled[0] ?? {}) as Filled;
}

function fill(text: string, filled: Filled): string {
  // Most have none, and each tap draws dozens.
  if (!text.includes("{")) return text;
  return text.split(HOLE).map((part, i) => (i % 2 ? put(filled[part]) : part)).join("");
}

function weave(text: string, filled: Filled): ComponentChildren[] {
  return text.split(HOLE).map((part, i) => {
    const value = i % 2 ? filled[part] : part;
    return typeof value === "number" ? put(value) : (value as ComponentChildren);
  });
}

/** `t("Soil of {name}", { name })`. */
export function t<S extends string>(text: Known<S>, ...filled: Fill<Holes<S>, string | number>): string {
  return fill(template(text), named(filled));
}

/** `tn(3, "{n} tree", "{n} trees")`; the second text is the key. */
export function tn<S extends string>(
  n: number, one: string, other: Known<S>, ...filled: Fill<Exclude<Holes<S>, "n">, string | number>
): string {
  return fill(form(other, one, n), { ...named(filled), n });
}

/** As `t`, with elements in the holes. */
export function tx<S extends string>(text: Known<S>, ...filled: Fill<Holes<S>, ComponentChildren>): ComponentChildren {
  return weave(template(text), named(filled));
}

/** As `tn`, with elements in the holes. */
export function tnx<S extends string>(
  n: number, one: string, other: Known<S>, ...filled: Fill<Exclude<Holes<S>, "n">, ComponentChildren>
): ComponentChildren {
  return weave(form(other, one, n), { n, ...named(filled) });
}
