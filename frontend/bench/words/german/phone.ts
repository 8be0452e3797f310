// The phone itself: handing over, what waits, its memory and settings, and everything that can go wrong.

import type { Catalogue } from "../texts";

export const phone: Catalogue = {
  // handing over
  "Hand over and fetch": "Abgeben und abholen",
  "Handing over": "Wird abgegeben",
  "handing over": "wird abgegeben",
  "Handing over: {done} of {n} records": {
    one: "Abgegeben: {done} von {n} Eintrag",
    other: "Abgegeben: {done} von {n} Einträgen",
  },
  "Handing over photo {n} of {total}": "Foto {n} von {total} wird abgegeben",
  "Fetching standings: {n} rows so far": { one: "Stand wird geholt: {n} Zeile", other: "Stand wird geholt: {n} Zeilen" },
  "{what} to hand over.": "{what} abzugeben.",
  "{what} on this phone.": "{what} auf diesem Telefon.",
  "Nothing waits.": "Nichts wartet.",
  "Nothing waits on this phone.": "Auf diesem Telefon wartet nichts.",
  "{n} photos handed over.": { one: "{n} Foto abgegeben.", other: "{n} Fotos abgegeben." },
  "{n} records handed over at {when}": { one: "{n} Eintrag abgegeben, {when}", other: "{n} Einträge abgegeben, {when}" },
  "{n} set aside": "{n} zurückgelegt",
  "Standing as of {when}.": "Stand: {when}.",
  "Your records are safe on this phone.": "Die Einträge sind auf diesem Telefon sicher.",
  "{n} records set aside: see why": { one: "{n} Eintrag zurückgelegt: warum?", other: "{n} Einträge zurückgelegt: warum?" },

  // records
  "Records": "Einträge",
  "To hand over: {n}": "Abzugeben: {n}",
  "Everything recorded on this phone has reached the shed.": "Alles, was hier eingetragen wurde, ist im Schuppen.",
  "and {n} older ones": { one: "und {n} älterer", other: "und {n} ältere" },
  "Set aside by the shed: {n}": "Vom Schuppen zurückgelegt: {n}",
  "Kept whole there. Take a wrong one back here, or settle it at the shed under Set aside.":
    "Dort unversehrt aufgehoben. Einen falschen hier zurücknehmen, oder im Schuppen unter „Zurückgelegt“ klären.",
  "No way to the shed: save {what} as a file": "Kein Weg zum Schuppen: {what} als Datei sichern",
  "{photos} to hand over; they follow the records.": {
    one: "{photos} abzugeben; es geht nach den Einträgen.",
    other: "{photos} abzugeben; sie gehen nach den Einträgen.",
  },
  "Photos on this phone": "Fotos auf diesem Telefon",
  "Photos not taken by the shed: {n}": "Vom Schuppen nicht angenommene Fotos: {n}",
  "at the shed": "im Schuppen",
  "not taken": "nicht angenommen",
  "Taken {when}": "Aufgenommen {when}",
  "Delete it here": "Hier löschen",

  // this phone
  "not paired": "nicht verbunden",
  "Name": "Name",
  "none|name": "keiner",
  "May|role": "Darf",
  "look only": "nur ansehen",
  "look and record": "ansehen und eintragen",
  "To hand over": "Abzugeben",
  "Set aside": "Zurückgelegt",
  "Its memory": "Sein Gedächtnis",
  "Misho opens without a network.": "Misho geht auch ohne Netz auf.",
  "Misho does not open without a network here: it needs the shed's https address.":
    "Ohne Netz geht Misho hier nicht auf: Dazu braucht es die https-Adresse des Schuppens.",
  "A newer version is on this phone.": "Eine neuere Version ist auf diesem Telefon.",
  "End the walk first, then use it.": "Erst den Rundgang beenden, dann nehmen.",
  "Use the newer version": "Neuere Version nehmen",
  "No newer version waits.": "Keine neuere Version wartet.",
  "When there is no way to the shed": "Wenn kein Weg zum Schuppen führt",
  "Save what waits as a file, and take it in at the shed. Nothing leaves this phone by it.":
    "Was wartet, als Datei sichern und im Schuppen einlesen. Hier geht dadurch nichts verloren.",
  "Save {what} as a file": "{what} als Datei sichern",
  "Nothing waits": "Nichts wartet",
  "This browser does not say whether it keeps what is recorded. Hand over often.":
    "Dieser Browser sagt nicht, ob er behält, was eingetragen ist. Oft abgeben.",
  "The browser has promised to keep what is recorded.": "Der Browser hat zugesagt, zu behalten, was eingetragen ist.",
  "The browser has not promised to keep what is recorded: it may clear it when the phone is full. Hand over often.":
    "Der Browser hat nicht zugesagt, zu behalten, was eingetragen ist: Ist das Telefon voll, räumt er es vielleicht weg. Oft abgeben.",
  "Ask the browser to keep it": "Den Browser darum bitten",

  // the home screen
  "First put Misho on the home screen": "Erst Misho auf den Startbildschirm legen",
  "A page in the browser may be cleared after a week unused, with everything not yet handed over. The app on the home screen keeps it.":
    "Eine Seite im Browser kann nach einer Woche ohne Gebrauch gelöscht werden, samt allem, was nicht abgegeben ist. Die App auf dem Startbildschirm behält es.",
  "Its memory is its own, so pair there and not here.": "Sie hat ihr eigenes Gedächtnis: also dort verbinden, nicht hier.",
  "Open the browser's menu, then Install or Add to Home screen, then open Misho from there.":
    "Das Menü des Browsers öffnen, „Installieren“ oder „Zum Startbildschirm hinzufügen“ wählen, dann Misho von dort öffnen.",
  "Tap Share, the square with the arrow, then Add to Home Screen, then open Misho from there.":
    "„Teilen“ antippen, das Quadrat mit dem Pfeil, dann „Zum Home-Bildschirm“, dann Misho von dort öffnen.",
  "Put it there now": "Jetzt dorthin legen",

  // pairing
  "Pair this phone": "Telefon verbinden",
  "Pair this phone again": "Telefon neu verbinden",
  "Walk the benches": "Rundgang an den Tischen",
  "The code is read. Give this phone a name, and pair it.": "Der Code ist gelesen. Dem Telefon einen Namen geben und verbinden.",
  "Type the code that the shed shows under Phones. It is good once, for ten minutes.":
    "Den Code eintippen, den der Schuppen unter „Telefone“ zeigt. Er gilt einmal, zehn Minuten lang.",
  "Code": "Code",
  "Name of this phone": "Name dieses Telefons",
  "pocket phone": "Hosentasche",
  "Asking the shed": "Der Schuppen wird gefragt",
  "Later: go on recording": "Später: weiter eintragen",

  // settings
  "In the hand": "In der Hand",
  "Language": "Sprache",
  "as the phone": "wie das Telefon",
  "Tags, notes and names stay as they were written.": "Etiketten, Notizen und Namen bleiben, wie sie geschrieben sind.",
  "Hand that holds it": "Hand, die es hält",
  "The keys used most lie on its side.": "Die häufigsten Tasten liegen auf ihrer Seite.",
  "Text": "Schrift",
  "usual": "üblich",
  "large": "groß",
  "largest": "sehr groß",
  "On top of the text size that the phone itself is set to.": "Zusätzlich zur Schriftgröße, auf die das Telefon gestellt ist.",
  "Light": "Helligkeit",
  "light": "hell",
  "dark": "dunkel",
  "Light is read best in the sun.": "Hell liest sich in der Sonne am besten.",
  "Lengths": "Längen",
  "inches": "Zoll",
  "Shown and typed so; records hold millimetres all the same.":
    "So gezeigt und getippt; gespeichert werden immer Millimeter.",
  "Tremble when saved": "Beim Speichern vibrieren",
  "on": "an",
  "off": "aus",
  "Two long pulses say that it was not saved. Not every phone can.":
    "Zweimal lang heißt: nicht gespeichert. Nicht jedes Telefon kann das.",
  "Screen stays lit on a walk": "Bildschirm bleibt beim Rundgang an",
  "It costs battery.": "Das kostet Akku.",

  // faults of the app and the phone's memory
  "Something went wrong: {what}.": "Da ging etwas schief: {what}.",
  "Try once more; if it stays, close Misho and open it again.":
    "Noch einmal versuchen; bleibt es dabei, Misho schließen und neu öffnen.",
  "Not saved. {why}": "Nicht gespeichert. {why}",
  "The texts of that language are not on this phone.": "Die Texte dieser Sprache sind nicht auf dem Telefon.",
  "Choose it again where the phone can reach the shed.": "Noch einmal wählen, wo das Telefon den Schuppen erreicht.",
  "Pictures need the shed's https address.": "Für Bilder braucht es die https-Adresse des Schuppens.",
  "Open Misho there; notes can be written here.": "Misho dort öffnen; Notizen gehen auch hier.",
  "This file is no picture that this phone can read.": "Diese Datei ist kein Bild, das dieses Telefon lesen kann.",
  "Take the picture again.": "Das Bild neu aufnehmen.",
  "This phone has no memory left to work on the picture.": "Diesem Telefon fehlt der Speicher, um das Bild zu bearbeiten.",
  "Close other apps, then take it again.": "Andere Apps schließen, dann neu aufnehmen.",
  "This record is no longer on the phone.": "Dieser Eintrag ist nicht mehr auf dem Telefon.",
  "Correct it at the shed, on the tree's page.": "Im Schuppen berichtigen, auf der Seite des Baums.",
  "Another tab holds an older Misho.": "In einem anderen Tab läuft ein älteres Misho.",
  "Close the other tabs of Misho.": "Die anderen Tabs mit Misho schließen.",
  "Not saved: this phone has no room left.": "Nicht gespeichert: Das Telefon ist voll.",
  "Delete some photos or apps, then record it again. What was saved before is still there.":
    "Fotos oder Apps löschen, dann noch einmal eintragen. Was vorher gespeichert war, ist noch da.",
  "Not saved: the phone closed its storage.": "Nicht gespeichert: Das Telefon hat seinen Speicher geschlossen.",
  "Close the app, open it again and record it once more.": "Die App schließen, neu öffnen und noch einmal eintragen.",
  "The phone's storage failed: {detail}": "Der Speicher des Telefons versagte: {detail}",
  "Close the app and open it again.": "Die App schließen und neu öffnen.",
  "This picture is no longer on the phone.": "Dieses Bild ist nicht mehr auf dem Telefon.",
  "Take it again.": "Neu aufnehmen.",

  // faults on the way to the shed
  "This phone is not paired with the shed.": "Dieses Telefon ist nicht mit dem Schuppen verbunden.",
  "Ask at the shed for a code and enter it here. What you record meanwhile is kept.":
    "Im Schuppen einen Code holen und hier eingeben. Was bis dahin eingetragen wird, bleibt.",
  "The app had a fault: {detail}": "Die App hatte einen Fehler: {detail}",
  "The app tries again.": "Die App versucht es wieder.",
  "The app tries again by itself.": "Die App versucht es von selbst wieder.",
  "The app tries with fewer records.": "Die App versucht es mit weniger Einträgen.",
  "The app tries again. If it goes on, restart the shed.":
    "Die App versucht es wieder. Bleibt es dabei, den Schuppen neu starten.",
  "{n} records were not taken by the shed, and kept here: {why}": {
    one: "{n} Eintrag hat der Schuppen nicht genommen, er bleibt hier: {why}",
    other: "{n} Einträge hat der Schuppen nicht genommen, sie bleiben hier: {why}",
  },
  "Hand the waiting records over as a file.": "Die wartenden Einträge als Datei abgeben.",
  "Try again.": "Noch einmal versuchen.",
  "The shed does not answer.": "Der Schuppen antwortet nicht.",
  "Nothing is lost. The app tries again when you are near it.":
    "Nichts ist verloren. In seiner Nähe versucht die App es wieder.",
  "Something other than the shed answered.": "Etwas anderes als der Schuppen hat geantwortet.",
  "Join the nursery's own Wi-Fi, or open a browser and sign in to the network you are on.":
    "Ins WLAN der Gärtnerei gehen, oder im Browser im jetzigen Netz anmelden.",
  "The shed's answer was cut off.": "Die Antwort des Schuppens brach ab.",
  "Nothing is lost. The app tries again.": "Nichts ist verloren. Die App versucht es wieder.",
  "A batch was too large for the way to the shed.": "Ein Stoß war zu groß für den Weg zum Schuppen.",
  "The shed asks for a pause.": "Der Schuppen bittet um eine Pause.",
  "The shed is not ready.": "Der Schuppen ist nicht bereit.",
  "The shed is busy.": "Der Schuppen ist beschäftigt.",
  "The shed had a fault.": "Der Schuppen hatte einen Fehler.",
  "The shed does not get on with a picture.": "Der Schuppen kommt mit einem Bild nicht voran.",
  "The shed's pages lead nowhere.": "Die Seiten des Schuppens führen nirgends hin.",
  "The shed did not say what became of the records.": "Der Schuppen sagte nicht, was aus den Einträgen wurde.",
};
