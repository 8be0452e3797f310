// Keys that answer as the finger leaves them. Of a touch the browser makes a click only once it has asked itself what the
// touch was and looked again for what lies under it, and works at that while the record is on its way. On a key of a
// tree's sheet, for a short touch that stayed where it was, all that is known. Whatever is not so plain is left to the
// browser, and so are mouse, keyboard and screen reader.

/** A touch that lasts longer may be a long press. [ms] */
const LONGEST_MS = 400;
/** A finger that went farther may have meant to scroll. [px] */
const FARTHEST_PX = 8;
/** A finger laid on what was still rolling so lately stops it, and presses nothing. [ms] */
const ROLLED_MS = 150;

interface Touched { key: HTMLElement; at: number; x: number; y: number }

let began: Touched | undefined;
const rolled = new WeakMap<EventTarget, number>();

/** The key under this touch, where it is one of those that answer at once. */
function keyOf(target: EventTarget | null): HTMLElement | null {
  const key = target instanceof Element ? target.closest<HTMLElement>("button") : null;
  return key?.closest("[data-at-once]") ? key : null;
}

/** Whether anything that the key lies on has rolled since then. */
function rolling(key: Node, since: number): boolean {
  for (let at: Node | null = key; at; at = at.parentNode) {
    if ((rolled.get(at) ?? -Infinity) > since) return true;
  }
  return false;
}

function begin({ target, touches }: TouchEvent): void {
  const [one] = touches;
  const [key, at] = [keyOf(target), performance.now()];
  const plain = key && one && touches.length === 1 && !rolling(key, at - ROLLED_MS);
  began = plain ? { key, at, x: one.clientX, y: one.clientY } : undefined;
}

function isTap({ key, at, x, y }: Touched, { cancelable, changedTouches: [one] }: TouchEvent): boolean {
  const stayed = one !== undefined && Math.hypot(one.clientX - x, one.clientY - y) <= FARTHEST_PX;
  return cancelable && stayed && performance.now() - at <= LONGEST_MS && !rolling(key, at);
}

function end(event: TouchEvent): void {
  const was = began;
  began = undefined;
  if (!was || !isTap(was, event)) return;
  // Else the browser would press it a second time.
  event.preventDefault();
  was.key.click();
}

addEventListener("scroll", ({ target }) => void (target && rolled.set(target, performance.now())), { passive: true, capture: true });
addEventListener("touchstart", begin, { passive: true, capture: true });
addEventListener("touchcancel", () => (began = undefined), { passive: true, capture: true });
addEventListener("touchend", end, { passive: false, capture: true });
