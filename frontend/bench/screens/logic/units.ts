// Lengths as the grower reads them. Records hold millimetres, whatever is shown.

import { settings, type Settings } from "../../app/settings";

export type Unit = Settings["unit"];

/** Millimetres to one, and the decimals that are worth showing of a trunk. */
const UNITS: Readonly<Record<Unit, { mm: number; decimals: number }>> = {
  mm: { mm: 1, decimals: 1 },
  cm: { mm: 10, decimals: 2 },
  in: { mm: 25.4, decimals: 2 },
};

function plain(value: number, decimals: number): string {
  return String(Number(value.toFixed(decimals)));
}

/** "12.5", in the unit given. */
export function inUnit(mm: number, unit: Unit): string {
  return plain(mm / UNITS[unit].mm, UNITS[unit].decimals);
}

/** "12.5 mm", "1.25 cm", "0.49 in": in the unit of this phone. */
export function length(mm: number, unit: Unit = settings.value.unit): string {
  return `${inUnit(mm, unit)} ${unit}`;
}

/** Millimetres of a number in a unit, to a tenth: finer than any caliper on bark. */
export function toMm(value: number, unit: Unit): number {
  return Number((value * UNITS[unit].mm).toFixed(1));
}

export function decimalsOf(unit: Unit): number {
  return UNITS[unit].decimals;
}
