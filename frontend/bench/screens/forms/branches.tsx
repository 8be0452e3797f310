// Branches that are set: counted, not judged.

import { useState } from "preact/hooks";
import { t } from "../../words";
import { FormPanel } from "../parts";
import type { FormProps } from "./props";

interface StepProps { name: string; hook: string; value: number; set: (n: number) => void; most: number }

function Step({ name, hook, value, set, most }: StepProps) {
  return (
    <div class="step" role="group" aria-label={name}>
      <span class="label">{name}</span>
      <button class="btn" aria-label={t("one fewer: {what}", { what: name })} disabled={value === 0} onClick={() => set(value - 1)}>
        {"\u2212"}
      </button>
      <output data-count={hook}>{value}</output>
      <button class="btn" aria-label={t("one more: {what}", { what: name })} disabled={value === most} onClick={() => set(value + 1)}>
        +
      </button>
    </div>
  );
}

export function BranchesForm({ tree, save, close }: FormProps) {
  const [primaries, setPrimaries] = useState(0);
  const [secondaries, setSecondaries] = useState(0);
  const [counted, setCounted] = useState(false);
  // None at all is an answer too, but never one that a slip of the thumb gives.
  const after = (set: (n: number) => void) => (n: number) => {
    setCounted(true);
    set(n);
  };
  return (
    <FormPanel
      name="branches"
      title={t("Branches of {tag}", { tag: tree.tag })}
      close={close}
      word={counted ? t("Save {primaries} and {secondaries}", { primaries, secondaries }) : t("Count first")}
      ready={counted}
      save={() => save({ kind: "branch_survey", body: { primaries, secondaries } })}
    >
      <p class="soft">{t("Count only those that stay in the design. None at all: tap + and then \u2212.")}</p>
      <Step name={t("from the trunk")} hook="primaries" value={primaries} set={after(setPrimaries)} most={60} />
      <Step name={t("from those")} hook="secondaries" value={secondaries} set={after(setSecondaries)} most={400} />
    </FormPanel>
  );
}
