// The page's words in the languages that it speaks. `{name}` is filled in.

const WORDS = {
  en: {
    title: "Crew", today: "Today", day_of: "{day}", no_jobs: "No job is assigned to this crew for these days.",
    who: "Who records?", who_hint: "Your name stands beside what you record.", start: "Start",
    unsent: "{count} not sent yet", all_sent: "Everything is sent", offline: "No network: entries are kept on this phone",
    closed: "This link is no longer in force. Nothing more is sent. Save the file and give it to the office.",
    save_file: "Save unsent entries as a file", refused: "Refused: {reason}", try_again: "Try again", drop: "Discard",
    insecure: "This address is not secure (no https): the page will not open without a network.",
    not_persistent: "This browser may throw away what waits here. Send it soon.",
    call_client: "Call client", call_office: "Call office", map: "Map", bags_to_load: "{bags} bags to load",
    parts_done: "{done} of {parts} parts done", checks_before: "Checks before filling", checks_after: "Checks after the work",
    ready: "Ready?", day_end: "End of the day", delivery: "Delivery", parts: "Parts", back: "Back",
    planned_bags: "{bags} bags planned", emptied_bags: "{bags} emptied", done: "done", open: "open", done_sign: "Done",
    bags: "Bags emptied", kilograms: "Kilograms", done_as_planned: "Done as planned",
    as_planned_says: "Says: all {holes} holes as planned, all patched as planned.", differs: "Something differs",
    run_empty: "Machine run empty", last_bay: "Bay filled last", core: "Core", core_mass: "Grams", core_bay: "Bay",
    firm: "Firm, springs back", gives_way: "Gives way", save: "Save", found: "Found otherwise", note: "Note", photo: "Photo",
    depth_found: "Depth found, mm", bay_state: "Bay met", full: "full", blocked: "blocked", absent: "not there",
    added_hole: "Another hole", omitted_holes: "Touch the holes in the drawing that were not made.",
    still_open: "Numbers still open", holes_differ: "Holes", bulge: "Bulge of the facing, mm",
    lot: "Lot", material: "Material", bags_came: "Bags delivered", left_over: "Bags left over", returned: "Bags sent back",
    spill: "Vacuumed up, kg", spill_hint: "0 is an answer too.", hours: "Hours each", people: "People", remark: "What happened",
    clear: "In order", dealt_with: "Dealt with", not_applicable: "Does not apply", stopped: "Stop work",
    reading: "Reading, {unit}", limit: "at most {most} {unit}", limit_least: "at least {least} {unit}",
    beyond: "Beyond the limit: it cannot be in order.", all_ticked: "Sign these {count} points", tick_each: "Tick each point that is in order.",
    density: "{density} kg/m³", inside: "inside its window {low} to {high}", below: "below its window {low} to {high}: pack again",
    above: "above its window {low} to {high}: take some out", no_depth: "Measure the depth first: a core is as long as the fill is deep.",
    undo: "Undo", recorded: "Recorded", undone: "Undone", nothing_missing: "Nothing stands in the way.",
    needs_network: "What the service sees needs a network; below is what this phone knows.", refresh: "Look again",
    drawing_of: "{part} with {count} numbered holes", correct: "Correct", was: "recorded: {what}", reason: "Why",
    method_hose: "hose", method_lance: "lance", method_several_hoses: "several hoses", method_divided_bays: "divided bays",
    method_open_blow: "open blow", element_wall: "wall", element_floor: "floor", element_roof_slope: "roof slope",
    element_attic: "attic", sample_bays: "Cores planned in bays {bays}", depth_mm: "{depth} mm deep", area: "{area} m²",
    depths: "Depths as blown, mm", add_depth: "Add", markers: "Markers counted", not_started: "Not assigned yet: call the office.",
    total: "These bags are the part’s total", besides: "besides the {bags} recorded before", delete: "Delete last digit", plus: "One more", minus: "One less",
    keypad: "Number", close: "Close", unsent_title: "Not sent yet", sent_soon: "is sent in a moment", missing_here: "Still to do",
    todo_part: "{part}: not done", todo_checks: "{count} checks before filling without an answer", todo_after: "{count} checks after the work without an answer",
    todo_spill: "Say what was vacuumed up today, 0 too", todo_left: "Say how many bags are left over", todo_delivery: "No delivery is recorded", todo_cores: "{part}: {missing} more cores",
    several_tallies: "This part was recorded as done before.", caption: "What it shows", change_who: "Another person",
  },
  de: {
    title: "Kolonne", today: "Heute", day_of: "{day}", no_jobs: "Für diese Tage ist der Kolonne kein Auftrag zugeteilt.",
    who: "Wer trägt ein?", who_hint: "Ihr Name steht neben dem, was Sie eintragen.", start: "Los",
    unsent: "{count} noch nicht gesendet", all_sent: "Alles gesendet", offline: "Kein Netz: Einträge bleiben auf dem Telefon",
    closed: "Dieser Link gilt nicht mehr. Es wird nichts mehr gesendet. Datei sichern und dem Büro geben.",
    save_file: "Ungesendetes als Datei sichern", refused: "Abgelehnt: {reason}", try_again: "Noch einmal", drop: "Verwerfen",
    insecure: "Diese Adresse ist nicht gesichert (kein https): Ohne Netz öffnet sich die Seite nicht.",
    not_persistent: "Dieser Browser kann Wartendes wegwerfen. Bald senden.",
    call_client: "Kunde anrufen", call_office: "Büro anrufen", map: "Karte", bags_to_load: "{bags} Säcke laden",
    parts_done: "{done} von {parts} Bauteilen fertig", checks_before: "Prüfungen vor dem Füllen", checks_after: "Prüfungen nach der Arbeit",
    ready: "Fertig?", day_end: "Ende des Tages", delivery: "Lieferung", parts: "Bauteile", back: "Zurück",
    planned_bags: "{bags} Säcke geplant", emptied_bags: "{bags} geleert", done: "fertig", open: "offen", done_sign: "Fertig",
    bags: "Säcke geleert", kilograms: "Kilogramm", done_as_planned: "Fertig wie geplant",
    as_planned_says: "Heißt: alle {holes} Löcher wie geplant, alle wie geplant verschlossen.", differs: "Etwas ist anders",
    run_empty: "Maschine leer gefahren", last_bay: "Zuletzt gefülltes Feld", core: "Kern", core_mass: "Gramm", core_bay: "Feld",
    firm: "Fest, federt zurück", gives_way: "Gibt nach", save: "Sichern", found: "Anders vorgefunden", note: "Notiz", photo: "Foto",
    depth_found: "Tiefe vorgefunden, mm", bay_state: "Feld ist", full: "voll", blocked: "versperrt", absent: "nicht da",
    added_hole: "Weiteres Loch", omitted_holes: "Löcher antippen, die nicht gemacht wurden.",
    still_open: "Noch offene Nummern", holes_differ: "Löcher", bulge: "Ausbauchung, mm",
    lot: "Charge", material: "Material", bags_came: "Säcke geliefert", left_over: "Säcke übrig", returned: "Säcke zurück",
    spill: "Aufgesaugt, kg", spill_hint: "Auch 0 ist eine Antwort.", hours: "Stunden je Person", people: "Personen", remark: "Was war",
    clear: "In Ordnung", dealt_with: "Behoben", not_applicable: "Trifft nicht zu", stopped: "Arbeit ruht",
    reading: "Messwert, {unit}", limit: "höchstens {most} {unit}", limit_least: "mindestens {least} {unit}",
    beyond: "Über der Grenze: Das kann nicht in Ordnung sein.", all_ticked: "Diese {count} Punkte zeichnen", tick_each: "Jeden Punkt abhaken, der in Ordnung ist.",
    density: "{density} kg/m³", inside: "im Fenster {low} bis {high}", below: "unter dem Fenster {low} bis {high}: nachverdichten",
    above: "über dem Fenster {low} bis {high}: etwas entnehmen", no_depth: "Erst die Tiefe messen: Ein Kern ist so lang, wie die Füllung tief ist.",
    undo: "Rückgängig", recorded: "Eingetragen", undone: "Rückgängig gemacht", nothing_missing: "Nichts steht im Weg.",
    needs_network: "Was der Dienst sieht, braucht ein Netz; hier steht, was das Telefon weiß.", refresh: "Neu ansehen",
    drawing_of: "{part} mit {count} nummerierten Löchern", correct: "Berichtigen", was: "eingetragen: {what}", reason: "Warum",
    method_hose: "Schlauch", method_lance: "Lanze", method_several_hoses: "mehrere Schläuche", method_divided_bays: "geteilte Felder",
    method_open_blow: "offen aufgeblasen", element_wall: "Wand", element_floor: "Decke", element_roof_slope: "Dachschräge",
    element_attic: "Dachboden", sample_bays: "Kerne geplant in Feld {bays}", depth_mm: "{depth} mm tief", area: "{area} m²",
    depths: "Dicken wie geblasen, mm", add_depth: "Dazu", markers: "Marken gezählt", not_started: "Noch nicht zugeteilt: Büro anrufen.",
    total: "Diese Säcke sind alles für das Bauteil", besides: "zu den {bags} von vorher", delete: "Letzte Ziffer löschen", plus: "Eins mehr", minus: "Eins weniger",
    keypad: "Zahl", close: "Schließen", unsent_title: "Noch nicht gesendet", sent_soon: "wird gleich gesendet", missing_here: "Noch zu tun",
    todo_part: "{part}: nicht fertig", todo_checks: "{count} Prüfungen vor dem Füllen ohne Antwort", todo_after: "{count} Prüfungen nach der Arbeit ohne Antwort",
    todo_spill: "Sagen, was heute aufgesaugt wurde, auch 0", todo_left: "Sagen, wie viele Säcke übrig sind", todo_delivery: "Keine Lieferung eingetragen", todo_cores: "{part}: noch {missing} Kerne",
    several_tallies: "Dieses Bauteil wurde schon als fertig eingetragen.", caption: "Was es zeigt", change_who: "Andere Person",
  },
};

export const language = (navigator.languages ?? [navigator.language]).map((each) => each.slice(0, 2))
  .find((each) => each in WORDS) ?? "en";

/** A text of the page in the phone's language. */
export function words(name, values = {}) {
  const text = WORDS[language][name];
  if (text === undefined) throw new Error(`no words for ${name}`);
  return text.replace(/\{(\w+)\}/g, (_, value) => String(values[value]));
}

/** A text that the firm wrote, in the phone's language where it has one. */
export const theirs = (text) => (text && typeof text === "object" ? text[language] ?? text.en ?? Object.values(text)[0] : text ?? "");

export const both = WORDS;
