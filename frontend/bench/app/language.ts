// Which language the app speaks: the one chosen on this phone, else the phone's own.

import { effect } from "@preact/signals";
import { locale, localeOf, speak, t } from "../words";
import type { Fault } from "./desk";
import { settings } from "./settings";

/**
 * Speak it from now on, and let the page say which it is. Done when the first texts are there: what is drawn before
 * that would change under the eye. `failed`: the texts cannot be loaded, and what was spoken before stays.
 */
export function followLanguage(root: HTMLElement, failed: () => void): Promise<void> {
  let spoken = Promise.resolve();
  const follow = () => {
    const { language } = settings.peek();
    spoken = speak(language === "phone" ? localeOf(navigator.languages) : language).catch(failed);
  };
  effect(() => {
    void settings.value.language;
    follow();
  });
  addEventListener("languagechange", follow);
  effect(() => void (root.lang = locale()));
  return spoken;
}

export function notThere(): Fault {
  return {
    message: t("The texts of that language are not on this phone."),
    mend: t("Choose it again where the phone can reach the shed."),
  };
}
