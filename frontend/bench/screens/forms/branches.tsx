// Branches that are set: counted, not judged.

import { useState } from "preact/hooks";
import type { FormProps } from "../more";
import { FormPanel } from "../parts";

interface StepProps { name: string; value: number; set: (n: number) => void; most: number }

function Step({ name, value, set, most }: StepProps) {
  return (
    <div class="step" role="group" aria-label={name}>
      <span class="label">{name}</span>
      <button class="btn" aria-label={`one fewer: ${name}`} disabled={value === 0} onClick={() => set(value - 1)}>
        &minus;
      </button>
      <output data-count={name}>{value}</output>
      <button class="btn" aria-label={`one more: ${name}`} disabled={value === most} onClick={() => set(value + 1)}>
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
      title={`Branches of ${tree.tag}`}
      close={close}
      word={counted ? `Save ${primaries} and ${secondaries}` : "Count first"}
      ready={counted}
      save={() => save({ kind: "branch_survey", body: { primaries, secondaries } })}
    >
      <p class="soft">Count only those that stay in the design. None at all: tap + and then &minus;.</p>
      <Step name="from the trunk" value={primaries} set={after(setPrimaries)} most={60} />
      <Step name="from those" value={secondaries} set={after(setSecondaries)} most={400} />
    </FormPanel>
  );
}
