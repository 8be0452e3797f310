// Handing over: the button, how far it is, and what came of it.

import { useDesk, type Desk } from "../app/desk";
import { go } from "../app/nav";
import { clock, day, many } from "./logic/words";

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
      {many(last.pushed, "record")} handed over at {when(last.at)}
      {last.setAside > 0 && <b class="stop-word">, {last.setAside} set aside</b>}.
    </span>
  );
}

/** "2 records and 1 photo to hand over."; "" where nothing waits. */
function whatWaits(records: number, photos: number, where: string): string {
  const what = [records && many(records, "record"), photos && many(photos, "photo")].filter(Boolean).join(" and ");
  return what && `${what} ${where}.`;
}

function Outcome() {
  const desk = useDesk();
  const status = desk.sync.status.value;
  const waiting = desk.store.waiting.value;
  const photos = desk.store.photos.waiting.value;
  if (status.state === "syncing") {
    if (status.stage === "fetching") return <p>Fetching standings: {many(status.done, "row")} so far</p>;
    if (status.stage === "photos") {
      return (
        <p>
          Handing over photo {Math.min(status.total, Math.floor(status.done) + 1)} of {status.total}
        </p>
      );
    }
    return <p>Handing over: {status.done} of {many(status.total, "record")}</p>;
  }
  if (status.state === "done") {
    return (
      <p>
        <b>{whatWaits(waiting, photos, "to hand over") || "Nothing waits."}</b>{" "}
        {status.photos ? `${many(status.photos, "photo")} handed over.` : ""} <LastHanded desk={desk} />{" "}
        Standing as of {when(status.at)}.
      </p>
    );
  }
  if (status.state === "failed" || status.state === "needs_pairing") {
    return (
      <p>
        <b class="stop-word">{status.message}</b> {status.mend} <span>Your records are safe on this phone.</span>
      </p>
    );
  }
  return <p>{whatWaits(waiting, photos, "on this phone") || "Nothing waits on this phone."}</p>;
}

/** The sync button with its progress and its outcome. `plain`: what was set aside is on the screen already. */
export function Handover({ plain }: { plain?: boolean }) {
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
          aria-label="handing over"
          max={status.total || undefined}
          value={status.total ? status.done : undefined}
        />
      )}
      {aside > 0 && !plain && (
        <button class="btn wide stop" data-action="set-aside" onClick={() => go("records")}>
          {many(aside, "record")} set aside: see why
        </button>
      )}
      {status.state === "needs_pairing" && (
        <button class="btn wide" data-action="pair-again" onClick={() => go("pair")}>
          Pair this phone again
        </button>
      )}
      <button class="btn main wide" data-action="sync" disabled={busy} onClick={() => void desk.sync.syncNow()}>
        {busy ? "Handing over" : "Hand over and fetch"}
      </button>
    </section>
  );
}
