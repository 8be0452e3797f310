// What the shed says of a tree, as data: English text with markers, and the values for them. The markers and how
// each is said are in nursery/sentences.py, which says them on the shed's pages; both are held to
// tests/vectors/sentences.json.

/** Text, or [text, values]. Text alone is also what an older shed sent, and is shown as it is. */
export type Sentence = string | readonly [text: string, values: Values];
type Values = Readonly<Record<string, unknown>>;

/** Who reads. `word`: a text in the reader's language; `today`: "2026-06-01". */
export interface Reader {
  word: (text: string) => string;
  locale: string;
  unit: "mm" | "cm" | "in";
  today: string;
}

const MONTHS = [
  "January", "February", "March", "April", "May", "June",
  "July", "August", "September", "October", "November", "December",
];
const SHORT = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
const DAY = "{day} {month}";
const DAY_OF_YEAR = "{day} {month} {year}";
const MONTH = "{month} {year}";
const PERCENT = "{number}%";
const AND = "{before} and {last}";

/** Millimetres to a unit, the decimals that are worth saying, usually and of whole millimetres; and its sign. */
const UNITS = {
  mm: { mm: 1, usual: 1, whole: 0, sign: "{number} mm" },
  cm: { mm: 10, usual: 2, whole: 1, sign: "{number} cm" },
  in: { mm: 25.4, usual: 2, whole: 2, sign: "{number} in" },
} as const;

const MARKER = /\{(\w+)(?::([^{}]+))?\}/g;

/** A sentence as this reader reads it. */
export function say(sentence: unknown, reader: Reader): string {
  if (typeof sentence === "string") return sentence && reader.word(sentence);
  if (!Array.isArray(sentence) || sentence.length !== 2 || !isValues(sentence[1])) return String(sentence ?? "");
  return fill(reader.word(String(sentence[0])), sentence[1], reader);
}

/** With a capital first letter. */
function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

function isValues(values: unknown): values is Values {
  return typeof values === "object" && values !== null && !Array.isArray(values);
}

function fill(text: string, values: Values, reader: Reader): string {
  return text.replace(MARKER, (marker: string, name: string, how: string | undefined) => {
    return name in values ? put(values[name], how ?? "", reader) : marker;
  });
}

type Teller = (value: unknown, reader: Reader) => string;
const HOW: Readonly<Record<string, Teller>> = {
  "": (value, reader) => (typeof value === "number" ? number(value, 4, reader) : String(value)),
  percent,
  chance,
  on,
  since,
  month,
  short: (value, reader) => dated(DAY_OF_YEAR, String(value), reader, SHORT),
  mm: (value, reader) => length(value, reader, {}),
  mm0: (value, reader) => length(value, reader, { whole: true }),
  mm1: (value, reader) => length(value, reader, { fixed: true }),
  bare0: (value, reader) => length(value, reader, { whole: true, bare: true }),
  word: say,
  capital: (value, reader) => capital(say(value, reader)),
  list,
};

function put(value: unknown, how: string, reader: Reader): string {
  const [one, ...more] = how.split("|");
  if (more.length) return value === 1 ? one! : more.join("|");
  const tell = HOW[how];
  if (tell) return tell(value, reader);
  return /^\d$/.test(how) ? number(Number(value), Number(how), reader, true) : String(value);
}

function number(value: number, decimals: number, reader: Reader, fixed = false): string {
  const text = value.toFixed(decimals);
  const plain = fixed || !decimals ? text : text.replace(/\.?0+$/, "");
  return reader.locale === "de" ? plain.replace(".", ",") : plain;
}

function percent(value: unknown, reader: Reader): string {
  return fill(reader.word(PERCENT), { number: value }, reader);
}

function chance(value: unknown, reader: Reader): string {
  const whole = Number(value);
  const text = percent(Math.min(99, Math.max(1, whole)), reader);
  return whole < 1 ? `<${text}` : whole > 99 ? `>${text}` : text;
}

function on(value: unknown, reader: Reader): string {
  const day = String(value);
  return dated(day.slice(0, 4) === reader.today.slice(0, 4) ? DAY : DAY_OF_YEAR, day, reader);
}

function since(value: unknown, reader: Reader): string {
  const days = (Date.parse(reader.today) - Date.parse(String(value))) / 86_400_000;
  return days >= 365 ? month(value, reader) : on(value, reader);
}

function month(value: unknown, reader: Reader): string {
  return dated(MONTH, String(value), reader);
}

function dated(pattern: string, iso: string, reader: Reader, names: readonly string[] = MONTHS): string {
  const [year, at, day] = iso.split("-");
  const name = names[Number(at) - 1];
  if (name === undefined || day === undefined) return iso;
  return fill(reader.word(pattern), { day: String(Number(day)), month: reader.word(name), year }, reader);
}

interface Shown { whole?: boolean; fixed?: boolean; bare?: boolean }

function length(value: unknown, reader: Reader, { whole = false, fixed = false, bare = false }: Shown): string {
  const { mm, usual, whole: coarse, sign } = UNITS[reader.unit];
  const text = number(Number(value) / mm, whole ? coarse : usual, reader, fixed);
  return bare ? text : fill(reader.word(sign), { number: text }, reader);
}

function list(value: unknown, reader: Reader): string {
  const said = (value as readonly unknown[]).map((one) => say(one, reader));
  const last = said.pop() ?? "";
  return said.length ? fill(reader.word(AND), { before: said.join(", "), last }, reader) : last;
}
