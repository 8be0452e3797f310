// A tree left the nursery: how, and why.

import { useState } from "preact/hooks";
import { label, LEAVINGS, type Leaving } from "../../model/words";
import { t } from "../../words";
import { CULLED } from "../logic/cautions";
import { Choice, FormPanel } from "../parts";
import type { FormProps } from "./props";

export function LeftForm({ tree, save, close }: FormProps) {
  const [how, setHow] = useState<Leaving>();
  const [why, setWhy] = useState("");
  const bare = why.trim();
  return (
    <FormPanel
      name="left"
      title={t("{tag} left the nursery", { tag: tree.tag })}
      close={close}
      ready={how !== undefined}
      word={how ? t("Save: {what}", { what: label(how) }) : t("Say how")}
      save={() => how && save({ kind: "tree_left", body: bare ? { how, why: bare } : { how } })}
    >
      <Choice
        name="how"
        spoken={t("how it left")}
        hook="how"
        two
        options={LEAVINGS.map((w) => ({ value: w, word: label(w) }))}
        value={how}
        pick={(v) => setHow(v as Leaving)}
      />
      {(how === "died" || how === "culled") && <p class="word-box due">{t(CULLED)}</p>}
      <div class="field">
        <label for="why">{t("Why, in a few words")}</label>
        <input
          id="why"
          data-field="why"
          maxLength={200}
          value={why}
          onInput={(event) => setWhy(event.currentTarget.value)}
        />
      </div>
      <p class="soft gap">{t("It goes from the bench on this phone at once. Undo brings it back.")}</p>
    </FormPanel>
  );
}
