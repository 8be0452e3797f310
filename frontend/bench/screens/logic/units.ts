// Lengths as the grower reads them. Records hold millimetres, whatever is shown.

import { settings, type Settings } from "../../app/settings";
import { t } from "../../words";
import { number } from "../../words/written";

export type Unit = Settings["unit"];

/** Millimetres to one, the decimals that are worth showing of a trunk, and a round length near a centimetre [mm]. */
const UNITS: Readonly<Record<Unit, { mm: number; decimals: number; round: number }>> = {
  mm: { mm: 1, decimals: 1, round: 10 },
  cm: { mm: 10, decimals: 2, round: 10 },
  in: { mm: 25.4, decimals: 2, round: 12.7 },
};

/** "12.5", in the unit given; "12,5" where that is the custom. */
export function inUnit(mm: number, unit: Unit): string {
  return number(mm / UNITS[unit].mm, UNITS[unit].decimals);
}

/** "12.5 mm", "1.25 cm", "0.49 in": in the unit of this phone. */
export function length(mm: number, unit: Unit = settings.value.unit): string {
  return `${inUnit(mm, unit)} ${sign(unit)}`;
}

/** How the unit is written behind a number. */
export function sign(unit: Unit): string {
  return unit === "in" ? t("in|inch") : unit;
}

/** Millimetres of a number in a unit, to a tenth: finer than any caliper on bark. */
export function toMm(value: number, unit: Unit): number {
  return Number((value * UNITS[unit].mm).toFixed(1));
}

export function decimalsOf(unit: Unit): number {
  return UNITS[unit].decimals;
}

/** A round length near a centimetre, to tell small things by. [mm] */
export function round(unit: Unit): number {
  return UNITS[unit].round;
}
