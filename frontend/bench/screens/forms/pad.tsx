// A number pad that a cold thumb can hit. Where the phone has keys of its own, those type too.

import { useEffect, useRef } from "preact/hooks";
import { KEYS, shown, type Key } from "../logic/caliper";
import { t } from "../../words";

const TYPED: Readonly<Record<string, Key>> = { ",": ".", Backspace: "back", Delete: "back" };

/** The pad's key for a key of a keyboard; point and comma are one. */
export function keyOf(name: string): Key | undefined {
  const key = TYPED[name] ?? name;
  return KEYS.find((known) => known === key);
}

export function Pad({ tap, low }: { tap: (key: Key) => void; low?: boolean }) {
  const latest = useRef(tap);
  latest.current = tap;
  useEffect(() => {
    const type = (event: KeyboardEvent) => {
      const key = event.ctrlKey || event.metaKey || event.altKey ? undefined : keyOf(event.key);
      if (key) latest.current(key);
    };
    addEventListener("keydown", type);
    return () => removeEventListener("keydown", type);
  }, []);
  return (
    <div class={low ? "pad low" : "pad"}>
      {KEYS.map((key) => (
        <button key={key} type="button" class="btn" data-key={key} onClick={() => tap(key)}>
          {key === "back" ? t("delete") : shown(key)}
        </button>
      ))}
    </div>
  );
}
