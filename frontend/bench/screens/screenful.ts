// How much of a bench a screen shows. Reckoned: to measure it, it would have to be drawn twice.

/** How large rows and columns are drawn at least, as the styles have it; of the height, what the sheet leaves. [rem] */
const LEAST = { row: 4.125, column: 4.375, names: 2.875, room: 0.38 };

/** So many rows and columns, once the page wears the size of its words. */
export function screenful(): { rows: number; columns: number } {
  const rem = parseFloat(getComputedStyle(document.documentElement).fontSize) || 16;
  const columns = Math.ceil((innerWidth / rem - LEAST.names) / LEAST.column);
  return { rows: Math.ceil((innerHeight * LEAST.room) / rem / LEAST.row), columns };
}
