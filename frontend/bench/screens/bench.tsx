// The walk along one bench.

import { useCallback, useState } from "preact/hooks";
import { mayRecord, useDesk } from "../app/desk";
import { go } from "../app/nav";
import { onward } from "../app/plan";
import { Other } from "../app/later";
import { useAwake } from "../app/senses";
import type { Draft, TreeView } from "../model/types";
import { t } from "../words";
import { Grid } from "./grid";
import { Jump } from "./jump";
import type { Body, Form } from "./more";
import { RestPanel, SoilPanel } from "./bulk";
import { Head } from "./parts";
import { StopsLeft } from "./plan";
import { Sheet } from "./sheet";

type Over = { what: "jump" } | { what: "rest" } | { what: "soil"; trees: TreeView[]; name: string };

function Tools({ over, sum }: { over: (over: Over) => void; sum: () => void }) {
  const desk = useDesk();
  const looks = !mayRecord(desk);
  const { walk } = desk;
  const all = () => over({ what: "soil", trees: walk.trees.value, name: t("the whole bench") });
  return (
    <div class="tools">
      <button data-action="jump" onClick={() => over({ what: "jump" })}>
        {t("Find tag")}
      </button>
      <button data-action="bench-soil" disabled={looks} onClick={() => void walk.whole(all)}>
        {t("Soil of all")}
      </button>
      <button data-action="rest" disabled={looks} onClick={() => void walk.whole(() => over({ what: "rest" }))}>
        {t("Rest is fine")}
      </button>
      <button data-action="walk-sum" onClick={sum}>
        {t("End walk")}
      </button>
    </div>
  );
}

function useForm() {
  const { walk } = useDesk();
  const [form, open] = useState<Form>();
  const close = () => open(undefined);
  const tree = walk.here.value;
  const save = async (bodies: Body | Body[]) => {
    if (tree && (await walk.save([bodies].flat().map((body) => ({ ...body, tree: tree.id }) as Draft)))) close();
  };
  return { form, open, close, tree, save };
}

/** Drawn anew at each tap, and nothing else of the head with it. */
function Looked() {
  const { walk } = useDesk();
  return <>{t("{looked} of {all} looked at", { looked: walk.looked.value, all: walk.size.value })}</>;
}

export function BenchScreen({ id }: { id: string }) {
  useAwake();
  const desk = useDesk();
  const { walk } = desk;
  const [over, setOver] = useState<Over>();
  const { form, open, close, tree, save } = useForm();
  const shut = () => setOver(undefined);
  const sum = () => go("walk", walk.state.value?.run, id);
  const jump = (found: TreeView) => (found.bench === id ? walk.select(found.id) : go("tree", found.id));
  const bench = walk.bench.value;
  const planned = walk.planned.value;
  const back = () => (planned ? go("plan", planned.plan.id) : go("benches"));
  const soilFor = useCallback((trees: TreeView[], name: string) => {
    if (mayRecord(desk)) setOver({ what: "soil", trees, name });
  }, []);
  return (
    <div class="house" data-screen="bench" data-bench={id} data-run={walk.state.value?.run}>
      <Head
        title={bench?.name ?? ""}
        sub={planned ? <StopsLeft planned={planned} /> : <Looked />}
        back={back}
        backWord={planned ? t("Plan") : t("Back")}
      />
      <main class="walk">
        <Tools over={setOver} sum={sum} />
        <Grid soilFor={soilFor} />
        <Sheet open={open} end={planned ? () => void onward(desk, planned.plan.id) : sum} />
      </main>
      {over?.what === "jump" && <Jump close={shut} pick={jump} />}
      {over?.what === "rest" && <RestPanel close={shut} />}
      {over?.what === "soil" && <SoilPanel trees={over.trees} name={over.name} close={shut} />}
      {form && tree && (
        <Other
          it="More"
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
