// Trunk diameter just above the roots.

import { useState } from "preact/hooks";
import { settings } from "../../app/settings";
import type { TreeView } from "../../model/types";
import { t } from "../../words";
import { day } from "../../words/written";
import { doubt, LEAST, millimetres, press, shown } from "../logic/caliper";
import { length, sign } from "../logic/units";
import { FormPanel } from "../parts";
import { Pad } from "./pad";
import type { FormProps } from "./props";

function lastOf(tree: TreeView): number | null {
  return typeof tree.fresh.caliper?.state === "number" ? tree.fresh.caliper.state : (tree.st?.caliper_mm ?? null);
}

/** What was measured before, and when. */
function before(tree: TreeView): string {
  const last = lastOf(tree);
  if (last === null) return t("Not measured before.");
  const on = tree.fresh.caliper?.observed_at ?? tree.st?.last.caliper?.[1];
  if (!on) return t("Last time {length}.", { length: length(last) });
  return t("Last time {length}, {day}.", { length: length(last), day: day(on) });
}

export function CaliperForm({ tree, save, close }: FormProps) {
  const [text, setText] = useState("");
  const { unit } = settings.value;
  const mm = millimetres(text, unit);
  const typed = `${shown(text)} ${sign(unit)}`;
  const warn = mm === undefined ? "" : doubt(mm, lastOf(tree));
  const wanted = text ? t("At least {length}", { length: length(LEAST) }) : t("Type the diameter");
  const word = warn ? t("Save {length} all the same", { length: typed }) : t("Save {length}", { length: typed });
  return (
    <FormPanel
      name="caliper"
      title={t("Caliper of {tag}", { tag: tree.tag })}
      close={close}
      ready={mm !== undefined}
      word={mm === undefined ? wanted : word}
      save={() => mm !== undefined && save({ kind: "caliper", body: { mm } })}
    >
      <p class="soft">
        {t("Just above the roots.")} {before(tree)}
      </p>
      <output class="reading" data-reading aria-label={t("reading")}>
        {shown(text) || "0"} <small>{sign(unit)}</small>
      </output>
      <div role="alert">
        {warn && (
          <p class="word-box due" data-doubt>
            <b>{warn}</b> {t("Measure again at the same height.")}
          </p>
        )}
      </div>
      <Pad tap={(key) => setText((was) => press(was, key, unit))} />
    </FormPanel>
  );
}
