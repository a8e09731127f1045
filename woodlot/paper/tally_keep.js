/* The tally sheet, 1 of 4: what is kept at every tap, the files, the place of the phone. The four are joined in one function. */
const told = JSON.parse(document.getElementById("tally").textContent);
const KEY = "woodlot tally: " + told.place;
const $ = (where, selector) => document.getElementById(where).querySelector(selector);
const all = (where, selector) => [...document.getElementById(where).querySelectorAll(selector)];
let kept = null, savedAt = "", stored = null;
let typed = "", kind = "", doubting = false, stems = null;
let state = empty();

/* What is closed, the plot or line that is open, what is only half written (digits, the first page, details), and the names
   that stand in files of a phone that was emptied: a plot of another name is another plot. */
function empty() { return { used: [], plots: [], pellets: [], browse: [], plot: null, line: null, hand: {}, setup: {}, detail: null }; }
function drop() { typed = ""; doubting = false; stems = null; }

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

/* --- keeping --- */
function load() {
  try {
    window.localStorage.setItem(KEY + " probe", "1");
    window.localStorage.removeItem(KEY + " probe");
    kept = window.localStorage;
    stored = kept.getItem(KEY);
    const before = JSON.parse(stored || "null");
    if (before && Array.isArray(before.plots)) state = Object.assign(empty(), before);
    ({ typed = "", kind = "", doubting = false, stems = null } = state.hand);
  } catch (refused) { kept = null; }
}
function keep() {
  const now = new Date();
  state.hand = { typed: typed, kind: kind, doubting: doubting, stems: stems };
  if (kept) {
    try {
      const text = JSON.stringify(state);
      if (text !== stored) kept.setItem(KEY, text);
      stored = text;
      savedAt = "saved " + String(now.getHours()).padStart(2, "0") + ":" + String(now.getMinutes()).padStart(2, "0");
    } catch (full) { kept = null; }
  }
  if (!kept) savedAt = "not kept: save the files";
  document.querySelectorAll(".saved").forEach((p) => { p.textContent = savedAt; });
}
function today() {
  const now = new Date();
  return [now.getFullYear(), String(now.getMonth() + 1).padStart(2, "0"), String(now.getDate()).padStart(2, "0")].join("-");
}
/* Fields of a form kept by their names while they are typed, and put back when the form is opened again. */
function putBack(left) {
  Object.entries(left).forEach(([id, value]) => {
    const made = document.getElementById(id);
    if (made && (made.tagName !== "SELECT" || [...made.options].some((o) => o.value === value))) made.value = value;
  });
}
function remember(where, left) {
  document.getElementById(where).addEventListener("input", (event) => { left()[event.target.id] = event.target.value; keep(); });
}
/* Whether a number is typed that is no tree or stem yet; the page then says so and stays. */
function pending(where) {
  if (typed === "" && stems === null) return false;
  $(where, ".shown span").textContent = "add it or clear it first";
  return true;
}
function show(name) {
  ["start", "trees", "detail", "deer"].forEach((id) => { document.getElementById(id).hidden = id !== name; });
  window.scrollTo(0, 0);
}

/* --- names --- */
function nameOf(table, id, date) { return [table, id, date].join(" "); }
function namesUsed() {
  return state.used.concat(...["plots", "pellets", "browse"].map((table) => state[table].map((row) => nameOf(table, row.plot_id, row.date))));
}
function toPut(plot) { return !state.plots.some((q) => q.plot_id === plot.id) && !state.used.some((one) => one.startsWith("plots " + plot.id + " ")); }
function taken(id) { return state.plots.some((p) => p.plot_id === id) || state.used.includes(nameOf("plots", id, today())); }

/* --- files --- */
function cell(value) {
  const words = value === null || value === undefined ? "" : String(value).replace(/[\r\n]+/g, " ").trim();
  return /[",]/.test(words) ? '"' + words.replaceAll('"', '""') + '"' : words;
}
function csv(table, rows) {
  const columns = told.columns[table];
  return [columns.join(",")].concat(rows.map((row) => columns.map((c) => cell(row[c])).join(","))).join("\n") + "\n";
}
/* How many trees were in, in all: where some have no row, and 0 where none was in, so that no plot is silent. */
function treesIn(plot) {
  const of = (alive) => plot.trees.filter((t) => t.alive === alive).reduce((sum, t) => sum + (t.count_twice ? 2 : 1), 0);
  if (plot.kind !== "prism" || (plot.trees.length && !plot.trees.some(bare))) return {};
  return { live_in: of(true), dead_in: plot.trees.some((t) => bare(t) && !t.alive) ? of(false) : "" };
}
/* One row a kind and plot: stems that were counted in two goes are one number. */
function stemsOfAKind() {
  const rows = new Map();
  state.browse.forEach((r) => {
    const key = [r.line, nameOf(r.species, r.plot_id, r.date)].join(" "), before = rows.get(key) || { stems: 0, browsed: 0 };
    rows.set(key, Object.assign({}, r, { stems: before.stems + r.stems, browsed: before.browsed + r.browsed }));
  });
  return [...rows.values()];
}
function tables() {
  const closed = state.plots.filter((p) => p.closed);
  const row = (p) => (t, i) => Object.assign({}, t, { plot_id: p.plot_id, tree: i + 1, count: 1, count_twice: t.count_twice ? "yes" : "no", alive: t.alive ? "yes" : "no" });
  const trees = closed.flatMap((p) => p.trees.map(row(p)).filter((t) => !bare(t)));
  return { plots: closed.map((p) => Object.assign({}, p, treesIn(p))), trees: trees, pellets: state.pellets, browse: stemsOfAKind() };
}
function save(table) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([csv(table, tables()[table])], { type: "text/csv;charset=utf-8" }));
  link.download = table + ".csv";
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 20000);
}

/* --- place of the phone --- */
function locate(row, tell) {
  if (!navigator.geolocation) { tell("This viewer has no position."); return; }
  tell("asking…");
  navigator.geolocation.getCurrentPosition((found) => {
    row.lon = Number(found.coords.longitude.toFixed(6));
    row.lat = Number(found.coords.latitude.toFixed(6));
    keep();
    tell("place taken, within " + Math.max(10, Math.round(found.coords.accuracy / 0.3048 / 10) * 10) + " feet");
  }, (failed) => {
    tell("The phone did not give a place: " + ({ 1: "permission denied", 2: "no position found", 3: "it took too long" }[failed.code] || "unknown") + ".");
  }, { enableHighAccuracy: true, timeout: 20000 });
}
