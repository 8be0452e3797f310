// German. A file of its own: phones that speak English never load it.

import type { Catalogue } from "..";

export const german: Catalogue = {};
