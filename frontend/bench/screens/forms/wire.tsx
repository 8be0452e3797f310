// Wire put on, and wire taken off.

import { useState } from "preact/hooks";
import type { Scars, WirePart } from "../../model/words";
import { label, SCARS, WIRE_PARTS } from "../../model/words";
import { WIRE_OFF } from "../logic/cautions";
import { KEYS, press } from "../logic/caliper";
import type { FormProps } from "../more";
import { Choice, Panel } from "../parts";

export function WireOnForm({ tree, save, close }: FormProps) {
  const [part, setPart] = useState<WirePart>("trunk");
  const [mm, setMm] = useState("");
  const thick = Number(mm);
  const body = thick >= 0.5 && thick <= 12 ? { part, wire_mm: thick } : { part };
  return (
    <Panel
      name="wire-on"
      title={`Wire put on ${tree.tag}`}
      close={close}
      go={
        <>
          <button class="btn" data-action="close" onClick={close}>
            Close
          </button>
          <button
            class="btn main"
            data-action="save"
            disabled={mm !== "" && body.wire_mm === undefined}
            onClick={() => save({ kind: "wire_on", body })}
          >
            {mm !== "" && body.wire_mm === undefined ? "0.5 to 12 mm" : "Save: wire on"}
          </button>
        </>
      }
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
    </Panel>
  );
}

export function WireOffForm({ tree, save, close }: FormProps) {
  const [scars, setScars] = useState<Scars>();
  return (
    <Panel
      name="wire-off"
      title={`Wire taken off ${tree.tag}`}
      close={close}
      go={
        <>
          <button class="btn" data-action="close" onClick={close}>
            Close
          </button>
          <button
            class="btn main"
            data-action="save"
            disabled={!scars}
            onClick={() => scars && save({ kind: "wire_off", body: { scars } })}
          >
            {scars ? "Save: all wire is off" : "Say which scars it left"}
          </button>
        </>
      }
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
    </Panel>
  );
}
