// The number pad of the caliper: what a key does, and when to ask "really?".

import { t } from "../../words";
import { point, typedNumber } from "../../words/written";
import { decimalsOf, length, toMm, type Unit } from "./units";

export type Key = "0" | "1" | "2" | "3" | "4" | "5" | "6" | "7" | "8" | "9" | "." | "back";
export const KEYS: readonly Key[] = ["1", "2", "3", "4", "5", "6", "7", "8", "9", ".", "0", "back"];

/** The thinnest and thickest trunk that a record takes. [mm] */
export const LEAST = 0.1;
export const MOST = 1000;

/** The text as the grower's language writes it; it is kept with a point. */
export function shown(text: string): string {
  return text.replace(".", point());
}

/** The text after a key; at most as many decimals as the unit is worth, at most 1000 mm. */
export function press(text: string, key: Key, unit: Unit = "mm"): string {
  if (key === "back") return text.slice(0, -1);
  if (key === ".") return text.includes(".") ? text : `${text || "0"}.`;
  const next = text === "0" ? key : text + key;
  const [whole = "", part = ""] = next.split(".");
  return whole.length <= 4 && part.length <= decimalsOf(unit) && toMm(typedNumber(next), unit) <= MOST ? next : text;
}

/** Millimetres, or undefined where the text is no diameter between 0.1 and 1000 mm. */
export function millimetres(text: string, unit: Unit = "mm"): number | undefined {
  const mm = toMm(typedNumber(text), unit);
  return text !== "" && Number.isFinite(mm) && mm >= LEAST && mm <= MOST ? mm : undefined;
}

/**
 * A doubt to voice before saving, or "". A trunk does not get thinner, and seldom half as thick again
 * between two looks (common practice, no source); the calipers' own error is allowed for.
 */
export function doubt(mm: number, last: number | null): string {
  if (last === null) return "";
  if (mm < last - Math.max(0.5, last * 0.1)) return t("That is thinner than the {length} of last time.", { length: length(last) });
  if (mm > last * 1.5 && mm > last + 2) return t("That is much thicker than the {length} of last time.", { length: length(last) });
  return "";
}
