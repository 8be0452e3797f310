// The number pad of the caliper: what a key does, and when to ask "really?".

export type Key = "0" | "1" | "2" | "3" | "4" | "5" | "6" | "7" | "8" | "9" | "." | "back";
export const KEYS: readonly Key[] = ["1", "2", "3", "4", "5", "6", "7", "8", "9", ".", "0", "back"];

/** The text after a key; at most one decimal, at most 1000 mm. */
export function press(text: string, key: Key): string {
  if (key === "back") return text.slice(0, -1);
  if (key === ".") return text.includes(".") ? text : `${text || "0"}.`;
  const next = text === "0" ? key : text + key;
  return /^\d{0,4}(\.\d?)?$/.test(next) && Number(next) <= 1000 ? next : text;
}

/** Millimetres, or undefined where the text is no diameter between 0.1 and 1000 mm. */
export function millimetres(text: string): number | undefined {
  const mm = Number(text);
  return text !== "" && Number.isFinite(mm) && mm >= 0.1 && mm <= 1000 ? mm : undefined;
}

/**
 * A doubt to voice before saving, or "". A trunk does not get thinner, and seldom half as thick again
 * between two looks (common practice, no source); the calipers' own error is allowed for.
 */
export function doubt(mm: number, last: number | null): string {
  if (last === null) return "";
  if (mm < last - Math.max(0.5, last * 0.1)) return `That is thinner than the ${last} mm of last time.`;
  if (mm > last * 1.5 && mm > last + 2) return `That is much thicker than the ${last} mm of last time.`;
  return "";
}
