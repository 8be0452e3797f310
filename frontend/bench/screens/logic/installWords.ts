// Words about the home screen and about what the browser has promised to keep.

import { t, word } from "../../words";

export const INSTALL = {
  title: word("First put Misho on the home screen"),
  why: word(
    "A page in the browser may be cleared after a week unused, with everything not yet handed over. The app on the home screen keeps it.",
  ),
  whyApple: word("Its memory is its own, so pair there and not here."),
  how: word("Open the browser's menu, then Install or Add to Home screen, then open Misho from there."),
  howApple: word("Tap Share, the square with the arrow, then Add to Home Screen, then open Misho from there."),
  now: word("Put it there now"),
} as const;

/** What the browser said when it was asked to keep our storage. */
export function keptWord(kept: boolean | undefined): string {
  if (kept === undefined) return t("This browser does not say whether it keeps what is recorded. Hand over often.");
  return kept
    ? t("The browser has promised to keep what is recorded.")
    : t("The browser has not promised to keep what is recorded: it may clear it when the phone is full. Hand over often.");
}
