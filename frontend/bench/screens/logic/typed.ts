// What is wrong with a tag that was typed and that no tree has.

import { validTag } from "../../model/tags";
import { t } from "../../words";

const WHOLE = /^[A-Z]{1,3}\d{3,4}[A-Z0-9]$/;

/** One sentence on a typed tag that finds nothing: a wrong check character is named as such. */
export function typedFault(text: string): string {
  const tag = text.trim().toUpperCase();
  const head = /^[A-Z]*/.exec(tag)![0].slice(0, 3);
  const bad = /[ILOU]/.exec(head)?.[0];
  if (bad && /\d/.test(tag)) return t("Misho's tags never begin with {letter}: look at the label again.", { letter: bad });
  if (WHOLE.test(tag) && !validTag(tag)) {
    return t("{tag} is misread: its check character, the last one, does not fit. Look at the label again.", { tag });
  }
  return validTag(tag)
    ? t("A right tag, but no such tree is on this phone. Is it new at the shed? Then hand over and fetch.")
    : t("No tag begins like that on this phone.");
}
