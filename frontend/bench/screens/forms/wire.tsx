// Wire put on, and wire taken off.

import { useState } from "preact/hooks";
import { settings } from "../../app/settings";
import type { Scars, WirePart } from "../../model/words";
import { label, SCARS, WIRE_PARTS } from "../../model/words";
import { t } from "../../words";
import { wireOff } from "../logic/cautions";
import { millimetres, press, shown } from "../logic/caliper";
import { inUnit, length, sign } from "../logic/units";
import { Choice, FormPanel } from "../parts";
import { Pad } from "./pad";
import type { FormProps } from "./props";

/** The thinnest and thickest wire that a record takes. [mm] */
const WIRE = { least: 0.5, most: 12 } as const;

export function WireOnForm({ tree, save, close }: FormProps) {
  const [part, setPart] = useState<WirePart>("trunk");
  const [text, setText] = useState("");
  const { unit } = settings.value;
  const thick = millimetres(text, unit) ?? 0;
  const known = !text || (thick >= WIRE.least && thick <= WIRE.most);
  const bounds = { least: inUnit(WIRE.least, unit), most: length(WIRE.most) };
  return (
    <FormPanel
      name="wire-on"
      title={t("Wire put on {tag}", { tag: tree.tag })}
      close={close}
      ready={known}
      word={known ? t("Save: wire on") : t("{least} to {most}", bounds)}
      save={() => save({ kind: "wire_on", body: text ? { part, wire_mm: thick } : { part } })}
    >
      <Choice
        name="part"
        spoken={t("part of the tree")}
        hook="part"
        options={WIRE_PARTS.map((w) => ({ value: w, word: label(w) }))}
        value={part}
        pick={(v) => setPart(v as WirePart)}
      />
      <p class="gap">{t("Thickness of the wire, if you know it:")}</p>
      <output class="reading small" aria-label={t("wire thickness")}>
        {shown(text) || t("not said")} {text && <small>{sign(unit)}</small>}
      </output>
      <Pad low tap={(key) => setText((was) => press(was, key, unit))} />
    </FormPanel>
  );
}

export function WireOffForm({ tree, save, close }: FormProps) {
  const [scars, setScars] = useState<Scars>();
  return (
    <FormPanel
      name="wire-off"
      title={t("Wire taken off {tag}", { tag: tree.tag })}
      close={close}
      ready={scars !== undefined}
      word={scars ? t("Save: all wire is off") : t("Say which scars it left")}
      save={() => scars && save({ kind: "wire_off", body: { scars } })}
    >
      <p class="word-box due">{wireOff()}</p>
      <p class="gap">{t("Scars that it left:")}</p>
      <Choice
        name="scars"
        spoken={t("scars")}
        hook="scars"
        options={SCARS.map((w) => ({ value: w, word: label(w) }))}
        value={scars}
        pick={(v) => setScars(v as Scars)}
      />
    </FormPanel>
  );
}
