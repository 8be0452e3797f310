// What the shed says of a tree (nursery/sentences.py): why something is due, and why a plan stops there.
// The markers and the values in them are explained there; a test holds these texts to its sources.

import type { Catalogue } from "..";

export const shed: Catalogue = {
  // days, months, numbers
  "January": "Januar",
  "February": "Februar",
  "March": "März",
  "April": "April",
  "May": "Mai",
  "June": "Juni",
  "July": "Juli",
  "August": "August",
  "September": "September",
  "October": "Oktober",
  "November": "November",
  "December": "Dezember",
  "Jan": "Jan.",
  "Feb": "Feb.",
  "Mar": "März",
  "Apr": "Apr.",
  "Jun": "Juni",
  "Jul": "Juli",
  "Aug": "Aug.",
  "Sep": "Sept.",
  "Oct": "Okt.",
  "Nov": "Nov.",
  "Dec": "Dez.",
  "{day} {month}": "{day}. {month}",
  "{day} {month} {year}": "{day}. {month} {year}",
  "{month} {year}": "{month} {year}",
  "{number}%": "{number}\u00A0%",
  "{number} mm": "{number} mm",
  "{number} cm": "{number} cm",
  "{number} in": "{number} Zoll",
  "{before} and {last}": "{before} und {last}",

  // due
  "soil never looked at": "Boden noch nie gefühlt",
  "soil not looked at since {day:since}": "Boden seit {day:since} nicht gefühlt",
  "dry on {day:on}": "trocken am {day:on}",
  "buds never looked at": "Knospen noch nie angesehen",
  "buds not looked at since {day:since}": "Knospen seit {day:since} nicht angesehen",
  "never measured": "noch nie gemessen",
  "not measured since {day:since}": "seit {day:since} nicht gemessen",
  "roots never surveyed: look when repotting": "Wurzelansatz noch nie aufgenommen: beim Umtopfen ansehen",
  "never checked whether it stands firm": "noch nie gefühlt, ob er fest steht",
  "firmness not checked since {day:since}": "seit {day:since} nicht gefühlt, ob er fest steht",
  "branches never looked at": "Äste noch nie angesehen",
  "branches not looked at since {day:since}": "Äste seit {day:since} nicht angesehen",

  // wire
  "{state:word} on {day:on}": "{state:word} am {day:on}",
  "never looked at": "noch nie angesehen",
  "wire {seen:word}: see to it now": "Draht {seen:word}: jetzt handeln",
  "wire {seen:word}, tighter the time before: look again": "Draht {seen:word}, davor enger: noch einmal ansehen",
  "wire {seen:word}: look by {by:on}": "Draht {seen:word}: bis {by:on} ansehen",
  "wire {seen:word}: overdue since {by:on}": "Draht {seen:word}: seit {by:on} überfällig",

  "wire on since {day:on}: look by {by:on}": "Draht seit {day:on}: bis {by:on} ansehen",
  "wire on since {day:on}: overdue since {by:on}": "Draht seit {day:on}: seit {by:on} überfällig",

  // a plan's stops
  "wire seen {state:word}: have it off": "Draht {state:word}: muss ab",
  "wire seen {state:word} on {day:on}: have it off": "Draht {state:word} am {day:on}: muss ab",
  "wire overdue since {day:on}": "Draht seit {day:on} überfällig",
  "wire: today is its last safe day": "Draht: heute ist der letzte sichere Tag",
  "wire: look by {day:on}": "Draht bis {day:on} ansehen",
  "soil {dry:word}, no watering recorded since": "Boden {dry:word}, seither kein Gießen eingetragen",
  "last looked at {day:on}": "zuletzt angesehen {day:on}",
  "never felt whether it is firm": "noch nie gefühlt, ob er fest steht",
  "firmness last felt {day:on}": "festen Stand zuletzt gefühlt {day:on}",
  "roots never surveyed": "Wurzelansatz noch nie aufgenommen",
  "roots last surveyed {day:on}": "Wurzelansatz zuletzt aufgenommen {day:on}",
  "low buds never looked at": "unten noch nie nach Knospen gesehen",
  "low buds last looked at {day:on}": "unten zuletzt nach Knospen gesehen {day:on}",
  "trunk never measured": "Stamm noch nie gemessen",
  "trunk last measured {day:on}": "Stamm zuletzt gemessen {day:on}",
  "taper never measured": "Verjüngung noch nie gemessen",
  "taper last measured {day:on}": "Verjüngung zuletzt gemessen {day:on}",
  "branches never counted": "Äste noch nie gezählt",
  "branches last counted {day:on}": "Äste zuletzt gezählt {day:on}",
  "ready for root work": "reif für die Wurzelarbeit",
  "ready for the trunk": "reif für den Stammaufbau",
  "ready for branches": "reif für den Astaufbau",
  "ready for refinement": "reif für die Feinverzweigung",
  "{seen:word}; {gate:word}: {now:chance} now, {then:chance} if it lives":
    "{seen:word}; {gate:word}: {now:chance} jetzt, {then:chance}, wenn er lebt",
  "{seen:word}; {gate:word}: {now:chance} now, {then:chance} if it stands firm":
    "{seen:word}; {gate:word}: {now:chance} jetzt, {then:chance}, wenn er fest steht",
  "{seen:word}; {gate:word}: {now:chance} now, {then:chance} if they are good":
    "{seen:word}; {gate:word}: {now:chance} jetzt, {then:chance}, wenn er gut ist",
  "{seen:word}; {gate:word}: {now:chance} now, {then:chance} if there are some":
    "{seen:word}; {gate:word}: {now:chance} jetzt, {then:chance}, wenn welche da sind",
  "{seen:word}; {gate:word}: {now:chance} now, {then:chance} if it is at its target":
    "{seen:word}; {gate:word}: {now:chance} jetzt, {then:chance}, wenn er am Ziel ist",
  "{seen:word}; {gate:word}: {now:chance} now, {then:chance} if it tapers":
    "{seen:word}; {gate:word}: {now:chance} jetzt, {then:chance}, wenn er sich verjüngt",
  "{seen:word}; {gate:word}: {now:chance} now, {then:chance} if they are set":
    "{seen:word}; {gate:word}: {now:chance} jetzt, {then:chance}, wenn sie stehen",
};
