// One tap for many trees: the rest is fine, and one soil word for a row or the bench.

import { useDesk } from "../app/desk";
import type { TreeView } from "../model/types";
import { restPlan, type RestPlan } from "./logic/rest";
import { many } from "./logic/words";
import { Choice, FormPanel, Panel, Tag } from "./parts";

/** More lines than this help nobody before the button. */
const MOST = 8;

function StayOpen({ left }: { left: RestPlan["left"] }) {
  if (!left.length) return null;
  return (
    <div class="word-box due">
      <b>{many(left.length, "tree stays", "trees stay")} open</b>
      <ul class="left-open">
        {left.slice(0, MOST).map((t) => (
          <li key={t.id}>
            <Tag text={t.tag} /> {t.why}
          </li>
        ))}
      </ul>
      {left.length > MOST && <p>and {left.length - MOST} more</p>}
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
      title="The rest is fine"
      close={close}
      ready={plan.trees > 0}
      word={plan.trees ? `Save for ${many(plan.trees, "tree")}` : "Nothing is left to save"}
      save={() => void save()}
      hook="rest-save"
    >
      <p>
        {plan.trees
          ? "This records, marked as given for the rest:"
          : "No soil or wire is due that could be called fine."}
      </p>
      <dl class="sums">
        {plan.soil > 0 && <dt>soil moist</dt>}
        {plan.soil > 0 && <dd>{many(plan.soil, "tree")}</dd>}
        {plan.wire > 0 && <dt>wire snug</dt>}
        {plan.wire > 0 && <dd>{many(plan.wire, "tree")}</dd>}
      </dl>
      <StayOpen left={plan.left} />
    </FormPanel>
  );
}

const SOILS = ["wet", "moist", "dry"].map((word) => ({ value: word, word }));

export function SoilPanel({ trees, name, close }: { trees: TreeView[]; name: string; close: () => void }) {
  const { walk } = useDesk();
  const own = trees.filter((t) => walk.answers.value.get(t.id)?.soil?.bulk === false).length;
  const pick = async (word: string) => {
    if (await walk.soil(trees, word as "wet" | "moist" | "dry")) close();
  };
  return (
    <Panel
      name="soil"
      title={`Soil of ${name}`}
      close={close}
      go={
        <button class="btn" data-action="close" onClick={close}>
          Close
        </button>
      }
    >
      <p>
        One tap records it for {many(trees.length - own, "tree")}
        {own > 0 && `; ${own} that you answered one by one keep their answer`}.
      </p>
      <Choice name="all-soil" hook="all-soil" options={SOILS} value={undefined} pick={(word) => void pick(word)} />
    </Panel>
  );
}
