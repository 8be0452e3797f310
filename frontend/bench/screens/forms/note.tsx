// A few words about a tree.

import { useState } from "preact/hooks";
import type { FormProps } from "../more";
import { Panel } from "../parts";

const MOST = 2000;

export function NoteForm({ tree, save, close }: FormProps) {
  const [text, setText] = useState("");
  const bare = text.trim();
  return (
    <Panel
      name="note"
      title={`Note on ${tree.tag}`}
      close={close}
      go={
        <>
          <button class="btn" data-action="close" onClick={close}>
            Close
          </button>
          <button
            class="btn main"
            data-action="save"
            disabled={!bare}
            onClick={() => save({ kind: "note", body: { text: bare } })}
          >
            Save the note
          </button>
        </>
      }
    >
      <div class="field">
        <label for="note">What did you see?</label>
        <textarea
          id="note"
          data-field="note"
          rows={4}
          maxLength={MOST}
          value={text}
          onInput={(event) => setText(event.currentTarget.value)}
        />
      </div>
    </Panel>
  );
}
