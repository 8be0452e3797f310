// Trunk diameter just above the roots, by a number pad that a cold thumb can hit.

import { useState } from "preact/hooks";
import { settings } from "../../app/settings";
import { doubt, KEYS, millimetres, MOST, press, type Key } from "../logic/caliper";
import { length } from "../logic/units";
import { day } from "../logic/words";
import type { FormProps } from "../more";
import { FormPanel } from "../parts";

function Pad({ tap }: { tap: (key: Key) => void }) {
  return (
    <div class="pad">
      {KEYS.map((key) => (
        <button key={key} type="button" class="btn" data-key={key} onClick={() => tap(key)}>
          {key === "back" ? "delete" : key}
        </button>
      ))}
    </div>
  );
}

export function CaliperForm({ tree, save, close }: FormProps) {
  const [text, setText] = useState("");
  const { unit } = settings.value;
  const mm = millimetres(text, unit);
  const typed = `${text} ${unit}`;
  const fresh = typeof tree.fresh.caliper?.state === "number" ? tree.fresh.caliper.state : null;
  const last = fresh ?? tree.st?.caliper_mm ?? null;
  const on = tree.fresh.caliper?.observed_at ?? tree.st?.last.caliper?.[1];
  const warn = mm === undefined ? "" : doubt(mm, last);
  return (
    <FormPanel
      name="caliper"
      title={`Caliper of ${tree.tag}`}
      close={close}
      ready={mm !== undefined}
      word={mm === undefined ? `At most ${length(MOST)}` : warn ? `Save ${typed} all the same` : `Save ${typed}`}
      save={() => mm !== undefined && save({ kind: "caliper", body: { mm } })}
    >
      <p class="soft">
        Just above the roots.{" "}
        {last === null ? "Not measured before." : `Last time ${length(last)}${on ? `, ${day(on)}` : ""}.`}
      </p>
      <output class="reading" data-reading aria-label="reading">
        {text || "0"} <small>{unit}</small>
      </output>
      <div role="alert">
        {warn && (
          <p class="word-box due" data-doubt>
            <b>{warn}</b> Measure again at the same height.
          </p>
        )}
      </div>
      <Pad tap={(key) => setText((t) => press(t, key, unit))} />
    </FormPanel>
  );
}
