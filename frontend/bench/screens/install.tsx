// Before recording: onto the home screen; and what the browser has promised to keep.

import { askToKeep, installed, isApple, kept, offer } from "../app/install";
import { useDesk } from "../app/desk";
import { t } from "../words";
import { INSTALL, keptWord } from "./logic/installWords";

export function Install() {
  if (installed.value) return null;
  return (
    <section class="word-box due" data-install>
      <b>{t(INSTALL.title)}</b>
      <p>
        {t(INSTALL.why)} {isApple() && t(INSTALL.whyApple)}
      </p>
      <p class="soft">{t(isApple() ? INSTALL.howApple : INSTALL.how)}</p>
      {offer.value && (
        <button class="btn wide gap" type="button" data-action="install" onClick={() => void offer.value?.prompt()}>
          {t(INSTALL.now)}
        </button>
      )}
    </section>
  );
}

/** What the browser answered; and the way to ask it once more. */
export function Kept() {
  const { store } = useDesk();
  return (
    <>
      <p data-persisted={kept.value}>{keptWord(kept.value)}</p>
      {kept.value === false && (
        <button class="btn wide gap" data-action="persist" onClick={() => void askToKeep(() => store.persist())}>
          {t("Ask the browser to keep it")}
        </button>
      )}
    </>
  );
}
