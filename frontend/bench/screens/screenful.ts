// How much of a bench a screen shows. Reckoned: to measure it, it would have to be drawn twice.

/** As the styles have it: the least that a row and a column take, what stands above and beside the bench. [rem] */
const SIZE = { row: 4.125, column: 4.375, names: 2.875, above: 7.3, aside: 27.5 };
/** The sheet of a tree with one question, and of one with all of them. [rem] */
const SHEET = { low: 16.75, high: 25.5 };
/** From here on the sheet stands beside the bench. [rem] */
const WIDE = 60;

/** So many rows and columns beside a low or a high sheet, once the page wears the size of its words. */
export function screenful(sheet: keyof typeof SHEET): { rows: number; columns: number } {
  const rem = parseFloat(getComputedStyle(document.documentElement).fontSize) || 16;
  const [width, height] = [innerWidth / rem, innerHeight / rem];
  const wide = width >= WIDE;
  const room = { width: width - SIZE.names - (wide ? SIZE.aside : 0), height: height - SIZE.above - (wide ? 0 : SHEET[sheet]) };
  return { rows: Math.max(2, Math.ceil(room.height / SIZE.row)), columns: Math.max(2, Math.ceil(room.width / SIZE.column)) };
}
