// Work done on a tree: what suits its species comes first.

import { useState } from "preact/hooks";
import { label, WORKS, type Work } from "../../model/words";
import { t } from "../../words";
import { caution } from "../logic/cautions";
import { FormPanel } from "../parts";
import type { FormProps } from "./props";

/** Works that suit the species first, then the others; both in the usual order. */
export function inUse(techniques: readonly string[]): Work[] {
  const suits = WORKS.filter((w) => techniques.includes(w));
  return [...suits, ...WORKS.filter((w) => !suits.includes(w))];
}

export function WorkForm({ tree, species, save, close }: FormProps) {
  const [task, setTask] = useState<Work>();
  const [detail, setDetail] = useState("");
  const bare = detail.trim();
  const warn = task ? caution(task) : "";
  return (
    <FormPanel
      name="work"
      title={t("Work done on {tag}", { tag: tree.tag })}
      close={close}
      ready={task !== undefined}
      word={task ? t("Save: {what}", { what: label(task) }) : t("Choose the work")}
      save={() => task && save({ kind: "work_done", body: bare ? { task, detail: bare } : { task } })}
    >
      <div class="opts two" role="group" aria-label={t("work")}>
        {inUse(species?.techniques ?? []).map((w) => (
          <button key={w} class="opt" data-work={w} aria-pressed={w === task} onClick={() => setTask(w)}>
            {label(w)}
          </button>
        ))}
      </div>
      <div role="status">{warn && <p class="word-box due">{warn}</p>}</div>
      <div class="field">
        <label for="detail">{t("More, if you like")}</label>
        <input
          id="detail"
          data-field="detail"
          maxLength={200}
          value={detail}
          onInput={(event) => setDetail(event.currentTarget.value)}
        />
      </div>
    </FormPanel>
  );
}
