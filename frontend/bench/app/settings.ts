// How this phone shows things. Kept by the browser beside the records, never handed over: another phone of the
// same grower may lie in another hand.

import { effect, signal, type Signal } from "@preact/signals";
import { LOCALES, type Locale } from "../words";

export interface Settings {
  text: "usual" | "large" | "largest";
  light: "phone" | "light" | "dark";
  hand: "right" | "left";
  unit: "mm" | "cm" | "in";
  buzz: "on" | "off";
  awake: "on" | "off";
  language: "phone" | Locale;
}

/** What each may be; the first is what it is until the grower says otherwise. */
export const CHOICES: { readonly [K in keyof Settings]: readonly Settings[K][] } = {
  text: ["usual", "large", "largest"],
  light: ["phone", "light", "dark"],
  hand: ["right", "left"],
  unit: ["mm", "cm", "in"],
  buzz: ["on", "off"],
  awake: ["on", "off"],
  language: ["phone", ...LOCALES],
};

const HOME = "misho-settings";

/** Settings from what was kept; anything that is no choice is as if it were not there. */
export function read(text: string | null): Settings {
  let kept: Record<string, unknown> = {};
  try {
    kept = (JSON.parse(text ?? "{}") as Record<string, unknown> | null) ?? {};
  } catch {
    // Somebody else's or a torn one: the first choices do.
  }
  const chosen = Object.entries(CHOICES).map(([name, choices]) => {
    return [name, (choices as readonly unknown[]).includes(kept[name]) ? kept[name] : choices[0]];
  });
  return Object.fromEntries(chosen) as Settings;
}

function kept(): string | null {
  try {
    return localStorage.getItem(HOME);
  } catch {
    return null; // a browser that keeps nothing
  }
}

export const settings: Signal<Settings> = signal(read(kept()));

export function choose<K extends keyof Settings>(name: K, value: Settings[K]): void {
  settings.value = { ...settings.value, [name]: value };
  try {
    localStorage.setItem(HOME, JSON.stringify(settings.value));
  } catch {
    // It holds until the app is closed.
  }
}

const TIMES: Readonly<Record<Settings["text"], number>> = { usual: 1, large: 1.25, largest: 1.5 };

/** The page wears what its styles ask for: light, hand, and the size that all sizes are told in. */
export function wear(root: HTMLElement): void {
  effect(() => {
    const { text, light, hand } = settings.value;
    Object.assign(root.dataset, { text, light, hand });
    // On top of what browser and phone are set to, so that is asked first.
    root.style.fontSize = "";
    if (TIMES[text] !== 1) root.style.fontSize = `${parseFloat(getComputedStyle(root).fontSize) * TIMES[text]}px`;
  });
}
