// The words of the settings: what each is about, its choices, and what it does.

import type { Settings } from "../../app/settings";
import { NAMES } from "../../words";

interface Said<K extends keyof Settings> { name: string; choices: Readonly<Record<Settings[K], string>>; hint: string }

export const SETTING: { readonly [K in keyof Settings]: Said<K> } = {
  hand: {
    name: "Hand that holds it",
    choices: { right: "right", left: "left" },
    hint: "The keys used most lie on its side.",
  },
  text: {
    name: "Text",
    choices: { usual: "usual", large: "large", largest: "largest" },
    hint: "On top of the text size that the phone itself is set to.",
  },
  light: {
    name: "Light",
    choices: { phone: "as the phone", light: "light", dark: "dark" },
    hint: "Light is read best in the sun.",
  },
  unit: {
    name: "Lengths",
    choices: { mm: "mm", cm: "cm", in: "inches" },
    hint: "Shown and typed so; records hold millimetres all the same.",
  },
  buzz: {
    name: "Tremble when saved",
    choices: { on: "on", off: "off" },
    hint: "Two long pulses say that it was not saved. Not every phone can.",
  },
  awake: {
    name: "Screen stays lit on a walk",
    choices: { on: "on", off: "off" },
    hint: "It costs battery.",
  },
  language: {
    name: "Language",
    choices: { phone: "as the phone", ...NAMES },
    hint: "Tags, notes and names stay as they were written.",
  },
};
