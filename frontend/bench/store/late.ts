// A store that is loaded and opened with the first thing asked of it: a screen can be drawn and tapped before.

import type { MishoStore } from "./faces";
import type { Photos, PhotoQueue } from "./photos";
import { inWords } from "./safely";
import type { Signs } from "./signs";

/** `load` gives a store that tells by these `signs`. After a failure, the next thing asked tries again. */
export function lateStore(load: () => Promise<MishoStore>, signs: Signs): MishoStore {
  let opening: Promise<MishoStore> | undefined;
  const open = () =>
    (opening ??= load().catch((error: unknown) => {
      opening = undefined;
      throw inWords(error);
    }));
  const { waiting, setAside, version, hearers } = signs;
  const photos = late<Photos & PhotoQueue>({ ...signs.photos }, () => open().then((store) => store.photos));
  const close = () => void opening?.then((store) => store.close(), () => undefined);
  return late<MishoStore>({ waiting, setAside, version, photos, close, onTrees: (hearer) => hearers.add(hearer) }, open);
}

type Asked = Record<string | symbol, (...given: unknown[]) => unknown>;

/** What is not at hand is a method that gives a promise. */
function late<T extends object>(atHand: Partial<T>, open: () => Promise<T>): T {
  return new Proxy(atHand as T, {
    get: (own, name) => {
      // Who awaits it asks first whether it is a promise itself.
      if (name in own || name === "then") return Reflect.get(own, name) as unknown;
      return (...given: unknown[]) => open().then((store) => (store as Asked)[name]!(...given));
    },
  });
}
