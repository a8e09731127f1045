/* The page around the sheet: parcel, question, years, answer, card, search. Every word from the files is set as text. */
/* exported woodsPage */
function woodsPage(map, stands, parcels, features) {
  "use strict";
  const data = JSON.parse(document.getElementById("woods").textContent);
  const $ = (id) => document.getElementById(id);
  const byParcel = new Map(data.parcels.map((p) => [p.id, p]));
  const byStand = new Map(data.stands.map((s) => [s.id, s]));
  const state = {
    parcel: (data.parcels.find((p) => p.home) || data.parcels[0]).id,
    question: data.questions[0].key,
    years: new Set(data.years),
    deer: window.matchMedia("(min-width: 900px)").matches,
  };
  let back = null;

  function el(name, words, className, children) {
    const made = document.createElement(name);
    if (className) made.className = className;
    if (words !== undefined && words !== null) made.textContent = drawnWords(words);
    (children || []).forEach((child) => made.append(child));
    return made;
  }
  function button(words, className, act) {
    const made = el("button", words, className);
    made.type = "button";
    made.addEventListener("click", act);
    return made;
  }

  const sheet = woodsSheet(map, stands, parcels, features, data, { stand: tapStand, note: openNote });
  const where = woodsWhere(map, data.parcels, { parcel: goTo });

  function draw() {
    answer();
    sheet.show({ parcel: state.parcel, question: state.question, years: state.years, deer: state.deer, contours: state.contours });
    document.body.dataset.question = state.question;
    const here = byParcel.get(state.parcel);
    $("here-name").textContent = drawnWords(here.name);
    $("here-where").textContent = drawnWords(here.acres + (here.where ? " · " + here.where : ""));
    document.querySelectorAll("#tabs button").forEach((tab) => {
      if (tab.dataset.parcel === state.parcel) tab.setAttribute("aria-current", "true"); else tab.removeAttribute("aria-current");
    });
    document.querySelectorAll(".plan [data-parcel]").forEach((spot) => spot.classList.toggle("here", spot.dataset.parcel === state.parcel));
  }

  function goTo(id) {
    if (!byParcel.has(id) || id === state.parcel) return;
    state.parcel = id;
    state.all = state.notes = false;
    closeCard();
    $("answer").classList.remove("open");
    draw();
  }

  /* --- answer --- */
  function answer() {
    const here = byParcel.get(state.parcel);
    const question = data.questions.find((q) => q.key === state.question);
    const said = here.said[state.question];
    const open = $("answer").classList.contains("open");
    const list = button(open ? "less" : "stands, notes", "phone-only", () => { $("answer").classList.toggle("open"); answer(); });
    list.id = "list-open";
    list.setAttribute("aria-expanded", String(open));
    const parts = [workLine(), el("p", here.name, "kicker"), list, el("h2", said.head), el("p", said.sub, "sub"), legendHere(question, here.here[state.question], here.shut)];
    if (question.key === "when") parts.push(workList());
    const table = el("table", null, "rows");
    table.append(el("thead", null, "", [el("tr", null, "", [el("th", "stand"), el("th", question.column)])]));
    const body = el("tbody");
    const rows = state.all ? said.rows : said.rows.slice(0, 120);
    rows.forEach(([id, cover, bold, rest]) => {
      const go = button(null, "", () => openStand(id, go));
      go.append(el("span", id, "n"), drawnWords(cover));
      const long = question.key === "when", last = el("td", null, long ? "long" : "");
      if (bold) last.append(el("b", bold), rest ? drawnWords((long ? " " : "\u2002") + rest) : "");
      else last.append(drawnWords(rest));
      body.append(el("tr", null, "", [el("td", null, "", [go]), last]));
    });
    table.append(body);
    parts.push(table);
    if (rows.length < said.rows.length) parts.push(button("show all " + said.rows.length + " stands", "quiet", () => { state.all = true; answer(); }));
    parts.push(notesHere(), ...olderNotes());
    if (here.contacts.length) parts.push(el("p", here.contacts.join(". ") + ".", "empty"));
    if (here.walked) parts.push(el("p", here.walked, "empty"));
    if (question.mind) parts.push(el("p", question.mind, "empty"));
    if (here.deed) parts.push(el("p", "Drawn " + here.acres + "; the " + here.deed + ".", "empty"));
    $("answer").replaceChildren(...parts);
  }

  /* The decision of this winter stands first on every screen; the list of its work under the question when. */
  function workLine() {
    if (state.question === "when") return el("p", data.work.headline, "work");
    return button(data.work.headline, "work", () => ask("when"));
  }
  function workList() {
    const rows = data.work.tasks.map((task) => {
      const words = [el("b", task.title), drawnWords(task.words.slice(task.title.length))];
      if (!byStand.has(task.stand)) return el("li", null, "", words);
      const go = button(null, "", () => openStand(task.stand, go));
      go.append(...words);
      return el("li", null, "", [go]);
    });
    return el("div", null, "work-list", [el("ol", null, "", rows), ...data.work.after.map((words) => el("p", words))]);
  }

  function legendHere(question, steps, shut) {
    const list = el("ul");
    steps.filter((i) => i >= 0 || question.hatched).forEach((i) => {
      const step = i < 0 ? null : question.steps[i];
      const swatch = el("span", step ? step.letter : "", "swatch" + (step ? "" : " hatched"));
      if (step) { swatch.style.background = step.fill; swatch.style.color = step.ink; }
      list.append(el("li", null, step ? "" : "wide", [swatch, el("span", step ? step.text : question.hatched)]));
    });
    if (shut) list.append(el("li", null, "wide", [el("span", "", "swatch shut"), el("span", shut)]));
    return el("div", null, "legend-here", [el("p", question.unit), list]);
  }

  function notesHere() {
    const mine = data.notes.filter((n) => n.parcel === state.parcel && state.years.has(n.year)).sort((a, b) => (a.iso < b.iso ? 1 : -1));
    if (!mine.length) return el("p", data.notes.length ? "No notes here from these years." : "No notes yet. “woodlot note” writes the first.", "empty");
    const table = el("table", null, "rows", [el("thead", null, "", [el("tr", null, "", [el("th", "notes"), el("th", "date")])])]);
    const body = el("tbody");
    const shown = state.notes ? mine : mine.slice(0, 40);
    shown.forEach((n) => {
      const go = button(cutWords(n.title, 120), "", () => openNote(n, go));
      body.append(el("tr", null, "", [el("td", null, "", [go]), el("td", n.date)]));
    });
    table.append(body);
    const more = mine.length - shown.length;
    return more ? el("div", null, "", [table, button("show " + more.toLocaleString("en-US") + " more notes from here", "quiet", () => { state.notes = true; answer(); })]) : table;
  }

  /* Older notes of all parcels: how many, and year by year what they come to. */
  function olderNotes() {
    if (!data.older) return [];
    const years = data.older.years.map(([year, notes, words]) => el("p", null, "line", [el("b", year + ", " + notes.toLocaleString("en-US") + (notes === 1 ? " note: " : " notes: ")), drawnWords(words)]));
    return [el("p", data.older.words, "empty"), el("details", null, "older", [el("summary", "older notes by year, all parcels"), ...years])];
  }

  /* --- cards --- */
  function showCard(card, from) {
    back = from || null;
    const close = button("Close", "close", closeCard);
    close.id = "card-close";
    const parts = [close, el("p", card.kicker, "kicker"), el("h2", card.title)];
    if (card.big) parts.push(el("p", card.big, "big"), el("p", card.under, "sub"));
    (card.lines || []).forEach((line, i) => {
      parts.push(el("p", null, "line" + (i ? " rule" : ""), line.map(([how, words]) => el(how === "b" ? "b" : "span", words))));
    });
    if (card.foot) parts.push(el("p", card.foot, "small"));
    if ((card.winters || []).length) {
      const table = plainTable("by this plan, redone each winter", "full cords", card.winters);
      table.classList.add("winters");
      parts.push(table);
    }
    (card.cautions || []).forEach((words) => parts.push(el("p", words, "caution")));
    if ((card.species || []).length) parts.push(plainTable("kinds of tree", "share of the cords", card.species.map(([kind, share, cords]) => [kind, share + ", " + cords])));
    if ((card.facts || []).length) {
      const list = el("dl", null, "rule");
      card.facts.forEach(([name, value]) => list.append(el("dt", name), el("dd", value)));
      parts.push(list);
    }
    if ((card.years || []).length) parts.push(el("details", null, "rule", [el("summary", card.years[0]), el("p", card.years[1])]));
    if ((card.notes || []).length) parts.push(plainTable("notes", "date", card.notes.map(([date, words]) => [words, date])));
    const box = $("card");
    box.replaceChildren(...parts);
    Object.keys(box.dataset).forEach((key) => delete box.dataset[key]);
    Object.entries(card.data || {}).forEach(([key, value]) => box.setAttribute("data-" + key.replaceAll("_", "-"), String(value)));
    box.hidden = false;
    box.scrollTop = 0;
    box.focus({ preventScroll: true });
  }

  function plainTable(left, right, rows) {
    const body = el("tbody");
    rows.forEach(([a, b]) => body.append(el("tr", null, "", [el("td", a), el("td", b)])));
    return el("table", null, "rows plain", [el("thead", null, "", [el("tr", null, "", [el("th", left), el("th", right)])]), body]);
  }

  function tapStand(id, at) {
    if (notes.writing()) notes.tap(at); else openStand(id);
  }
  function openStand(id, from) {
    const stand = byStand.get(id);
    if (!stand) return;
    notes.stop();
    goTo(stand.parcel);
    sheet.outline(id);
    showCard(stand.card, from);
    if (!sheet.wide.matches) sheet.clear(id, $("card").getBoundingClientRect().top);
  }
  function openNote(note, from) {
    if (notes.writing()) { notes.tap(L.latLng(note.lat, note.lon)); return; }
    sheet.outline(null);
    showCard(note.card, from);
  }
  function closeCard() {
    if ($("card").hidden) return;
    $("card").hidden = true;
    notes.stop();
    sheet.outline(null);
    if (back && back.isConnected) back.focus({ preventScroll: true });
    back = null;
  }

  /* --- controls --- */
  document.querySelectorAll("#tabs button").forEach((tab) => tab.addEventListener("click", () => goTo(tab.dataset.parcel)));
  function step(by) {
    const at = data.parcels.findIndex((p) => p.id === state.parcel);
    goTo(data.parcels[(at + by + data.parcels.length) % data.parcels.length].id);
  }
  $("before").addEventListener("click", () => step(-1));
  $("after").addEventListener("click", () => step(1));
  const asks = document.querySelectorAll("#questions input");
  function ask(key) {
    state.question = key;
    asks.forEach((input) => { input.checked = input.value === key; });
    $("questions").classList.remove("all");
    draw();
  }
  asks.forEach((input) => input.addEventListener("change", () => ask(input.value)));
  asks.forEach((input) => { input.checked = input.value === state.question; });
  if ($("more-questions")) {
    $("more-questions").addEventListener("click", () => {
      const all = $("questions").classList.toggle("all");
      $("more-questions").setAttribute("aria-expanded", String(all));
    });
  }
  $("nearer").addEventListener("click", () => map.zoomIn(0.5));
  $("farther").addEventListener("click", () => map.zoomOut(0.5));
  $("whole").addEventListener("click", () => { sheet.fit(); });

  function toggle(long, short, pressed, act) {
    const made = button(null, "", () => {
      const now = made.getAttribute("aria-pressed") !== "true";
      made.setAttribute("aria-pressed", String(now));
      act(now);
      draw();
    });
    made.setAttribute("aria-pressed", String(pressed));
    made.append(el("span", long, "long"), el("span", short, "short"));
    return made;
  }
  const most = data.contours.length ? 3 : 4;
  const recent = data.years.slice(-most), older = data.years.slice(0, -most);
  if (older.length) {
    $("year-buttons").append(toggle("earlier", "older", true, (now) => older.forEach((y) => (now ? state.years.add(y) : state.years.delete(y)))));
  }
  recent.forEach((y) => $("year-buttons").append(toggle(y, "’" + y.slice(2), true, (now) => (now ? state.years.add(y) : state.years.delete(y)))));
  if (!data.years.length) $("years-head").textContent = "No notes yet";
  if (data.deer.length || data.group.length) {
    const made = toggle("deer sign", "deer sign", state.deer, (now) => { state.deer = now; });
    made.id = "deer-sign";
    $("year-buttons").append(made);
  }

  if (data.contours.length) {
    const made = toggle("contours", "lines", false, (now) => { state.contours = now; });
    made.id = "contour-lines";
    $("year-buttons").append(made);
  }

  /* --- overview and search --- */
  const search = $("search"), tools = search.parentElement;
  function overview(open) {
    $("overview").hidden = !open;
    if (open) { $("overview-search").append(search); $("overview-close").focus(); } else { tools.append(search); $("overview-open").focus(); }
  }
  $("overview-open").addEventListener("click", () => overview(true));
  $("overview-close").addEventListener("click", () => overview(false));
  data.parcels.forEach((p) => {
    const go = button(null, "", () => { overview(false); goTo(p.id); });
    go.append(el("b", p.name), el("span", p.acres), el("span", p.where, "gray"));
    $("overview-list").append(el("li", null, "", [go]));
  });
  search.addEventListener("submit", (event) => {
    event.preventDefault();
    const first = $("found").querySelector("button");
    if (first) first.click();
  });
  $("find").addEventListener("input", () => {
    const words = $("find").value.trim().toLowerCase().replace(/^stand\s+/, "");
    const exact = data.stands.filter((s) => s.id.toLowerCase() === words);
    const some = words ? data.stands.filter((s) => !exact.includes(s) && (s.id + " " + s.card.title).toLowerCase().includes(words)) : [];
    const found = exact.concat(some).slice(0, 6).map((s) => el("li", null, "", [button(s.name + ": " + s.card.title, "", () => {
      $("find").value = "";
      $("found").replaceChildren();
      if (!$("overview").hidden) overview(false);
      openStand(s.id);
    })]));
    if (words && !found.length) found.push(el("li", "No stand of that name.", "gray"));
    $("found").replaceChildren(...found);
  });
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    if (!$("overview").hidden) overview(false); else closeCard();
  });
  map.on("click", (event) => { if (notes.writing()) notes.tap(event.latlng); else closeCard(); });
  map.on("moveend zoomend fitted", () => { $("whole").hidden = sheet.fitted(); });
  sheet.wide.addEventListener("change", () => { if (!$("overview").hidden) overview(false); if (map.getContainer().clientWidth) { map.invalidateSize(); sheet.fit(); } });

  const notes = woodsNotes(map, stands, data, {
    el: el, button: button, showCard: showCard, close: closeCard, goTo: goTo, open: $("note-open"), parcels: parcels,
    parcelName: (id) => (byParcel.get(id) || { name: id }).name,
    position: () => (where.at() ? where.at().latlng : null),
  });
  draw();
  requestAnimationFrame(() => { map.invalidateSize(); sheet.fit(); document.body.dataset.ready = "true"; });
  return { goTo: goTo, openStand: openStand, state: state, where: where, notes: notes };
}
