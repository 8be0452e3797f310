// A few words about a tree.

import { useState } from "preact/hooks";
import { t } from "../../words";
import { FormPanel } from "../parts";
import type { FormProps } from "./props";

const MOST = 2000;

export function NoteForm({ tree, save, close }: FormProps) {
  const [text, setText] = useState("");
  const bare = text.trim();
  return (
    <FormPanel
      name="note"
      title={t("Note on {tag}", { tag: tree.tag })}
      close={close}
      ready={bare !== ""}
      word={t("Save the note")}
      save={() => save({ kind: "note", body: { text: bare } })}
    >
      <div class="field">
        <label for="note">{t("What did you see?")}</label>
        <textarea
          id="note"
          data-field="note"
          rows={4}
          maxLength={MOST}
          value={text}
          onInput={(event) => setText(event.currentTarget.value)}
        />
      </div>
    </FormPanel>
  );
}
