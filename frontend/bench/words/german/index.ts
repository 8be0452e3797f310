// German. A file of its own: phones that speak English never load it.
//
// Infinitives and short calls instead of "du" and "Sie": they fit a key, and suit a helper as well as the owner.
// Long words carry soft hyphens (\u00AD) where a key may break them: not every phone's browser knows how.
//
// The trade's words, the same everywhere:
//   bench Tisch, walk Rundgang, shed Schuppen, tag Etikett, record Eintrag, standing Stand, hand over abgeben,
//   set aside zurückgelegt, due fällig; seedling Sämling, trunk Stamm, surface roots Nebari or Wurzelansatz,
//   girdling root Würgewurzel, taper Verjüngung, leader (to be sacrificed) Opferast, primary branch Hauptast,
//   internodes Internodien, order of branching and refinement Feinverzweigung, candle Kerze, needle buds
//   Nadelknospen, low buds Knospen unten; wire Draht, that is locker, sitzt, drückt, beißt or is
//   eingewachsen, and leaves Drahtspuren; caliper Messschieber, its reading Stammdicke; soil Boden.

import type { Catalogue } from "../texts";
import { bench } from "./bench";
import { forms } from "./forms";
import { phone } from "./phone";
import { shed } from "./shed";
import { trade } from "./trade";

/** What the app says itself, and what the shed says through it. */
export const own: Catalogue = { ...trade, ...bench, ...forms, ...phone };
export const german: Catalogue = { ...own, ...shed };
