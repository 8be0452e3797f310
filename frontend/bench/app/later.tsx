// Screens that are loaded after the first one is drawn. The worker keeps their file too: no network is needed.

import { signal } from "@preact/signals";
import type { ComponentProps } from "preact";
import { useEffect } from "preact/hooks";
import { faultOf, useDesk } from "./desk";
import { betweenTaps } from "./thumb";

type Others = typeof import("../screens/others");

const loaded = signal<Others | undefined>(undefined);

export async function loadOthers(): Promise<void> {
  loaded.value ??= await import("../screens/others");
}

/** Load them as soon as nobody waits for anything else. */
export function loadSoon(): void {
  const load = () => void betweenTaps().then(loadOthers).catch(() => undefined); // asked again when one of them is opened
  if (typeof requestIdleCallback === "function") requestIdleCallback(load, { timeout: 3000 });
  else setTimeout(load, 500);
}

type OtherProps<K extends keyof Others> = ComponentProps<Others[K]> & { it: K };

/** One of them by its name. */
export function Other<K extends keyof Others>({ it, ...props }: OtherProps<K>) {
  const desk = useDesk();
  const all = loaded.value;
  useEffect(() => {
    if (!all) loadOthers().catch((error: unknown) => (desk.fault.value = faultOf(error)));
  }, [all]);
  if (!all) return null;
  const Screen = all[it] as (props: object) => preact.JSX.Element;
  return <Screen {...props} />;
}
