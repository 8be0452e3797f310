// Tags with a check character: the phone's twin of nursery/science/tags.py, held to it by shared vectors.

const CHECKS = "23456789ABCDEFGHJKMNPQRSTUVWXYZ";
const LETTERS = "ABCDEFGHJKMNPQRSTVWXYZ";
const MODULUS = 31;
const RADIX = 3;

const VALUE = new Map<string, number>([...(LETTERS + "123456789")].map((char, at) => [char, at]));
const CHECK_VALUE = new Map([...VALUE].filter(([char]) => CHECKS.includes(char)));
CHECK_VALUE.set("U", VALUE.get("1")!);
VALUE.set("0", 0);
const CHECK_OF = new Map([...CHECK_VALUE].map(([char, value]) => [value, char]));

function check(body: string): string {
  let total = 0;
  for (const char of body) total = ((total + VALUE.get(char)!) * RADIX) % MODULUS;
  return CHECK_OF.get((MODULUS - total) % MODULUS)!;
}

/** The tag of a number; throws a RangeError where the prefix or the number cannot be in a tag. */
export function makeTag(prefix: string, number: number): string {
  if (!/^[A-HJKMNP-TV-Z]{1,3}$/.test(prefix)) throw new RangeError(`a tag cannot start with "${prefix}"`);
  if (!Number.isInteger(number) || number < 1 || number > 9999) throw new RangeError("a tag's number is 1 to 9999");
  const body = prefix + String(number).padStart(3, "0");
  return body + check(body);
}

/** Whether this is a tag that Misho gives out (capitals, right check character). */
export function validTag(tag: string): boolean {
  const body = tag.slice(0, -1);
  if (!/^[A-HJKMNP-TV-Z]{1,3}(\d{3}|[1-9]\d{3})$/.test(body) || /^\D+000$/.test(body)) return false;
  return check(body) === tag.slice(-1);
}
