// What is recorded of one tree: the forms, their cautions, and measuring in a photo.

import type { Catalogue } from "../texts";

export const forms: Catalogue = {
  "Close": "Schließen",
  "Got it": "Verstanden",
  "Page of this tree": "Seite des Baums",
  "Take a photo": "Foto machen",
  "Write a note": "Notiz schreiben",
  "Wire put on": "Draht angelegt",
  "Wire taken off": "Draht abgenommen",
  "Work done": "Arbeit getan",
  "Firm in its pot?": "Fest im Topf?",
  "Root survey": "Wurzelansatz",
  "It left the nursery": "Baum ist weg",
  "Save: {what}": "Speichern: {what}",

  // branches
  "Branches of {tag}": "Äste von {tag}",
  "one fewer: {what}": "einer weniger: {what}",
  "one more: {what}": "einer mehr: {what}",
  "from the trunk": "am Stamm",
  "from those": "an diesen",
  "Save {primaries} and {secondaries}": "{primaries} und {secondaries} speichern",
  "Count first": "Erst zählen",
  "Count only those that stay in the design. None at all: tap + and then \u2212.":
    "Nur zählen, was in der Gestaltung bleibt. Gar keine: erst +, dann \u2212.",

  // caliper
  "Caliper of {tag}": "Stammdicke von {tag}",
  "Just above the roots.": "Messschieber knapp über dem Wurzelansatz.",
  "Not measured before.": "Noch nie gemessen.",
  "Last time {length}.": "Zuletzt {length}.",
  "Last time {length}, {day}.": "Zuletzt {length}, {day}.",
  "At least {length}": "Mindestens {length}",
  "Type the diameter": "Durchmesser tippen",
  "Save {length}": "{length} speichern",
  "Save {length} all the same": "Trotzdem {length} speichern",
  "reading": "Messwert",
  "delete": "löschen",
  "That is thinner than the {length} of last time.": "Das ist dünner als die {length} vom letzten Mal.",
  "That is much thicker than the {length} of last time.": "Das ist viel dicker als die {length} vom letzten Mal.",
  "Measure again at the same height.": "Auf derselben Höhe noch einmal messen.",

  // firm
  "Is {tag} firm in its pot?": "Steht {tag} fest im Topf?",
  "Take the stem low down and move it gently: does the pot move with it?":
    "Den Stamm unten fassen und sacht bewegen: Geht der Topf mit?",
  "Loose|pot": "Wackelt",
  "it rocks in the mix": "er rührt sich im Substrat",
  "Firm": "Fest",
  "the pot moves with it": "der Topf geht mit",

  // left
  "{tag} left the nursery": "{tag} ist weg",
  "how it left": "was aus ihm wurde",
  "Say how": "Was wurde aus ihm?",
  "Why, in a few words": "Warum, in wenigen Worten",
  "It goes from the bench on this phone at once. Undo brings it back.":
    "Er verschwindet hier sofort vom Tisch. Rückgängig holt ihn zurück.",

  // note
  "Note on {tag}": "Notiz zu {tag}",
  "Save the note": "Notiz speichern",
  "What did you see?": "Was war zu sehen?",

  // photo
  "Photo of {tag}": "Foto von {tag}",
  "Take one first": "Erst eines machen",
  "Save the photo": "Foto speichern",
  "Save it and {length}": "Mit {length} speichern",
  "The photo just taken": "Das Foto von eben",
  "Open the camera": "Kamera öffnen",
  "Take another instead": "Lieber ein anderes",
  "Making it smaller": "Wird verkleinert",
  "What does it show? May stay empty.": "Was ist darauf? Darf leer bleiben.",
  "No room for pictures on this phone.": "Auf diesem Telefon ist kein Platz für Bilder.",
  "Room for about {n} more pictures.": { one: "Noch Platz für etwa {n} Bild.", other: "Noch Platz für etwa {n} Bilder." },
  "Hand over near the shed, or delete other photos or apps. Looks and notes are still saved.":
    "Beim Schuppen abgeben, oder andere Fotos und Apps löschen. Blicke und Notizen werden weiter gespeichert.",
  "Hand over near the shed: what it has makes room here.": "Beim Schuppen abgeben: Was er hat, macht hier Platz.",
  "No printed tag is seen in it. With one beside the trunk, the trunk could be measured.":
    "Kein gedrucktes Etikett darauf. Mit einem neben dem Stamm ließe er sich messen.",
  "The tag in it is too small to measure by: come nearer.": "Das Etikett darauf ist zum Messen zu klein: näher heran.",
  "The tag in it is seen too much aslant to measure by: hold the phone flat before it.":
    "Das Etikett darauf steht zum Messen zu schräg: das Telefon gerade davor halten.",
  "The tag in it says {tag}. Its scale is good all the same; is this the right tree?":
    "Auf dem Etikett steht {tag}. Als Maßstab taugt es trotzdem; ist das der richtige Baum?",
  "Measure the trunk in it": "Stamm darin messen",
  "The trunk beside its tag": "Der Stamm neben seinem Etikett",
  "One edge": "Ein Rand",
  "Other edge": "Anderer Rand",
  "set; arrow keys move it": "steht; Pfeiltasten rücken",
  "set; drag it finely": "steht; ziehen rückt fein",
  "tap it in the picture": "im Bild antippen",
  "Tap both edges of the trunk": "Beide Ränder des Stamms antippen",
  "95% sure: {low} to {high}, at the tag's plane.": "Zu 95\u00A0% sicher: {low} bis {high}, in der Ebene des Etiketts.",
  "Hold the tag beside the trunk, as far from the phone: for each {length} that the trunk stands behind it, it reads {share}% too thin, before it too thick.":
    "Das Etikett neben den Stamm halten, gleich weit vom Telefon: Je {length}, die der Stamm dahinter steht, misst er {share}\u00A0% zu dünn, davor zu dick.",

  // roots
  "Roots of {tag}": "Wurzelansatz von {tag}",
  "Seen from above, the front towards you. Tap where a root leaves the trunk.":
    "Von oben, Vorderseite zum Betrachter. Antippen, wo eine Wurzel den Stamm verlässt.",
  "roots around the trunk, seen from above, front towards you": "Wurzeln um den Stamm, von oben, Vorderseite zum Betrachter",
  "front": "vorn",
  "front left": "vorn links",
  "left front": "links vorn",
  "left": "links",
  "left back": "links hinten",
  "back left": "hinten links",
  "back": "hinten",
  "back right": "hinten rechts",
  "right back": "rechts hinten",
  "right": "rechts",
  "right front": "rechts vorn",
  "front right": "vorn rechts",
  "{side}: root of grade {grade}": "{side}: Wurzel der Stärke {grade}",
  "{side}: root of grade {grade}, off level": "{side}: Wurzel der Stärke {grade}, versetzt",
  "{side}: no root": "{side}: keine Wurzel",
  "Root at the {side}.": "Wurzel {side}.",
  "Grade it from 1, thin, to 5, thick. Tap it again to remove it.":
    "Stärke von 1, dünn, bis 5, dick. Noch ein Tipp nimmt sie weg.",
  "grade": "Stärke",
  "height": "Höhe",
  "level": "auf Höhe",
  "off level": "versetzt",
  "off|level": "vers.",
  "Defects, if any:": "Fehler, falls da:",
  "defects": "Fehler",
  "crossing": "kreuzt",
  "one-sided": "einseitig",
  "too high": "zu hoch",
  "girdling": "Würge\u00ADwurzel",
  "rot": "Fäule",
  "Mark a root or a defect": "Wurzel oder Fehler markieren",
  "Save {n} roots": { one: "{n} Wurzel speichern", other: "{n} Wurzeln speichern" },
  "widest gap {degrees}\u00b0": "größte Lücke {degrees}\u00b0",

  // wire
  "Wire put on {tag}": "Draht an {tag} angelegt",
  "part of the tree": "Teil des Baums",
  "Thickness of the wire, if you know it:": "Drahtstärke, falls bekannt:",
  "wire thickness": "Drahtstärke",
  "not said": "keine Angabe",
  "Save: wire on": "Speichern: Draht an",
  "{least} to {most}": "{least} bis {most}",
  "Wire taken off {tag}": "Draht von {tag} abgenommen",
  "Scars that it left:": "Drahtspuren:",
  "scars": "Drahtspuren",
  "Say which scars it left": "Welche Spuren blieben?",
  "Save: all wire is off": "Speichern: aller Draht ab",

  // work
  "Work done on {tag}": "Arbeit an {tag}",
  "Choose the work": "Arbeit wählen",
  "work": "Arbeit",
  "More, if you like": "Mehr dazu, wenn nötig",

  // cautions
  "Cut it off piece by piece; do not unwind it. Wire ends spring: glasses on, hold both sides of the cut.":
    "Stück für Stück abschneiden, nicht abwickeln. Drahtenden springen: Schutzbrille auf, beide Seiten des Schnitts festhalten.",
  "Clean, sharp blades; cut away from your hand.": "Saubere, scharfe Klingen; von der Hand weg schneiden.",
  "Heavy pots: ask for a second pair of hands, lift from the knees.":
    "Schwere Töpfe: zu zweit heben, aus den Knien.",
  "Moisten dry mix before pouring it, and wear a mask against the dust.":
    "Trockenes Substrat vor dem Schütten anfeuchten, Staubmaske tragen.",
  "Needles near the eyes: glasses on.": "Nadeln vor den Augen: Schutzbrille auf.",
  "Hold a tall leader so that it does not whip back.": "Einen langen Opferast festhalten, damit er nicht zurückschlägt.",
  "Only what is allowed where you are, as its label says: dose, clothing, wind, waiting time.":
    "Nur, was hier zugelassen ist, und so, wie es auf der Packung steht: Menge, Schutzkleidung, Wind, Wartezeit.",
  "Where a licence is needed, leave it to one who holds it.": "Wo ein Sachkundenachweis nötig ist, macht es, wer ihn hat.",
  "Sick wood and roots: keep them off the compost and clean the blades; local rules may say more.":
    "Krankes Holz und kranke Wurzeln: nicht auf den Kompost, Klingen reinigen; örtliche Vorschriften können mehr verlangen.",
};
