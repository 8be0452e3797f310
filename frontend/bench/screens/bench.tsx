// The walk along one bench.

import { useState } from "preact/hooks";
import { mayRecord, useDesk } from "../app/desk";
import { go } from "../app/nav";
import type { TreeView } from "../model/types";
import { Grid } from "./grid";
import { Jump } from "./jump";
import { restPlan } from "./logic/rest";
import { many } from "./logic/words";
import { More, type Form } from "./more";
import { Choice, Head, Panel, Tag } from "./parts";
import { Sheet } from "./sheet";

type Over = { what: "jump" } | { what: "rest" } | { what: "soil"; trees: TreeView[]; name: string } | undefined;

function RestPanel({ close }: { close: () => void }) {
  const { walk } = useDesk();
  const plan = restPlan(walk.trees.value, walk.answers.value, walk.state.value?.run ?? "");
  const save = async () => {
    if (await walk.rest()) close();
  };
  return (
    <Panel
      name="rest"
      title="The rest is fine"
      close={close}
      go={
        <>
          <button class="btn" data-action="close" onClick={close}>
            No
          </button>
          <button
            class="btn main"
            data-action="rest-save"
            disabled={!plan.trees}
            onClick={() => void save()}
          >
            {plan.trees ? `Save for ${many(plan.trees, "tree")}` : "Nothing is left to save"}
          </button>
        </>
      }
    >
      <p>{plan.trees ? "This records, marked as given for the rest:" : "No soil or wire is due that could be called fine."}</p>
      <dl class="sums">
        {plan.soil > 0 && <dt>soil moist</dt>}
        {plan.soil > 0 && <dd>{many(plan.soil, "tree")}</dd>}
        {plan.wire > 0 && <dt>wire snug</dt>}
        {plan.wire > 0 && <dd>{many(plan.wire, "tree")}</dd>}
      </dl>
      {plan.left.length > 0 && (
        <div class="word-box due">
          <b>{many(plan.left.length, "tree stays", "trees stay")} open</b>
          <ul class="left-open">
            {plan.left.slice(0, 8).map((t) => (
              <li key={t.id}>
                <Tag text={t.tag} /> {t.why}
              </li>
            ))}
          </ul>
          {plan.left.length > 8 && <p>and {plan.left.length - 8} more</p>}
        </div>
      )}
    </Panel>
  );
}

const SOILS = ["wet", "moist", "dry"].map((word) => ({ value: word, word }));

function SoilPanel({ trees, name, close }: { trees: TreeView[]; name: string; close: () => void }) {
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

function useForm() {
  const { walk } = useDesk();
  const [form, open] = useState<Form>();
  const close = () => open(undefined);
  const tree = walk.here.value;
  const save = async (body: object) => {
    if (tree && (await walk.save([{ ...body, tree: tree.id } as never]))) close();
  };
  return { form, open, close, tree, save };
}

export function BenchScreen({ id }: { id: string }) {
  const desk = useDesk();
  const { walk } = desk;
  const [over, setOver] = useState<Over>();
  const { form, open, close, tree, save } = useForm();
  const shut = () => setOver(undefined);
  const sum = () => go("walk", walk.state.value?.run, id);
  const jump = (found: TreeView) => (found.bench === id ? walk.select(found.id) : go("tree", found.id));
  const bench = walk.bench.value;
  const sub = `${walk.answers.value.size} of ${walk.trees.value.length} looked at`;
  return (
    <div class="house" data-screen="bench" data-bench={id} data-run={walk.state.value?.run}>
      <Head title={bench?.name ?? ""} sub={sub} back={() => go("benches")} />
      <main class="walk">
        <div class="tools">
          <button data-action="jump" onClick={() => setOver({ what: "jump" })}>
            Find tag
          </button>
          <button
            data-action="bench-soil"
            disabled={!mayRecord(desk)}
            onClick={() => setOver({ what: "soil", trees: walk.trees.value, name: "the whole bench" })}
          >
            Soil of all
          </button>
          <button data-action="rest" disabled={!mayRecord(desk)} onClick={() => setOver({ what: "rest" })}>
            Rest is fine
          </button>
          <button data-action="walk-sum" onClick={sum}>
            End walk
          </button>
        </div>
        <Grid soilFor={(trees, name) => mayRecord(desk) && setOver({ what: "soil", trees, name })} />
        <Sheet open={open} end={sum} />
      </main>
      {over?.what === "jump" && <Jump close={shut} pick={jump} />}
      {over?.what === "rest" && <RestPanel close={shut} />}
      {over?.what === "soil" && <SoilPanel trees={over.trees} name={over.name} close={shut} />}
      {form && tree && (
        <More
          form={form}
          open={open}
          close={close}
          tree={tree}
          species={desk.species.value.get(tree.species)}
          save={(body) => void save(body)}
          page={() => go("tree", tree.id)}
        />
      )}
    </div>
  );
}
