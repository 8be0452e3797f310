// The words of the settings: what each is about, its choices, and what it does.

import type { Settings } from "../../app/settings";
import { NAMES, same, word, type Text } from "../../words";

interface Said<K extends keyof Settings> { name: Text; choices: Readonly<Record<Settings[K], Text>>; hint: Text }

export const SETTING: { readonly [K in keyof Settings]: Said<K> } = {
  hand: {
    name: word("Hand that holds it"),
    choices: { right: word("right"), left: word("left") },
    hint: word("The keys used most lie on its side."),
  },
  text: {
    name: word("Text"),
    choices: { usual: word("usual"), large: word("large"), largest: word("largest") },
    hint: word("On top of the text size that the phone itself is set to."),
  },
  light: {
    name: word("Light"),
    choices: { phone: word("as the phone"), light: word("light"), dark: word("dark") },
    hint: word("Light is read best in the sun."),
  },
  unit: {
    name: word("Lengths"),
    choices: { mm: same("mm"), cm: same("cm"), in: word("inches") },
    hint: word("Shown and typed so; records hold millimetres all the same."),
  },
  buzz: {
    name: word("Tremble when saved"),
    choices: { on: word("on"), off: word("off") },
    hint: word("Two long pulses say that it was not saved. Not every phone can."),
  },
  awake: {
    name: word("Screen stays lit on a walk"),
    choices: { on: word("on"), off: word("off") },
    hint: word("It costs battery."),
  },
  language: {
    name: word("Language"),
    choices: { phone: word("as the phone"), en: same(NAMES.en), de: same(NAMES.de) },
    hint: word("Tags, notes and names stay as they were written."),
  },
};
