// The page of one tree: its standing, its last looks, and what this phone recorded of it.

import { Fragment } from "preact";
import { useState } from "preact/hooks";
import { mayRecord, notSaved, save, useDesk, useLive } from "../app/desk";
import { go } from "../app/nav";
import type { Draft, LocalRecord, StandingRow, TreeView } from "../model/types";
import { label, speciesName } from "../model/words";
import { t, word, type Text } from "../words";
import { clock, day, shortDay } from "../words/written";
import { openDues } from "./logic/ask";
import { doubtOf, type Doubt } from "./logic/doubt";
import { length } from "./logic/units";
import { told } from "./logic/told";
import { about, chance, criterionWord, DUE, ended, gateWord, inWords, said, sentence, stateWord } from "./logic/words";
import { More, type Body, type Form } from "./more";
import { Head, Main, Tag } from "./parts";
import { PicturesOf } from "./pictures";

const DOUBT: Readonly<Record<Exclude<Doubt, "">, Text>> = {
  not_looked: word("not looked at yet"),
  unsure: word("not sure enough"),
};

function Standing({ st }: { st: StandingRow }) {
  const doubt = doubtOf(st.p, st.not_looked);
  return (
    <section class="part">
      <h2>{st.gate ? gateWord(st.gate) : t("Standing")}</h2>
      {st.p !== null ? (
        <p class="standing">
          <span class="measure" aria-hidden="true">
            <span style={{ width: `${Math.round(st.p * 100)}%` }} />
          </span>
          <b>{chance(st.p)}</b>
        </p>
      ) : (
        <p class="soft">{t("No gate is left ahead of this tree.")}</p>
      )}
      {st.held && (
        <p>
          {t("Held back by:")} <b>{criterionWord(st.held)}</b>
          {doubt && <span class="due-word">, {t(DOUBT[doubt])}</span>}
        </p>
      )}
      <p class="soft">{t("As of {day}, from the shed.", { day: day(st.as_of) })}</p>
    </section>
  );
}

const LAST: Readonly<Record<string, Text>> = {
  wire: word("Wire"),
  soil: word("Soil"),
  buds: word("Needle buds"),
  caliper: word("Caliper"),
  firm: word("In its pot"),
  roots: word("Roots"),
};

function lastName(what: string): string {
  const known = LAST[what];
  return known ? t(known) : what;
}

function lastWord(what: string, value: string | number | boolean): string {
  if (what === "caliper") return length(Number(value));
  if (what === "firm") return value === true || value === "firm" ? t("firm") : t("loose|pot");
  return label(String(value));
}

function Looks({ tree }: { tree: TreeView }) {
  const looks = Object.entries(tree.st?.last ?? {}).filter(([, v]) => Array.isArray(v));
  return (
    <section class="part">
      <h2>{t("Last looks")}</h2>
      {looks.length ? (
        <dl class="sums">
          {looks.map(([what, [value, on]]) => (
            <Fragment key={what}>
              <dt>{lastName(what)}</dt>
              <dd>
                {lastWord(what, value)} <span class="soft">{shortDay(on)}</span>
              </dd>
            </Fragment>
          ))}
        </dl>
      ) : (
        <p class="soft">{t("The shed knows of none yet.")}</p>
      )}
    </section>
  );
}

/** One record of this phone, with what became of it and the way to take it back. */
export function RecordLine({ local, tag }: { local: LocalRecord; tag?: string | undefined }) {
  const desk = useDesk();
  const { record } = local;
  const text = said(record.kind, record.body);
  const undo = () =>
    desk.store.undo(record.id).catch((error: unknown) => void (desk.fault.value = notSaved(error)));
  return (
    <li class="record" data-record={record.id} data-state={local.state}>
      <p>
        {tag && <Tag text={tag} />} <b class={local.withdrawn ? "struck" : undefined}>{text}</b>
        <span class="soft when">
          {shortDay(record.observed_at)}, {clock(record.observed_at)}
        </span>
        <span class={local.state === "set_aside" ? "stop-word" : "soft"}>{stateWord(local)}</span>
        {local.state === "set_aside" && (
          <span>
            : {ended(inWords(local.message))} {ended(inWords(local.mend))}
          </span>
        )}
      </p>
      {!local.withdrawn && record.kind !== "correction" && (
        <button class="btn" aria-label={t("Take back: {what}", { what: text })} data-action="take-back" onClick={() => void undo()}>
          {t("Take back")}
        </button>
      )}
    </li>
  );
}

function Dues({ tree }: { tree: TreeView }) {
  const open = openDues(tree);
  if (!open.length) return <p class="lead">{t("Nothing is due.")}</p>;
  return (
    <ul class="lead">
      {open.map((d) => (
        <li key={d.what} class="due-word">
          {sentence(inWords(d.why) || t(DUE[d.what]))}
        </li>
      ))}
    </ul>
  );
}

function useTree(id: string) {
  return useLive(
    async ({ store }) => ({ tree: await store.tree(id), records: told(await store.recordsOf(id)) }),
    [id],
  );
}

function Page({ tree, records, words }: { tree: TreeView; records: LocalRecord[]; words: string }) {
  return (
    <Main>
      <p class="soft">{words}</p>
      <Dues tree={tree} />
      {tree.st ? <Standing st={tree.st} /> : <p class="soft">{t("The shed has not told of this tree yet.")}</p>}
      <Looks tree={tree} />
      <PicturesOf tree={tree.id} />
      <section class="part">
        <h2>{t("Recorded on this phone")}</h2>
        {records.length ? (
          <ul>
            {records.map((r) => (
              <RecordLine key={r.record.id} local={r} />
            ))}
          </ul>
        ) : (
          <p class="soft">{t("Nothing in the last 30 days. The whole history is at the shed.")}</p>
        )}
      </section>
    </Main>
  );
}

export function TreeScreen({ id }: { id: string }) {
  const desk = useDesk();
  const [form, setForm] = useState<Form>();
  const got = useTree(id);
  const tree = got?.tree;
  const species = desk.species.value.get(tree?.species ?? "");
  const record = async (bodies: Body | Body[]) => {
    if (await save(desk, [bodies].flat().map((body) => ({ ...body, tree: id }) as Draft))) setForm(undefined);
  };
  const back = () => (history.length > 1 ? history.back() : go("benches", "", "", true));
  return (
    <div class="house" data-screen="tree" data-tree-page={tree?.tag}>
      <Head title={tree?.tag ?? ""} back={back} />
      {tree ? (
        <Page tree={tree} records={got.records} words={about(tree, speciesName(tree.species, species?.name))} />
      ) : (
        <Main>{got && <p class="lead">{t("This phone does not know that tree. Hand over and fetch.")}</p>}</Main>
      )}
      {tree && mayRecord(desk) && (
        <footer class="foot">
          <button class="btn main wide" data-action="more" onClick={() => setForm("more")}>
            {t("Record something")}
          </button>
        </footer>
      )}
      {form && tree && (
        <More
          form={form}
          open={setForm}
          close={() => setForm(undefined)}
          tree={tree}
          species={species}
          save={(body) => void record(body)}
        />
      )}
    </div>
  );
}
