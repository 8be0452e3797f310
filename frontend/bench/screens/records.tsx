// What is still to hand over, and what the shed set aside, each with what to do.

import { useDesk, useLive } from "../app/desk";
import { go } from "../app/nav";
import type { RecordOut } from "../model/types";
import { t, tn } from "../words";
import { Handover } from "./handover";
import { exportWaiting } from "./export";
import { listed, shortDay, clock } from "../words/written";
import { photos as counted, records as recorded, said } from "./logic/words";
import { Head, Main, Tag } from "./parts";
import { PicturesToSend } from "./pictures";
import { RecordLine } from "./tree";

/** More than this many lines help nobody; the count says the rest. */
const MOST = 100;

function useTags(ids: (string | null)[]): Map<string, string> | undefined {
  return useLive(
    async ({ store }) => {
      const trees = await Promise.all([...new Set(ids)].map((id) => (id ? store.tree(id) : undefined)));
      return new Map(trees.flatMap((t) => (t ? [[t.id, t.tag] as const] : [])));
    },
    [ids.join()],
  );
}

function Waiting({ records }: { records: RecordOut[] }) {
  const newest = records.slice(-MOST).reverse();
  const tags = useTags(newest.map((r) => r.tree));
  return (
    <ul>
      {newest.map((r) => (
        <li key={r.id} class="record">
          <p>
            {r.tree && <Tag text={tags?.get(r.tree) ?? "?"} />} <b>{said(r.kind, r.body)}</b>
            <span class="soft when">
              {shortDay(r.observed_at)}, {clock(r.observed_at)}
            </span>
          </p>
        </li>
      ))}
      {records.length > MOST && <li class="record soft">{tn(records.length - MOST, "and {n} older one", "and {n} older ones")}</li>}
    </ul>
  );
}

function Aside() {
  const desk = useDesk();
  const aside = desk.store.setAside.value;
  const tags = useTags(aside.map((l) => l.record.tree));
  if (!aside.length) return null;
  return (
    <section class="part" data-aside={aside.length}>
      <h2 class="stop-word">{t("Set aside by the shed: {n}", { n: aside.length })}</h2>
      <p class="soft">{t("Kept whole there. Take a wrong one back here, or settle it at the shed under Set aside.")}</p>
      <ul>
        {aside.map((local) => (
          <RecordLine key={local.record.id} local={local} tag={tags?.get(local.record.tree ?? "")} />
        ))}
      </ul>
    </section>
  );
}

export function RecordsScreen() {
  const desk = useDesk();
  const records = useLive((d) => d.store.outbox());
  const photos = desk.store.photos.waiting.value;
  const back = () => (history.length > 1 ? history.back() : go("benches", "", "", true));
  return (
    <div class="house" data-screen="records">
      <Head title={t("Records")} back={back} />
      <Main>
        <Aside />
        <section class="part">
          <h2>{t("To hand over: {n}", { n: records?.length ?? 0 })}</h2>
          {records?.length ? (
            <Waiting records={records} />
          ) : (
            <p class="soft">{t("Everything recorded on this phone has reached the shed.")}</p>
          )}
          <PicturesToSend />
        </section>
      </Main>
      <footer class="foot">
        <Handover plain />
        {records && (records.length > 0 || photos > 0) && (
          <button class="btn wide" data-action="export" onClick={() => void exportWaiting(desk)}>
            {t("No way to the shed: save {what} as a file", {
              what: listed([recorded(records.length), ...(photos ? [counted(photos)] : [])]),
            })}
          </button>
        )}
      </footer>
    </div>
  );
}
