// This phone: who it is, whether its memory is safe, what it holds, and the version it runs.

import { version } from "../../package.json";
import { useDesk } from "../app/desk";
import { newer, offline, takeNewer } from "../app/install";
import { go } from "../app/nav";
import { exportWaiting } from "./export";
import { Install, Kept } from "./install";
import { t } from "../words";
import { listed } from "../words/written";
import { photos as counted, records } from "./logic/words";
import { Head, Main } from "./parts";
import { SettingsPart } from "./settings";

function Memory() {
  return (
    <section class="part">
      <h2>{t("Its memory")}</h2>
      <Kept />
      <p>
        {offline.value
          ? t("Misho opens without a network.")
          : t("Misho does not open without a network here: it needs the shed's https address.")}
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
          <p>
            {t("A newer version is on this phone.")} {walking && t("End the walk first, then use it.")}
          </p>
          <button class="btn main wide gap" data-action="update" disabled={walking} onClick={takeNewer}>
            {t("Use the newer version")}
          </button>
        </>
      ) : (
        <p class="soft">{t("No newer version waits.")}</p>
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
  const waits = [records(waiting), ...(photos ? [counted(photos)] : [])];
  return (
    <div class="house" data-screen="phone">
      <Head title={t("This phone")} sub={me?.name ?? t("not paired")} back={() => go("benches", "", "", true)} />
      <Main>
        <dl class="sums">
          <dt>{t("Name")}</dt>
          <dd>{me?.name || t("none|name")}</dd>
          <dt>{t("May|role")}</dt>
          <dd>{me?.role === "viewer" ? t("look only") : t("look and record")}</dd>
          <dt>{t("To hand over")}</dt>
          <dd>
            {records(waiting)}
            {photos > 0 && `, ${counted(photos)}`}
          </dd>
          <dt>{t("Set aside")}</dt>
          <dd>{records(aside)}</dd>
        </dl>
        <Memory />
        <SettingsPart />
        <Version />
        <section class="part stack">
          <h2>{t("When there is no way to the shed")}</h2>
          <p>{t("Save what waits as a file, and take it in at the shed. Nothing leaves this phone by it.")}</p>
          <button class="btn wide" data-action="export" disabled={!waiting && !photos} onClick={() => void exportWaiting(desk)}>
            {waiting || photos ? t("Save {what} as a file", { what: listed(waits) }) : t("Nothing waits")}
          </button>
          <button class="btn wide" data-action="pair-again" onClick={() => go("pair")}>
            {t("Pair this phone again")}
          </button>
        </section>
      </Main>
    </div>
  );
}
