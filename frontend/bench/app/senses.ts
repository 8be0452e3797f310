// What a phone can do besides showing: tremble when a record is on the disk, and stay awake on a walk.

import { useEffect } from "preact/hooks";
import { settings } from "./settings";

/** Saved: one short pulse. Not saved: two long ones. A scanned tree found: one that is felt at arm's length. [ms] */
const PULSES = { saved: [15], failed: [80, 60, 80], found: [40] } as const;

/** Where the phone can (no iPhone can), and the grower likes it. */
export function buzz(what: keyof typeof PULSES): void {
  if (settings.peek().buzz === "on") navigator.vibrate?.([...PULSES[what]]);
}

/** Keep the screen lit as long as this is shown; the browser lets go whenever the app is out of sight. */
export function useAwake(): void {
  const wanted = settings.value.awake === "on";
  useEffect(() => {
    if (!wanted || !navigator.wakeLock) return;
    let lock: WakeLockSentinel | undefined;
    let over = false;
    const ask = async () => {
      if (document.visibilityState !== "visible") return;
      // Refused at low battery: the screen then goes dark as it always did.
      const got = await navigator.wakeLock.request("screen").catch(() => undefined);
      if (over) await got?.release();
      else lock = got;
    };
    void ask();
    document.addEventListener("visibilitychange", ask);
    return () => {
      over = true;
      document.removeEventListener("visibilitychange", ask);
      void lock?.release();
    };
  }, [wanted]);
}
