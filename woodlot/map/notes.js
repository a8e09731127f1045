/* Notes from the woods: tap, kind, amount, words, place. Kept in this browser where it lets us, saved as a file for the ledger.
   A note has an id of its own from the day it is kept, by which the ledger knows it however often it is saved. What a saved
   file holds is not changed any more: a new note takes its place. */
/* exported woodsNotes */
function woodsNotes(map, stands, data, page) {
  "use strict";
  const el = page.el, button = page.button;
  const KEY = "woodlot notes: " + data.field.place;
  const drawn = L.layerGroup().addTo(map);
  const crosshair = L.layerGroup().addTo(map);
  const FIELDS = ["amount", "unit", "deer", "tree", "text", "date", "who", "photo"];
  const MARKED = 200, ROWS = 100;
  const named = new Map(data.field.kinds.map((one) => [one.kind, one]));
  const of = (kind) => named.get(kind) || { units: [], must: [], such_as: [], tree: false };
  const asks = (kind) => (named.get(kind) || { asks: "amount" }).asks;
  const units = new Map(data.field.kinds.flatMap((one) => one.units));
  const word = (kind) => (named.get(kind) || { words: kind }).words;
  let kept = null, notes = [], writing = null, who = "", draft = null, rows = ROWS;

  /* --- ids --- */
  function randomBytes(count) {
    if (window.crypto && window.crypto.getRandomValues) return [...window.crypto.getRandomValues(new Uint8Array(count))];
    return Array.from({ length: count }, () => Math.floor(Math.random() * 256));
  }
  /* Each letter is as likely as the next: bytes beyond the last whole round of the letters are thrown away. */
  function newId() {
    const letters = data.field.id_letters, most = 256 - (256 % letters.length), id = [];
    while (id.length < data.field.id_long) id.push(...randomBytes(24).filter((byte) => byte < most).map((byte) => letters[byte % letters.length]));
    return id.slice(0, data.field.id_long).join("");
  }
  function replaced() { return new Set(notes.flatMap((n) => (n.corrects || "").split(" "))); }
  function counting() {
    const gone = replaced();
    return notes.filter((n) => !gone.has(n.id));
  }

  /* --- keeping --- */
  function storage() {
    try {
      window.localStorage.setItem(KEY + " probe", "1");
      window.localStorage.removeItem(KEY + " probe");
      return window.localStorage;
    } catch (refused) { return null; }
  }
  function load() {
    kept = storage();
    if (!kept) return;
    reread();
    const bare = notes.filter((n) => !n.id);
    bare.forEach((n) => { n.id = newId(); });
    who = kept.getItem(KEY + " who") || "";
    if (bare.length) keep();
    try { draft = JSON.parse(kept && kept.getItem(KEY + " draft")); } catch (torn) { draft = null; }
    if (draft && typeof draft === "object") draft = Object.assign({ photo: "", tree: "" }, draft);
    if (!draft || !Number.isFinite(draft.lat) || !Number.isFinite(draft.lng) || FIELDS.some((name) => typeof draft[name] !== "string")) draft = null;
  }
  function reread() {
    try { notes = JSON.parse(kept.getItem(KEY) || "[]"); } catch (torn) { notes = []; }
    notes = Array.isArray(notes) ? notes.filter((n) => n && typeof n === "object") : [];
  }
  function keep() {
    if (!kept) return false;
    try {
      kept.setItem(KEY, JSON.stringify(notes));
      kept.setItem(KEY + " who", who);
      return true;
    } catch (full) { kept = null; return false; }
  }

  /* The one half-written note: kept at every touch, until it is a note or thrown away. */
  function keepDraft(written) {
    draft = written;
    if (!kept) return;
    try {
      if (draft) kept.setItem(KEY + " draft", JSON.stringify(draft)); else kept.removeItem(KEY + " draft");
    } catch (full) { kept = null; }
  }
  function written() {
    const told = { kind: writing.kind, of: writing.of, lat: writing.at.lat, lng: writing.at.lng };
    FIELDS.forEach((name) => { told[name] = document.getElementById("note-" + name).value; });
    return told;
  }
  function touched() {
    const told = written(), now = new Date();
    const time = String(now.getHours()).padStart(2, "0") + ":" + String(now.getMinutes()).padStart(2, "0");
    keepDraft(JSON.stringify(told) === writing.begun ? null : Object.assign(told, { day: today(), time: time }));
    tellDraft("");
  }
  function tellDraft(words) {
    const lasts = draft && !kept ? "This viewer keeps it only while this page is open." : "";
    document.getElementById("note-draft").textContent = [words, lasts].filter(Boolean).join(" ");
    const away = document.getElementById("note-away");
    away.hidden = !draft;
    away.textContent = "throw away";
    delete away.dataset.sure;
  }

  /* --- where a tap lies --- */
  function inRing(ring, x, y) {
    let inside = false;
    for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
      const [xi, yi] = ring[i], [xj, yj] = ring[j];
      if ((yi > y) !== (yj > y) && x < ((xj - xi) * (y - yi)) / (yj - yi) + xi) inside = !inside;
    }
    return inside;
  }
  function holds(shape, x, y) {
    const polygons = shape.type === "Polygon" ? [shape.coordinates] : shape.type === "MultiPolygon" ? shape.coordinates : [];
    return polygons.some((rings) => inRing(rings[0], x, y) && !rings.slice(1).some((hole) => inRing(hole, x, y)));
  }
  function find(group, at) {
    let found = "";
    group.eachLayer((layer) => { if (!found && holds(layer.feature.geometry, at.lng, at.lat)) found = String(layer.feature.id); });
    return found;
  }

  /* --- the file --- */
  function cell(value) {
    const words = value === null || value === undefined ? "" : String(value).replace(/[\u0000-\u001f\u007f-\u009f\u2028\u2029]+/g, " ").trim();
    const safe = typeof value === "string" && /^'*[=+\-@]/.test(words) ? "'" + words : words;
    return /[",]/.test(safe) ? '"' + safe.replaceAll('"', '""') + '"' : safe;
  }
  function csv() {
    return [data.field.columns.join(",")].concat(notes.map((n) => data.field.columns.map((c) => cell(n[c])).join(","))).join("\n") + "\n";
  }
  function save() {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob(["\ufeff" + csv()], { type: "text/csv;charset=utf-8" }));
    link.download = "woodlot-notes-" + today() + ".csv";
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(link.href), 20000);
    notes.forEach((n) => { n.saved = true; });
    keep();
    list("The file is saved. At home:  woodlot note --from " + link.download);
  }
  function today() {
    const now = new Date();
    return [now.getFullYear(), String(now.getMonth() + 1).padStart(2, "0"), String(now.getDate()).padStart(2, "0")].join("-");
  }

  /* --- drawing --- */
  function draw() {
    drawn.clearLayers();
    const here = counting().filter((n) => n.kind !== "void");
    here.filter((n) => Number.isFinite(n.lat) && Number.isFinite(n.lon)).slice(-MARKED).forEach((n) => {
      const mark = el("i", "new", "tag new " + (named.get(n.kind) || { tag: "wood" }).tag);
      const box = el("div", null, "new-note", [mark]);
      L.marker([n.lat, n.lon], { icon: L.divIcon({ className: "mark", html: box, iconSize: [0, 0] }), pane: "notes", interactive: false, keyboard: false }).addTo(drawn);
    });
    const many = notes.length ? "notes (" + here.length.toLocaleString("en-US") + ")" : "";
    page.open.textContent = draft ? (many ? many + ", one to finish" : "finish the note") : many || "write a note";
  }
  function place(at) {
    writing.at = at;
    crosshair.clearLayers();
    L.circleMarker(at, { radius: 13, pane: "here", color: "#FFFFFF", weight: 6, fill: false, interactive: false }).addTo(crosshair);
    L.circleMarker(at, { radius: 13, pane: "here", color: "#1E221C", weight: 2.5, fill: false, interactive: false }).addTo(crosshair);
    L.circleMarker(at, { radius: 2.5, pane: "here", color: "#1E221C", weight: 2, fillColor: "#1E221C", fillOpacity: 1, interactive: false }).addTo(crosshair);
    const stand = find(stands, at), parcel = find(page.parcels, at);
    writing.stand_id = stand;
    writing.parcel_id = parcel;
    const told = document.getElementById("note-place");
    const said = stand ? "In stand " + stand + ". Tap the map to move it." : parcel ? "On " + page.parcelName(parcel) + ", in no stand. Tap the map to move it." : "Off the parcels. Tap the map to move it.";
    if (told) told.textContent = drawnWords(said);
  }

  /* --- the form --- */
  function field(label, input, id) {
    input.id = id;
    const named = el("label", label);
    named.htmlFor = id;
    return el("div", null, "field", [named, input]);
  }
  function input(type, value, more) {
    return Object.assign(el("input"), { type: type, value: value, autocomplete: "off" }, more || {});
  }

  function form() {
    const here = page.position(), left = draft;
    if (left) page.goTo(find(page.parcels, left));
    writing = { kind: "", at: null, begun: "", of: (left && left.of) || "" };
    const kinds = el("div", null, "kinds");
    kinds.setAttribute("role", "group");
    kinds.setAttribute("aria-label", "kind");
    data.field.kinds.forEach(({ kind, unit, words: label }) => {
      const one = button(label, "", () => { choose(kind, unit); touched(); });
      one.dataset.kind = kind;
      one.setAttribute("aria-pressed", "false");
      kinds.append(one);
    });
    const amount = input("text", "", { inputMode: "decimal" });
    const unit = el("select");
    const deer = el("select");
    [""].concat(data.field.sex_age).forEach((words) => deer.append(new Option(words || "which?", words)));
    const words = el("textarea");
    words.rows = 2;
    words.maxLength = 2000;
    const status = el("p", "", "small");
    status.id = "note-status";
    status.setAttribute("role", "alert");
    const where = el("p", "", "small");
    where.id = "note-place";
    const done = button("keep this note", "solid", finish);
    done.id = "note-keep";
    const again = el("p", "", "line");
    again.id = "note-draft";
    again.setAttribute("role", "status");
    const away = button("", "quiet", () => {
      if (away.dataset.sure) { keepDraft(null); page.close(); return; }
      away.dataset.sure = "yes";
      away.textContent = "gone for good: tap again";
    });
    away.id = "note-away";
    page.showCard({ kicker: "A note from the woods", title: writing.of ? "Change this note" : "What was it?" }, page.open);
    const box = el("div", null, "", [
      again, kinds, el("div", null, "pair", [field("how much", amount, "note-amount"), field("of what", unit, "note-unit")]),
      field("which deer", deer, "note-deer"), field("kind of tree", input("text", "", { maxLength: 60 }), "note-tree"), field("in words", words, "note-text"),
      el("div", null, "pair", [field("day", input("date", today()), "note-date"), field("who", input("text", who, { maxLength: 60 }), "note-who")]),
      field("name of its photo, if there is one", input("text", "", { maxLength: 120 }), "note-photo"),
      where, status, el("div", null, "ends", [done, away]),
    ]);
    box.addEventListener("input", touched);
    document.getElementById("card").append(box);
    choose(left ? left.kind : "", left ? left.unit : "");
    place(left ? L.latLng(left.lat, left.lng) : here || map.getCenter());
    if (left) {
      FIELDS.forEach((name) => { document.getElementById("note-" + name).value = left[name]; });
      if (left.time) tellDraft("Unfinished note, " + (left.day === today() ? "" : left.day + ", ") + left.time + ": go on or throw it away."); else tellDraft("");
      return;
    }
    if (!here) where.textContent = "Middle of the map. " + where.textContent;
    writing.begun = JSON.stringify(written());
    tellDraft("");
  }

  function choose(kind, unit) {
    writing.kind = kind;
    const takes = of(kind);
    document.querySelectorAll(".kinds button").forEach((b) => b.setAttribute("aria-pressed", String(b.dataset.kind === kind)));
    const select = document.getElementById("note-unit");
    select.replaceChildren(...[["", ""]].concat(takes.units).map(([key, words]) => new Option(words, key, false, key === unit)));
    document.getElementById("note-deer").parentElement.hidden = asks(kind) !== "deer";
    document.getElementById("note-tree").parentElement.hidden = !takes.tree;
    document.getElementById("note-amount").closest(".pair").hidden = asks(kind) !== "amount" || kind === "";
    document.getElementById("note-status").textContent = asks(kind) === "deer" ? data.mind.taken : takes.such_as.length ? "Say in words which: " + takes.such_as.join(", ") + ", or what you saw." : "";
  }

  function finish() {
    const value = (id) => document.getElementById(id).value.trim();
    const say = (words) => { document.getElementById("note-status").textContent = words; };
    const kind = writing.kind, deer = asks(kind) === "deer", counted = asks(kind) === "amount";
    if (!kind) { say("Tap a kind first."); return; }
    let amount = "", unit = "";
    if (counted && value("note-amount")) {
      amount = Number(value("note-amount").replace(",", "."));
      unit = value("note-unit");
      if (!Number.isFinite(amount) || (amount <= 0 && unit !== "f")) { say("How much is not a number: " + value("note-amount")); return; }
      if (!unit) { say("How much of what? Choose it beside the amount."); return; }
    }
    const must = of(kind).must;
    if (must.includes("text") && !value("note-text")) { say("What was it? Say it in words."); return; }
    if (must.includes("amount") && counted && !amount) { say("How much was it?"); return; }
    if (must.includes("photo") && !value("note-photo")) { say("What is the name of its photo?"); return; }
    if (deer && !value("note-deer")) { say("Which deer was it?"); return; }
    if (deer) { amount = 1; unit = "deer"; }
    if (!/^\d{4}-\d{2}-\d{2}$/.test(value("note-date"))) { say("The day is missing."); return; }
    who = value("note-who");
    keepNote({
      id: newId(), written: today(), date: value("note-date"), parcel_id: writing.parcel_id, stand_id: writing.stand_id, kind: kind,
      species: of(kind).tree ? value("note-tree") : "", sex_age: deer ? value("note-deer") : "", amount: amount, unit: unit, who: who, text: value("note-text"), photo: value("note-photo"),
      lon: Number(writing.at.lng.toFixed(6)), lat: Number(writing.at.lat.toFixed(6)), corrects: "",
    });
    const safe = keep();
    keepDraft(null);
    stop();
    list(safe ? "Kept in this browser." : "");
  }
  /* A note that is changed keeps its id while no file holds it; after that the new one names the old one. */
  function keepNote(note) {
    const at = notes.findIndex((n) => n.id === writing.of);
    if (at < 0) { notes.push(note); return; }
    const old = notes[at];
    if (old.saved) notes.push(Object.assign(note, { corrects: old.id }));
    else notes[at] = Object.assign({}, old, note, { id: old.id, corrects: old.corrects });
  }
  function change(n) {
    const at = Number.isFinite(n.lat) && Number.isFinite(n.lon) ? L.latLng(n.lat, n.lon) : map.getCenter();
    const told = { kind: n.kind, of: n.id, lat: at.lat, lng: at.lng };
    const held = { amount: n.amount, unit: n.unit, deer: n.sex_age, tree: n.species, text: n.text, date: n.date, who: n.who, photo: n.photo };
    FIELDS.forEach((name) => { told[name] = asks(n.kind) === "amount" || (name !== "amount" && name !== "unit") ? String(held[name] || "") : ""; });
    draft = told;
    form();
    writing.begun = JSON.stringify(written());
    draft = null;
    tellDraft("");
  }
  function drop(n) { notes = notes.filter((other) => other.id !== n.id); }
  function takeOut(n) {
    if (!n.saved) { drop(n); return "Taken out."; }
    notes.push({ id: newId(), written: today(), date: today(), kind: "void", corrects: n.id });
    return "Taken out. The file you saved still has it: save again, and bring that file home too.";
  }

  function stop() {
    writing = null;
    crosshair.clearLayers();
    draw();
  }

  /* --- what is written so far --- */
  function told(n) {
    const what = [n.sex_age || word(n.kind), n.species || "", n.amount && asks(n.kind) === "amount" ? n.amount + " " + (units.get(n.unit) || n.unit) : "", n.text, n.photo ? "photo " + n.photo : "", n.stand_id ? "stand " + n.stand_id : ""];
    return n.date + ": " + what.filter(Boolean).join(", ");
  }
  function row(n) {
    const act = (words, does) => button(words, "quiet", () => { const said = does(); keep(); draw(); if (notes.length) list(said); else page.close(); });
    if (n.kind === "void") {
      const old = notes.find((other) => other.id === n.corrects);
      const back = n.saved ? [] : [act("put back", () => { drop(n); return "Put back."; })];
      return el("tr", null, "", [el("td", "taken out: " + (old ? told(old) : n.corrects)), el("td", null, "", back)]);
    }
    const ends = draft ? [] : [button("change", "quiet", () => change(n))];
    return el("tr", null, "", [el("td", told(n)), el("td", null, "acts", [...ends, act("take out", () => takeOut(n))])]);
  }
  function list(words) {
    const here = counting(), count = here.filter((n) => n.kind !== "void").length;
    page.showCard({ kicker: "Notes from the woods", title: count === 1 ? "1 note not in the ledger yet" : count.toLocaleString("en-US") + " notes not in the ledger yet" }, page.open);
    const box = document.getElementById("card");
    if (words) box.append(el("p", words, "line"));
    if (!kept) {
      const warning = el("p", "This viewer keeps nothing when it closes. Save the file before you leave the page.", "caution");
      warning.id = "note-refused";
      box.append(warning);
    }
    const body = el("tbody", null, "", here.slice(-rows).reverse().map(row));
    const another = button(draft ? "finish the note" : "write another", "", form), file = button("save the file", "solid", save);
    another.id = "note-another";
    file.id = "note-save";
    box.append(el("div", null, "pair", [another, file]), el("table", null, "rows plain", [body]));
    if (here.length > rows) {
      const older = button("show " + Math.min(ROWS, here.length - rows) + " older ones of " + (here.length - rows).toLocaleString("en-US"), "quiet", () => { rows += ROWS; const at = box.scrollTop; list(""); box.scrollTop = at; });
      older.id = "note-older";
      box.append(older);
    }
    if (!notes.length) file.hidden = true;
    const sure = button("forget these notes", "quiet", () => {
      if (sure.dataset.sure) { notes = []; keep(); draw(); page.close(); return; }
      sure.dataset.sure = "yes";
      sure.textContent = "forget all " + count.toLocaleString("en-US") + ": tap again when the file is safe at home";
    });
    sure.id = "note-forget";
    box.append(sure);
  }

  load();
  page.open.addEventListener("click", () => { rows = ROWS; if (notes.length) list(""); else form(); });
  /* the same page open twice: what the other one kept is here too */
  window.addEventListener("storage", (event) => { if (kept && event.key === KEY) { reread(); draw(); } });
  draw();
  return {
    writing: () => writing !== null,
    tap: (at) => { place(at); touched(); },
    stop: () => { if (writing) stop(); },
    csv: csv,
  };
}
