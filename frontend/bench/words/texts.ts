// Texts of a language, by their English.

/** The forms of a text that counts; English and German have these two. */
export interface Plural { one: string; other: string }
export type Catalogue = Readonly<Record<string, string | Plural>>;
