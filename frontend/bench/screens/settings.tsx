// How this phone shows things: each setting a row of large buttons.

import { CHOICES, choose, settings, type Settings } from "../app/settings";
import { t, type Text } from "../words";
import { SETTING } from "./logic/settingWords";
import { Choice } from "./parts";

function Setting<K extends keyof Settings>({ what }: { what: K }) {
  const { name, choices, hint } = SETTING[what];
  return (
    <div class="setting">
      <h3>{t(name)}</h3>
      <Choice
        name={what}
        spoken={t(name)}
        hook={`setting-${what}`}
        options={CHOICES[what].map((value) => ({ value, word: t<Text>(choices[value]) }))}
        value={settings.value[what]}
        pick={(value) => choose(what, value as Settings[K])}
      />
      <p class="soft">{t(hint)}</p>
    </div>
  );
}

const ORDER = ["language", "hand", "text", "light", "unit", "buzz", "awake"] as const;

export function SettingsPart() {
  return (
    <section class="part" data-settings>
      <h2>{t("In the hand")}</h2>
      {ORDER.map((what) => (
        <Setting key={what} what={what} />
      ))}
    </section>
  );
}
