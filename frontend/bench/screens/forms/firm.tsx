// Does a young tree stand firm in its pot?

import { t } from "../../words";
import { Panel } from "../parts";
import type { FormProps } from "./props";

export function FirmForm({ tree, save, close }: FormProps) {
  return (
    <Panel
      name="firm"
      title={t("Is {tag} firm in its pot?", { tag: tree.tag })}
      close={close}
      go={
        <button class="btn" data-action="close" onClick={close}>
          {t("Close")}
        </button>
      }
    >
      <p class="soft">{t("Take the stem low down and move it gently: does the pot move with it?")}</p>
      <div class="pair gap">
        <button class="btn" data-value="loose" onClick={() => save({ kind: "firm_check", body: { firm: false } })}>
          {t("Loose|pot")} <small>{t("it rocks in the mix")}</small>
        </button>
        <button class="btn" data-value="firm" onClick={() => save({ kind: "firm_check", body: { firm: true } })}>
          {t("Firm")} <small>{t("the pot moves with it")}</small>
        </button>
      </div>
    </Panel>
  );
}
