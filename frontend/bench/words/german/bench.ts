// The walk: benches, the bench under the thumb, the sheet of a tree, its page, the plan and the summary.

import type { Catalogue } from "../texts";

export const bench: Catalogue = {
  // benches
  "Benches": "Tische",
  "{name}, may look only": "{name}, darf nur ansehen",
  "{n} due": "{n} fällig",
  "Walk open: {n} looked at.": "Rundgang offen: {n} angesehen.",
  "Nothing is due.": "Nichts ist fällig.",
  "A newer Misho is on this phone: use it now": "Ein neueres Misho ist da: jetzt nehmen",
  "No benches on this phone yet. Hand over and fetch where the phone can reach the shed.":
    "Noch keine Tische auf diesem Telefon. Dort abgeben und abholen, wo es den Schuppen erreicht.",
  "Find a tag": "Etikett suchen",
  "This phone": "Dieses Telefon",
  "A walk is open": "Ein Rundgang ist offen",
  "End it": "Beenden",
  "Go on with {bench}": "Weiter mit {bench}",
  "The walk along {bench} is not ended: {looked} of {n} trees. End it, and begin on {other}?": {
    one: "Der Rundgang an {bench} ist nicht beendet: {looked} von {n} Baum. Beenden und an {other} beginnen?",
    other: "Der Rundgang an {bench} ist nicht beendet: {looked} von {n} Bäumen. Beenden und an {other} beginnen?",
  },

  // the bench
  "Back": "Zurück",
  "{looked} of {all} looked at": "{looked} von {all} angesehen",
  "Find tag": "Suchen",
  "Soil of all": "Boden aller",
  "Rest is fine": "Rest passt",
  "End walk": "Beenden",
  "the whole bench": "ganzer Tisch",
  "row {row}": "Reihe {row}",
  "trees without a place": "Bäume ohne Platz",
  "Without a place": "Ohne Platz",
  "Row {row}, walked left to right": "Reihe {row}, von links nach rechts",
  "Row {row}, walked right to left": "Reihe {row}, von rechts nach links",
  "Row {row}: soil for all of it": "Reihe {row}: Boden für die ganze Reihe",
  "Trees without a place: soil for all of them": "Bäume ohne Platz: Boden für alle",
  "No trees stand on this bench.": "Auf diesem Tisch steht kein Baum.",
  "nothing due": "nichts fällig",
  "wants a hand": "braucht Hilfe",
  "not on the plan": "nicht im Plan",

  // the sheet of a tree
  "tree": "Baum",
  "tree {tag}": "Baum {tag}",
  "Tap a tree to see what it asks for.": "Einen Baum antippen: dann steht hier, was er braucht.",
  "Photo": "Foto",
  "All answered": "Alles beantwortet",
  "Nothing is due": "Nichts ist fällig",
  "Last looks: {looks}": "Zuletzt: {looks}",
  "This phone may look, but not record.": "Dieses Telefon darf ansehen, aber nichts eintragen.",
  "Wire": "Draht",
  "Soil": "Boden",
  "Buds": "Knos\u00ADpen",
  "due": "fällig",
  "with the rest": "mit Rest",
  "Taking it off now?": "Kommt er jetzt ab?",
  "Cut it, never unwind it. Record it here.": "Schneiden, nie abwickeln. Hier eintragen.",
  "Measure the trunk": "Stamm messen",
  "Survey the roots": "Wurzelansatz aufnehmen",
  "Feel whether it is firm": "Fühlen, ob er fest steht",
  "Count the branches": "Äste zählen",
  "Undo": "Rück\u00ADgängig",
  "More": "Mehr",
  "Fine": "Passt",
  "look first": "erst ansehen",
  "answered": "beant\u00ADwortet",
  "Next": "Weiter",
  "Walk done": "Fertig",
  "what was found": "das Ergebnis",
  "Next bench": "Nächster Tisch",
  "To the plan": "Zum Plan",
  "what is left": "was offen ist",

  // many at once
  "The rest is fine": "Der Rest passt",
  "{n} trees stay open": { one: "{n} Baum bleibt offen", other: "{n} Bäume bleiben offen" },
  "Save for {n} trees": { one: "Für {n} Baum speichern", other: "Für {n} Bäume speichern" },
  "Nothing is left to save": "Nichts mehr zu speichern",
  "This records, marked as given for the rest:": "Das wird eingetragen, vermerkt als „mit dem Rest“:",
  "No soil or wire is due that could be called fine.": "Weder Boden noch Draht ist fällig, der passen könnte.",
  "Soil of {name}": "Boden: {name}",
  "One tap records it for {n} trees.": { one: "Ein Tipp gilt für {n} Baum.", other: "Ein Tipp gilt für {n} Bäume." },
  "{n} answered by taps of their own keep their answers.": {
    one: "{n} einzeln beantworteter behält seine Antwort.",
    other: "{n} einzeln beantwortete behalten ihre Antwort.",
  },

  // finding a tag
  "Tag, or its first letters and digits": "Etikett, oder die ersten Zeichen davon",
  "Scan the tag": "Etikett scannen",
  "Type the tag.": "Etikett eintippen.",
  "The scanner is not on this phone.": "Der Scanner ist nicht auf diesem Telefon.",
  "Misho's tags never begin with {letter}: look at the label again.":
    "Etiketten von Misho beginnen nie mit {letter}: noch einmal hinsehen.",
  "{tag} is misread: its check character, the last one, does not fit. Look at the label again.":
    "{tag} ist verlesen: Das Prüfzeichen, das letzte, passt nicht. Noch einmal aufs Etikett sehen.",
  "A right tag, but no such tree is on this phone. Is it new at the shed? Then hand over and fetch.":
    "Ein richtiges Etikett, aber dieser Baum ist nicht auf dem Telefon. Neu im Schuppen? Dann abgeben und abholen.",
  "No tag begins like that on this phone.": "So beginnt kein Etikett auf diesem Telefon.",

  // scanning
  "Scan a tag": "Etikett scannen",
  "Type the tag": "Etikett eintippen",
  "What the camera sees": "Was die Kamera sieht",
  "Opening the camera.": "Die Kamera geht auf.",
  "Hold a tag's code before the camera.": "Den Code eines Etiketts vor die Kamera halten.",
  "Reading the picture": "Bild wird gelesen",
  "Take a picture of the tag": "Etikett fotografieren",
  "Open {tag}": "{tag} öffnen",
  "No code can be read in this picture. Go nearer, hold still, keep off your own shadow.":
    "In diesem Bild ist kein Code zu lesen. Näher heran, ruhig halten, den eigenen Schatten weg.",
  "This file is no picture that the phone can open. Take another, or type the tag.":
    "Diese Datei ist kein Bild, das sich öffnen lässt. Ein anderes nehmen oder das Etikett eintippen.",
  "The camera is refused. Allow it for this page in the browser's settings, or type the tag.":
    "Die Kamera ist gesperrt. In den Einstellungen des Browsers für diese Seite erlauben, oder das Etikett eintippen.",
  "This phone offers no camera. Type the tag.": "Dieses Telefon gibt keine Kamera her. Das Etikett eintippen.",
  "The camera is held by another app. Close that one and scan again, or type the tag.":
    "Eine andere App hält die Kamera fest. Diese schließen und neu scannen, oder das Etikett eintippen.",
  "The live camera does not open here. Take a picture instead, or type the tag.":
    "Die Kamera geht hier nicht live auf. Stattdessen fotografieren, oder das Etikett eintippen.",
  "This label is out of date: it says {old}, and the tree's tag is now {tag}. Print it a new one.":
    "Dieses Etikett ist veraltet: Darauf steht {old}, der Baum heißt jetzt {tag}. Neu drucken.",
  "This label was printed for another tree, perhaps of another nursery. Your own {tag} is a different one.":
    "Dieses Etikett gehört einem anderen Baum, vielleicht aus einer anderen Gärtnerei. Das eigene {tag} ist ein anderer.",
  "The label says {tag}, and no such tree is on this phone. It is of another nursery, or new at the shed: then hand over and fetch.":
    "Auf dem Etikett steht {tag}, den Baum kennt dieses Telefon nicht. Er ist aus einer anderen Gärtnerei, oder neu im Schuppen: dann abgeben und abholen.",
  "A foreign code, not a tag of Misho: it says \u201c{text}\u201d. Type the tag that stands on the label.":
    "Ein fremder Code, kein Etikett von Misho: „{text}“. Eintippen, was auf dem Etikett steht.",

  // the plan
  "Plan": "Plan",
  "Plan: {what}": "Plan: {what}",
  "{left} of {n} stops left": { one: "{left} von {n} Station offen", other: "{left} von {n} Stationen offen" },
  "All {n} stops looked at": { one: "{n} Station angesehen", other: "Alle {n} Stationen angesehen" },
  "Planned walks": "Geplante Rundgänge",
  "{n} left": "{n} offen",
  "{n} stops": { one: "{n} Station", other: "{n} Stationen" },
  "all benches": "alle Tische",
  "{minutes}, for {day}.": "{minutes}, für den {day}.",
  "row {row}, place {place}": "Reihe {row}, Platz {place}",
  "no longer on a bench": "steht auf keinem Tisch mehr",
  "must-see": "muss sein",
  "looked at": "angesehen",
  "To the benches": "Zu den Tischen",
  "Go on with {tag}": "Weiter mit {tag}",
  "Begin with {tag}": "Beginnen mit {tag}",
  "ends the walk along {bench}": "beendet den Rundgang an {bench}",
  "This phone no longer carries that plan. What was recorded is kept.":
    "Diesen Plan hat das Telefon nicht mehr. Was eingetragen ist, bleibt.",

  // the page of a tree
  "Standing": "Stand",
  "No gate is left ahead of this tree.": "Vor diesem Baum liegt keine Stufe mehr.",
  "Held back by:": "Es fehlt:",
  "not looked at yet": "noch nicht angesehen",
  "not sure enough": "nicht sicher genug",
  "As of {day}, from the shed.": "Stand vom {day}, aus dem Schuppen.",
  "Last looks": "Zuletzt angesehen",
  "Needle buds": "Nadelknospen",
  "Caliper": "Stammdicke",
  "In its pot": "Im Topf",
  "Roots": "Wurzeln",
  "The shed knows of none yet.": "Der Schuppen weiß noch von keinem Blick.",
  "Take back": "Zurücknehmen",
  "Take back: {what}": "Zurücknehmen: {what}",
  "The shed has not told of this tree yet.": "Der Schuppen hat von diesem Baum noch nichts gemeldet.",
  "Recorded on this phone": "Auf diesem Telefon eingetragen",
  "Nothing in the last 30 days. The whole history is at the shed.":
    "Nichts in den letzten 30 Tagen. Die ganze Geschichte liegt im Schuppen.",
  "This phone does not know that tree. Hand over and fetch.": "Diesen Baum kennt das Telefon nicht. Abgeben und abholen.",
  "Record something": "Etwas eintragen",

  // the summary
  "{n} trunks measured": { one: "{n} Stamm gemessen", other: "{n} Stämme gemessen" },
  "{n} notes": { one: "{n} Notiz", other: "{n} Notizen" },
  "{n} given with the rest": "{n} mit dem Rest",
  "{looked} of {n} trees looked at": {
    one: "{looked} von {n} Baum angesehen",
    other: "{looked} von {n} Bäumen angesehen",
  },
  "Walk ended": "Rundgang beendet",
  "This walk so far": "Rundgang bisher",
  "Go on walking": "Weitergehen",
  "End the walk": "Rundgang beenden",
  "Wires to cut off today": "Heute Draht abschneiden",
  "Pots to water": "Gießen",
  "Loose in the pot": "Wackelt im Topf",
  "Tie them down; look again at the next walk.": "Festbinden; beim nächsten Rundgang nachsehen.",
  "Wire begins to mark": "Draht beginnt zu drücken",
  "Look again within days.": "In wenigen Tagen wieder ansehen.",
  "Soil wet": "Boden nass",
  "Hold the water back; is the drain free? Look again tomorrow.":
    "Nicht gießen; ist der Abfluss frei? Morgen wieder fühlen.",
  "No needle buds low down": "Unten keine Nadelknospen",
  "Look again before anything is cut back.": "Noch einmal ansehen, ehe etwas zurückgeschnitten wird.",
  "Still due": "Noch fällig",
};
