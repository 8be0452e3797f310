// This phone: who it is, whether its memory is safe, what it holds, and the version it runs.

import { version } from "../../package.json";
import { useDesk } from "../app/desk";
import { newer, offline, takeNewer } from "../app/install";
import { go } from "../app/nav";
import { exportWaiting } from "./export";
import { Install, Kept } from "./install";
import { many } from "./logic/words";
import { Head } from "./parts";
import { SettingsPart } from "./settings";

function Memory() {
  return (
    <section class="part">
      <h2>Its memory</h2>
      <Kept />
      <p>
        {offline.value
          ? "Misho opens without a network."
          : "Misho does not open without a network here: it needs the shed's https address."}
      </p>
      <Install />
    </section>
  );
}

function Version() {
  const { walk } = useDesk();
  const walking = walk.started.value;
  return (
    <section class="part">
      <h2>Misho {version}</h2>
      {newer.value ? (
        <>
          <p>A newer version is on this phone.{walking && " End the walk first, then use it."}</p>
          <button class="btn main wide gap" data-action="update" disabled={walking} onClick={takeNewer}>
            Use the newer version
          </button>
        </>
      ) : (
        <p class="soft">No newer version waits.</p>
      )}
    </section>
  );
}

export function PhoneScreen() {
  const desk = useDesk();
  const me = desk.me.value;
  const waiting = desk.store.waiting.value;
  const photos = desk.store.photos.waiting.value;
  const aside = desk.store.setAside.value.length;
  return (
    <div class="house" data-screen="phone">
      <Head title="This phone" sub={me?.name ?? "not paired"} back={() => go("benches", "", "", true)} />
      <main class="page">
        <dl class="sums">
          <dt>Name</dt>
          <dd>{me?.name || "none"}</dd>
          <dt>May</dt>
          <dd>{me?.role === "viewer" ? "look only" : "look and record"}</dd>
          <dt>To hand over</dt>
          <dd>
            {many(waiting, "record")}
            {photos > 0 && `, ${many(photos, "photo")}`}
          </dd>
          <dt>Set aside</dt>
          <dd>{many(aside, "record")}</dd>
        </dl>
        <Memory />
        <SettingsPart />
        <Version />
        <section class="part stack">
          <h2>When there is no way to the shed</h2>
          <p>Save what waits as a file, and take it in at the shed. Nothing leaves this phone by it.</p>
          <button class="btn wide" data-action="export" disabled={!waiting && !photos} onClick={() => void exportWaiting(desk)}>
            {waiting || photos ? `Save ${many(waiting, "record")}${photos ? ` and ${many(photos, "photo")}` : ""} as a file` : "Nothing waits"}
          </button>
          <button class="btn wide" data-action="pair-again" onClick={() => go("pair")}>
            Pair this phone again
          </button>
        </section>
      </main>
    </div>
  );
}
