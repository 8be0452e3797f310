// The end of a walk: what was found, and what to do about it.

import { useState } from "preact/hooks";
import { useDesk, useLive } from "../app/desk";
import { go } from "../app/nav";
import { t, tn, type Text } from "../words";
import { Handover } from "./handover";
import { summary, type Named, type Summary } from "./logic/summary";
import { andMore, LISTS } from "./logic/walkWords";
import { Head, Main, Tag } from "./parts";

interface ListProps { title: Text; trees: Named[]; todo: Text | ""; now: boolean; pick: (tree: Named) => void }

/** More tags than this nobody reads to the end; the number says how many there are. */
const MOST = 60;

function List({ title, trees, todo, now, pick }: ListProps) {
  if (!trees.length) return null;
  return (
    <section class="part">
      <h2 class={now ? "stop-word" : undefined}>
        {t(title)}: {trees.length}
      </h2>
      {todo && <p class="soft">{t(todo)}</p>}
      <ul class="tags">
        {trees.slice(0, MOST).map((t) => (
          <li key={t.id}>
            <button class="tag-button" data-sum-tree={t.tag} onClick={() => pick(t)}>
              <Tag text={t.tag || "?"} />
            </button>
          </li>
        ))}
      </ul>
      {trees.length > MOST && <p class="soft">{andMore(trees.length - MOST)}</p>}
    </section>
  );
}

function Found({ sum, pick }: { sum: Summary; pick: (tree: Named) => void }) {
  const also = [
    sum.measured && tn(sum.measured, "{n} trunk measured", "{n} trunks measured"),
    sum.notes && tn(sum.notes, "{n} note", "{n} notes"),
    sum.bulk && t("{n} given with the rest", { n: sum.bulk }),
  ].filter(Boolean);
  return (
    <>
      <p class="lead">
        {tn(sum.trees, "{looked} of {n} tree looked at", "{looked} of {n} trees looked at", { looked: sum.looked })}
        {also.length ? `: ${also.join(", ")}.` : "."}
      </p>
      {LISTS.map(({ what, ...said }) => (
        <List key={what} {...said} trees={sum[what]} pick={pick} />
      ))}
    </>
  );
}

function useSummary(run: string, bench: string): { sum: Summary; name: string } | undefined {
  return useLive(
    async ({ store }) => {
      const [trees, records, benches] = await Promise.all([
        store.treesOf(bench),
        store.recordsOfRun(run),
        store.benches(),
      ]);
      const here = new Set(trees.map((t) => t.id));
      const gone = [...new Set(records.map((r) => r.record.tree))].filter((id) => id !== null && !here.has(id));
      const found = await Promise.all(gone.map((id) => store.tree(id ?? "")));
      const tags = new Map(found.map((t) => [t?.id, t?.tag]));
      const sum = summary(trees, records, (id) => tags.get(id) ?? "");
      return { sum, name: benches.find((b) => b.id === bench)?.name ?? "" };
    },
    [run, bench],
  );
}

export function WalkScreen({ run, bench }: { run: string; bench: string }) {
  const { walk } = useDesk();
  const [ended, setEnded] = useState(walk.state.value?.run !== run);
  const got = useSummary(run, bench);
  const leave = () => go("benches", "", "", true);
  const end = async () => {
    const began = walk.started.value;
    if (!(await walk.end())) return;
    if (began) setEnded(true);
    else leave();
  };
  const on = async () => {
    if (ended && !(await walk.again(bench, run))) return;
    go("bench", bench, "", true);
  };
  const pick = (tree: Named) => {
    if (ended) return go("tree", tree.id);
    walk.select(tree.id);
    go("bench", bench, "", true);
  };
  return (
    <div class="house" data-screen="walk" data-ended={ended}>
      <Head title={got?.name ?? ""} sub={ended ? t("Walk ended") : t("This walk so far")} back={leave} backWord={t("Benches")} />
      <Main>{got && <Found sum={got.sum} pick={pick} />}</Main>
      <footer class="foot">
        <Handover />
        <div class="pair">
          <button class="btn" data-action="walk-on" onClick={() => void on()}>
            {t("Go on walking")}
          </button>
          <button class="btn" data-action={ended ? "benches" : "walk-end"} onClick={ended ? leave : () => void end()}>
            {ended ? t("To the benches") : t("End the walk")}
          </button>
        </div>
      </footer>
    </div>
  );
}
