// Wire put on, and wire taken off.

import { useState } from "preact/hooks";
import type { Scars, WirePart } from "../../model/words";
import { label, SCARS, WIRE_PARTS } from "../../model/words";
import { WIRE_OFF } from "../logic/cautions";
import { KEYS, press } from "../logic/caliper";
import type { FormProps } from "../more";
import { Choice, FormPanel } from "../parts";

export function WireOnForm({ tree, save, close }: FormProps) {
  const [part, setPart] = useState<WirePart>("trunk");
  const [mm, setMm] = useState("");
  const thick = Number(mm);
  const body = mm ? { part, wire_mm: thick } : { part };
  const known = !mm || (thick >= 0.5 && thick <= 12);
  return (
    <FormPanel
      name="wire-on"
      title={`Wire put on ${tree.tag}`}
      close={close}
      ready={known}
      word={known ? "Save: wire on" : "0.5 to 12 mm"}
      save={() => save({ kind: "wire_on", body })}
    >
      <Choice
        name="part"
        hook="part"
        options={WIRE_PARTS.map((w) => ({ value: w, word: label(w) }))}
        value={part}
        pick={(v) => setPart(v as WirePart)}
      />
      <p class="gap">Thickness of the wire, if you know it:</p>
      <output class="reading small" aria-label="wire thickness">
        {mm || "not said"} {mm && <small>mm</small>}
      </output>
      <div class="pad low">
        {KEYS.map((key) => (
          <button key={key} type="button" class="btn" data-key={key} onClick={() => setMm((t) => press(t, key))}>
            {key === "back" ? "delete" : key}
          </button>
        ))}
      </div>
    </FormPanel>
  );
}

export function WireOffForm({ tree, save, close }: FormProps) {
  const [scars, setScars] = useState<Scars>();
  return (
    <FormPanel
      name="wire-off"
      title={`Wire taken off ${tree.tag}`}
      close={close}
      ready={scars !== undefined}
      word={scars ? "Save: all wire is off" : "Say which scars it left"}
      save={() => scars && save({ kind: "wire_off", body: { scars } })}
    >
      <p class="word-box due">{WIRE_OFF}</p>
      <p class="gap">Scars that it left:</p>
      <Choice
        name="scars"
        hook="scars"
        options={SCARS.map((w) => ({ value: w, word: label(w) }))}
        value={scars}
        pick={(v) => setScars(v as Scars)}
      />
    </FormPanel>
  );
}
