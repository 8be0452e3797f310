// Handing over: the button, how far it is, and what came of it.

import { useDesk, type Desk } from "../app/desk";
import { go } from "../app/nav";
import { t, tn } from "../words";
import { clock, day, listed } from "../words/written";
import { photos as counted, records as recorded } from "./logic/words";

function when(at: number): string {
  const today = new Date().toDateString() === new Date(at).toDateString();
  return today ? clock(at) : `${day(new Date(at).toISOString())}, ${clock(at)}`;
}

/** The last round that carried anything: rounds go by themselves too, and its outcome must stay in sight. */
function LastHanded({ desk }: { desk: Desk }) {
  const last = desk.handed.value;
  if (!last) return null;
  return (
    <span data-handed={last.pushed}>
      {tn(last.pushed, "{n} record handed over at {when}", "{n} records handed over at {when}", { when: when(last.at) })}
      {last.setAside > 0 && <b class="stop-word">, {t("{n} set aside", { n: last.setAside })}</b>}.
    </span>
  );
}

/** "2 records and 1 photo"; "" where nothing waits. */
function whatWaits(records: number, photos: number): string {
  return listed([records && recorded(records), photos && counted(photos)].filter((what) => what !== 0));
}

function Outcome() {
  const desk = useDesk();
  const status = desk.sync.status.value;
  const waiting = desk.store.waiting.value;
  const what = whatWaits(waiting, desk.store.photos.waiting.value);
  if (status.state === "syncing") {
    if (status.stage === "fetching") return <p>{tn(status.done, "Fetching standings: {n} row so far", "Fetching standings: {n} rows so far")}</p>;
    if (status.stage === "photos") {
      const n = Math.min(status.total, Math.floor(status.done) + 1);
      return <p>{t("Handing over photo {n} of {total}", { n, total: status.total })}</p>;
    }
    const { done, total } = status;
    return <p>{tn(total, "Handing over: {done} of {n} record", "Handing over: {done} of {n} records", { done })}</p>;
  }
  if (status.state === "done") {
    return (
      <p>
        <b>{what ? t("{what} to hand over.", { what }) : t("Nothing waits.")}</b>{" "}
        {status.photos ? tn(status.photos, "{n} photo handed over.", "{n} photos handed over.") : ""}{" "}
        <LastHanded desk={desk} /> {t("Standing as of {when}.", { when: when(status.at) })}
      </p>
    );
  }
  if (status.state === "failed" || status.state === "needs_pairing") {
    return (
      <p>
        <b class="stop-word">{status.message}</b> {status.mend} <span>{t("Your records are safe on this phone.")}</span>
      </p>
    );
  }
  return <p>{what ? t("{what} on this phone.", { what }) : t("Nothing waits on this phone.")}</p>;
}

/**
 * The sync button with its progress and its outcome. `plain`: what was set aside is on the screen already; `second`:
 * another key is what the screen is for.
 */
export function Handover({ plain, second }: { plain?: boolean; second?: boolean }) {
  const desk = useDesk();
  const status = desk.sync.status.value;
  const busy = status.state === "syncing";
  const aside = desk.store.setAside.value.length;
  return (
    <section class="handover" data-sync={status.state}>
      <div aria-live="polite">
        <Outcome />
      </div>
      {busy && (
        <progress
          aria-label={t("handing over")}
          max={status.total || undefined}
          value={status.total ? status.done : undefined}
        />
      )}
      {aside > 0 && !plain && (
        <button class="btn wide stop" data-action="set-aside" onClick={() => go("records")}>
          {tn(aside, "{n} record set aside: see why", "{n} records set aside: see why")}
        </button>
      )}
      {status.state === "needs_pairing" && (
        <button class="btn wide" data-action="pair-again" onClick={() => go("pair")}>
          {t("Pair this phone again")}
        </button>
      )}
      <button class={second ? "btn wide" : "btn main wide"} data-action="sync" disabled={busy} onClick={() => void desk.sync.syncNow()}>
        {busy ? t("Handing over") : t("Hand over and fetch")}
      </button>
    </section>
  );
}
