/* Notes from the woods: tap, kind, amount, words, place. Kept in this browser where it lets us, saved as a file for the ledger. */
/* exported woodsNotes */
function woodsNotes(map, stands, data, page) {
  "use strict";
  const el = page.el, button = page.button;
  const KEY = "woodlot notes: " + data.field.place;
  const drawn = L.layerGroup().addTo(map);
  const crosshair = L.layerGroup().addTo(map);
  const FIELDS = ["amount", "unit", "deer", "text", "date", "who"];
  const word = (kind) => (data.field.kinds.find((k) => k[0] === kind) || [kind, "", kind])[2];
  let kept = null, notes = [], writing = null, who = "", draft = null;

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
    try { notes = JSON.parse(kept.getItem(KEY) || "[]"); } catch (torn) { notes = []; }
    if (!Array.isArray(notes)) notes = [];
    try { draft = JSON.parse(kept.getItem(KEY + " draft")); } catch (torn) { draft = null; }
    if (!draft || !Number.isFinite(draft.lat) || !Number.isFinite(draft.lng) || FIELDS.some((name) => typeof draft[name] !== "string")) draft = null;
    who = kept.getItem(KEY + " who") || "";
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
    const told = { kind: writing.kind, lat: writing.at.lat, lng: writing.at.lng };
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
    const words = value === null || value === undefined ? "" : String(value).replace(/[\r\n]+/g, " ").trim();
    return /[",]/.test(words) ? '"' + words.replaceAll('"', '""') + '"' : words;
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
    list("The file is saved. At home:  woodlot note --from " + link.download);
  }
  function today() {
    const now = new Date();
    return [now.getFullYear(), String(now.getMonth() + 1).padStart(2, "0"), String(now.getDate()).padStart(2, "0")].join("-");
  }

  /* --- drawing --- */
  function draw() {
    drawn.clearLayers();
    notes.forEach((n) => {
      if (n.lon === "" || n.lon === undefined) return;
      const mark = el("i", "new", "tag new " + (n.kind === "deer" ? "deer" : n.kind === "seen" ? "seen" : "wood"));
      const box = el("div", null, "new-note", [mark]);
      L.marker([n.lat, n.lon], { icon: L.divIcon({ className: "mark", html: box, iconSize: [0, 0] }), pane: "notes", interactive: false, keyboard: false }).addTo(drawn);
    });
    const many = notes.length ? "notes (" + notes.length + ")" : "";
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
    if (told) told.textContent = stand ? "In stand " + stand + ". Tap the map to move it." : parcel ? "On " + page.parcelName(parcel) + ", in no stand. Tap the map to move it." : "Off the parcels. Tap the map to move it.";
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
    writing = { kind: "", at: null, begun: "" };
    const kinds = el("div", null, "kinds");
    kinds.setAttribute("role", "group");
    kinds.setAttribute("aria-label", "kind");
    data.field.kinds.forEach(([kind, unit, label]) => {
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
    page.showCard({ kicker: "A note from the woods", title: "What was it?" }, page.open);
    const box = el("div", null, "", [
      again, kinds, el("div", null, "pair", [field("how much", amount, "note-amount"), field("of what", unit, "note-unit")]),
      field("which deer", deer, "note-deer"), field("in words", words, "note-text"),
      el("div", null, "pair", [field("day", input("date", today()), "note-date"), field("who", input("text", who, { maxLength: 60 }), "note-who")]),
      where, status, el("div", null, "ends", [done, away]),
    ]);
    box.addEventListener("input", touched);
    document.getElementById("card").append(box);
    choose(left ? left.kind : "", left ? left.unit : "");
    place(left ? L.latLng(left.lat, left.lng) : here || map.getCenter());
    if (left) {
      FIELDS.forEach((name) => { document.getElementById("note-" + name).value = left[name]; });
      tellDraft("Unfinished note, " + (left.day === today() ? "" : left.day + ", ") + left.time + ": go on or throw it away.");
      return;
    }
    if (!here) where.textContent = "Middle of the map. " + where.textContent;
    writing.begun = JSON.stringify(written());
    tellDraft("");
  }

  function choose(kind, unit) {
    writing.kind = kind;
    document.querySelectorAll(".kinds button").forEach((b) => b.setAttribute("aria-pressed", String(b.dataset.kind === kind)));
    const select = document.getElementById("note-unit");
    select.replaceChildren(...[""].concat(data.field.units).map((u) => new Option(u.replaceAll("_", " "), u, false, u === unit)));
    document.getElementById("note-deer").parentElement.hidden = kind !== "deer";
    document.getElementById("note-amount").closest(".pair").hidden = kind === "deer" || kind === "seen" || kind === "";
    document.getElementById("note-status").textContent = kind === "deer" ? data.mind.taken : "";
  }

  function finish() {
    const value = (id) => document.getElementById(id).value.trim();
    const say = (words) => { document.getElementById("note-status").textContent = words; };
    const kind = writing.kind, counted = kind !== "deer" && kind !== "seen";
    if (!kind) { say("Tap a kind first."); return; }
    let amount = "", unit = "";
    if (counted && value("note-amount")) {
      amount = Number(value("note-amount").replace(",", "."));
      unit = value("note-unit");
      if (!Number.isFinite(amount) || amount <= 0) { say("How much is not a number: " + value("note-amount")); return; }
      if (!unit) { say("How much of what? Choose it beside the amount."); return; }
    }
    if (kind === "deer" && !value("note-deer")) { say("Which deer was it?"); return; }
    if (kind === "deer") { amount = 1; unit = "deer"; }
    if (!/^\d{4}-\d{2}-\d{2}$/.test(value("note-date"))) { say("The day is missing."); return; }
    who = value("note-who");
    notes.push({
      date: value("note-date"), parcel_id: writing.parcel_id, stand_id: writing.stand_id, kind: kind,
      sex_age: kind === "deer" ? value("note-deer") : "", amount: amount, unit: unit, who: who, text: value("note-text"),
      lon: Number(writing.at.lng.toFixed(6)), lat: Number(writing.at.lat.toFixed(6)), corrects: "",
    });
    const safe = keep();
    keepDraft(null);
    stop();
    list(safe ? "Kept in this browser." : "");
  }

  function stop() {
    writing = null;
    crosshair.clearLayers();
    draw();
  }

  /* --- what is written so far --- */
  function list(words) {
    page.showCard({ kicker: "Notes from the woods", title: notes.length === 1 ? "1 note not in the ledger yet" : notes.length + " notes not in the ledger yet" }, page.open);
    const box = document.getElementById("card");
    if (words) box.append(el("p", words, "line"));
    if (!kept) {
      const warning = el("p", "This viewer keeps nothing when it closes. Save the file before you leave the page.", "caution");
      warning.id = "note-refused";
      box.append(warning);
    }
    const rows = el("tbody");
    notes.forEach((n, i) => {
      const what = [n.sex_age || word(n.kind), n.amount && n.kind !== "deer" ? n.amount + " " + n.unit.replaceAll("_", " ") : "", n.text, n.stand_id ? "stand " + n.stand_id : ""];
      const away = button("take out", "quiet", () => { notes.splice(i, 1); keep(); draw(); if (notes.length) list("Taken out."); else page.close(); });
      rows.append(el("tr", null, "", [el("td", n.date + ": " + what.filter(Boolean).join(", ")), el("td", null, "", [away])]));
    });
    const another = button(draft ? "finish the note" : "write another", "", form), file = button("save the file", "solid", save);
    another.id = "note-another";
    file.id = "note-save";
    box.append(el("table", null, "rows plain", [rows]), el("div", null, "pair", [another, file]));
    if (!notes.length) file.hidden = true;
    const sure = button("forget these notes", "quiet", () => {
      if (sure.dataset.sure) { notes = []; keep(); draw(); page.close(); return; }
      sure.dataset.sure = "yes";
      sure.textContent = "forget all " + notes.length + ": tap again when the file is safe at home";
    });
    sure.id = "note-forget";
    box.append(sure);
  }

  load();
  page.open.addEventListener("click", () => { if (notes.length) list(""); else form(); });
  draw();
  return {
    writing: () => writing !== null,
    tap: (at) => { place(at); touched(); },
    stop: () => { if (writing) stop(); },
    csv: csv,
  };
}
