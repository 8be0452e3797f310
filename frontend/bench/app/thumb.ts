// Whether a thumb is at work. What nobody waits for is done in small steps between its taps, not under one.

/** A finger that lies longer holds nothing up any more: its leaving may have been lost. [ms] */
const LONGEST_MS = 2_000;
/** How long is waited for a page that is not in sight: nothing of it is painted. [ms] */
const UNSEEN_MS = 500;

let touched = -Infinity;
let touching = false;
let answers = 0;
const waiting: (() => void)[] = [];

/** Done once what is drawn now is on the screen. */
export function painted(): Promise<void> {
  return new Promise((done) => {
    requestAnimationFrame(() => setTimeout(done));
    setTimeout(done, UNSEEN_MS);
  });
}

function busy(): boolean {
  return answers > 0 || (touching && performance.now() - touched < LONGEST_MS);
}

function look(): void {
  if (busy()) return;
  for (const go of waiting.splice(0)) go();
}

/** The thumb is at work until this is settled, well or not. */
export function atWork(answer: Promise<unknown>): void {
  answers += 1;
  const over = () => {
    answers -= 1;
    look();
  };
  answer.then(over, over);
}

const early = { passive: true, capture: true };
addEventListener("pointerdown", () => ((touched = performance.now()), (touching = true)), early);
for (const end of ["pointerup", "pointercancel"]) {
  addEventListener(end, () => {
    touching = false;
    // Its click comes first.
    if (waiting.length) setTimeout(look);
  }, early);
}

/** Done when no finger is on the glass and no tap waits for its answer: the next one takes a moment to come. */
export async function betweenTaps(): Promise<void> {
  // What the browser has to tell of a finger goes first.
  await new Promise<void>((done) => setTimeout(done));
  while (busy()) {
    await new Promise<void>((done) => {
      waiting.push(done);
      setTimeout(done, LONGEST_MS);
    });
    await painted();
  }
}
