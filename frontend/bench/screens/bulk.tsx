// One tap for many trees: the rest is fine, and one soil word for a row or the bench.

import { useDesk } from "../app/desk";
import type { TreeView } from "../model/types";
import { restPlan, type RestPlan } from "./logic/rest";
import { label, SOILS } from "../model/words";
import { t, tn } from "../words";
import { trees as counted } from "./logic/words";
import { andMore } from "./logic/walkWords";
import { Choice, FormPanel, Panel, Tag } from "./parts";

/** More lines than this help nobody before the button. */
const MOST = 8;

function StayOpen({ left }: { left: RestPlan["left"] }) {
  if (!left.length) return null;
  return (
    <div class="word-box due">
      <b>{tn(left.length, "{n} tree stays open", "{n} trees stay open")}</b>
      <ul class="left-open">
        {left.slice(0, MOST).map((t) => (
          <li key={t.id}>
            <Tag text={t.tag} /> {t.why}
          </li>
        ))}
      </ul>
      {left.length > MOST && <p>{andMore(left.length - MOST)}</p>}
    </div>
  );
}

export function RestPanel({ close }: { close: () => void }) {
  const { walk } = useDesk();
  const plan = restPlan(walk.trees.value, walk.answers.value, walk.state.value?.run ?? "");
  const save = async () => {
    if (await walk.rest()) close();
  };
  return (
    <FormPanel
      name="rest"
      title={t("The rest is fine")}
      close={close}
      ready={plan.trees > 0}
      word={plan.trees ? tn(plan.trees, "Save for {n} tree", "Save for {n} trees") : t("Nothing is left to save")}
      save={() => void save()}
      hook="rest-save"
    >
      <p>
        {plan.trees
          ? t("This records, marked as given for the rest:")
          : t("No soil or wire is due that could be called fine.")}
      </p>
      <dl class="sums">
        {plan.soil > 0 && <dt>{t("soil {state}", { state: label("moist") })}</dt>}
        {plan.soil > 0 && <dd>{counted(plan.soil)}</dd>}
        {plan.wire > 0 && <dt>{t("wire {state}", { state: label("snug") })}</dt>}
        {plan.wire > 0 && <dd>{counted(plan.wire)}</dd>}
      </dl>
      <StayOpen left={plan.left} />
    </FormPanel>
  );
}

export function SoilPanel({ trees, name, close }: { trees: TreeView[]; name: string; close: () => void }) {
  const { walk } = useDesk();
  const own = trees.filter((t) => walk.answers.value.get(t.id)?.soil?.bulk === false).length;
  const pick = async (word: string) => {
    if (await walk.soil(trees, word as "wet" | "moist" | "dry")) close();
  };
  return (
    <Panel
      name="soil"
      title={t("Soil of {name}", { name })}
      close={close}
      go={
        <button class="btn" data-action="close" onClick={close}>
          {t("Close")}
        </button>
      }
    >
      <p>
        {tn(trees.length - own, "One tap records it for {n} tree.", "One tap records it for {n} trees.")}{" "}
        {own > 0 &&
          tn(own, "{n} answered by a tap of its own keeps its answer.", "{n} answered by taps of their own keep their answers.")}
      </p>
      <Choice
        name="all-soil"
        spoken={t("Soil")}
        hook="all-soil"
        options={SOILS.map((value) => ({ value, word: label(value) }))}
        value={undefined}
        pick={(word) => void pick(word)}
      />
    </Panel>
  );
}
