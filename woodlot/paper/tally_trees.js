/* The tally sheet, 3 of 4: one tree plot, one tree. */
/* --- kinds of tree --- */
function speciesButtons(where, first, chosen, pick) {
  const box = $(where, ".species");
  const names = first.slice(0, 7);
  if (chosen && !names.includes(chosen)) names[names.length - 1] = chosen;
  box.replaceChildren(...names.map((name) => {
    const b = button(name, Math.max(...name.split(" ").map((w) => w.length)) > 9 ? "long" : "", () => pick(name));
    b.setAttribute("aria-pressed", String(name === chosen));
    return b;
  }), button("more…", "", () => more(told.species, pick)));
}
function more(all, pick) {
  const box = document.getElementById("more"), list = box.querySelector("div"), find = box.querySelector("input");
  const fill = () => {
    const words = find.value.trim().toLowerCase();
    list.replaceChildren(...all.filter((s) => s.includes(words)).map((s) => button(s, "", () => { box.close(); pick(s); })));
  };
  find.value = "";
  find.oninput = fill;
  fill();
  box.showModal();
}
document.querySelector("#more .close").addEventListener("click", () => document.getElementById("more").close());

/* One tap on the tree counted last: what a look at it says. A second tap takes the word back. */
function wordButtons(tree) {
  const box = $("trees", ".word");
  box.hidden = !tree || told.words.length === 0;
  if (box.hidden) return;
  const names = told.first_words.slice();
  if (tree.quality && !names.includes(tree.quality)) names[names.length - 1] = tree.quality;
  const say = (word) => { tree.quality = tree.quality === word ? "" : word; trees(); };
  box.replaceChildren(el("span", "last tree:", "gray"), ...names.map((name) => {
    const b = button(name, "", () => say(name));
    b.setAttribute("aria-pressed", String(name === tree.quality));
    return b;
  }), button("more…", "", () => more(told.words, (word) => { tree.quality = word; trees(); })));
}

/* --- trees --- */
function perInch() { return told.factors.find((f) => f.factor === state.plot.baf_sqft_per_ac); }
function diameter() { return typed === "" || typed === "." ? null : Number(typed); }
/* A tree that was only counted, its kind not told: no row of trees.csv, but one of those that were in. */
const ANY = "any kind";
function bare(t) { return t.species === ANY; }
/* Whether trees are measured on this point too: on every so many points of the stand, by their order. */
function measuring(plot) {
  return state.plots.filter((p) => p.closed && p !== plot && p.stand_id === plot.stand_id).length % told.measuring.every === 0;
}
/* The tree whose height is wanted: one a point, of a kind of which the stand wants some yet. */
function heightOf(plot) {
  const stand = stands.get(plot.stand_id);
  if (!stand || plot.trees.some((t) => t.height_ft !== "" || t.merch_ft !== "")) return null;
  const rows = state.plots.filter((p) => p.stand_id === plot.stand_id).flatMap((p) => p.trees);
  const has = (name) => rows.filter((t) => t.height_ft !== "" && t.alive && (name === "" || t.species === name)).length;
  const can = plot.trees.filter((t) => t.dbh_in !== "" && t.alive);
  const all = stand.heights.reduce((sum, [, more]) => sum + more, 0);
  for (const [name, few] of stand.heights) {
    const more = name === "" ? all : few;
    const one = can.find((t) => (name === "" || t.species === name) && has(name) < more);
    if (one) return one;
  }
  return null;
}
function basal(plot) {
  if (plot.kind === "prism") return plot.baf_sqft_per_ac * plot.trees.reduce((sum, t) => sum + (t.count_twice ? 2 : 1), 0);
  const acres = Math.PI * plot.radius_ft * plot.radius_ft / 43560;
  return plot.trees.reduce((sum, t) => sum + (t.count_twice ? 2 : 1) * told.basal_sqft_per_sqin * (t.dbh_in || 0) ** 2, 0) / acres;
}

function openTrees() {
  const first = (stands.get(state.plot.stand_id) || { kinds: [] }).kinds.concat(told.commonest);
  kind = kind && (told.species.includes(kind) || (kind === ANY && state.plot.kind === "prism")) ? kind : first[0];
  show("trees");
  trees();
}

function trees() {
  const plot = state.plot, stand = stands.get(plot.stand_id);
  keep();
  $("trees", ".plot").textContent = "Plot " + plot.plot_id;
  $("trees", ".where").textContent = drawnWords(standName(plot.stand_id));
  $("trees", ".basal").textContent = String(Math.round(basal(plot)));
  const here = state.plots.filter((p) => p.closed && p.stand_id === plot.stand_id);
  const before = stand && stand.plots ? stand.plots : 0;
  const sum = (before ? stand.basal * before : 0) + here.reduce((total, p) => total + basal(p), 0);
  const plots = before + here.length;
  $("trees", ".so-far").textContent = plots ? "stand so far: " + Math.round(sum / plots) + ", from " + plots + (plots === 1 ? " plot" : " plots") : "the stand’s first plot";
  $("trees", ".in").textContent = String(plot.trees.length);
  $("trees", ".times").textContent = plot.kind === "prism" ? "trees in × " + plot.baf_sqft_per_ac : "trees within " + plot.radius_ft + " feet";
  $("trees", ".nothing").hidden = plot.trees.length > 0;
  $("trees", ".todo").textContent = plot.kind !== "prism" ? "" : measuring(plot) ? told.measuring.here : "Here a count is enough: a tap a tree, no inches.";
  const tall = heightOf(plot);
  $("trees", ".list ol").replaceChildren(...plot.trees.map((t, i) => {
    const notes = [t === tall ? "take its height" : "", t.measured ? "measured in, " + t.measured + " ft" : "", t.alive ? "" : "dead", t.count_twice ? "counts twice" : "", t.cull_pct !== "" ? t.cull_pct + "% rot" : "", t.quality].filter(Boolean).join(", ");
    const open = button(null, "", () => detail(t));
    open.append(el("span", String(i + 1), "number"), el("span", t.dbh_in === "" ? "–" : t.dbh_in.toFixed(1), "size"), el("span", bare(t) ? "counted" : t.species), el("span", notes, t === tall ? "tall" : "gray"));
    return el("li", null, "", [open]);
  }).reverse());
  const first = (stand ? stand.kinds : []).concat(told.commonest);
  speciesButtons("trees", [...(plot.kind === "prism" ? [ANY] : []), ...new Set(first)], kind, (name) => { kind = name; trees(); });
  const last = plot.trees[plot.trees.length - 1];
  wordButtons(last && !bare(last) && !doubting ? last : null);
  $("trees", ".shown b").textContent = typed === "" ? "–" : typed;
  $("trees", ".shown span").textContent = "inches";
  $("trees", ".list").hidden = doubting;
  $("trees", ".doubt").hidden = !doubting;
  if (doubting) {
    const feet = diameter() * perInch().feet_per_inch;
    $("trees", ".feet").textContent = feet.toFixed(1) + " feet";
    $("trees", ".near").textContent = measuring(plot) ? "Measure it too within " + (feet * told.measuring.part).toFixed(1) + " feet." : "";
  }
  $("trees", ".measure").disabled = plot.kind !== "prism" || diameter() === null || diameter() <= 0;
  $("trees", ".undo").disabled = plot.trees.length === 0;
  $("trees", ".add").textContent = diameter() === null && plot.kind === "prism" ? "count tree" : "add tree";
  $("trees", ".none").disabled = plot.trees.length > 0;
  $("trees", ".finish").disabled = plot.trees.length === 0;
}

function add(measured) {
  const inches = diameter();
  if (inches === null && state.plot.kind === "fixed") { $("trees", ".shown span").textContent = "inches first"; return; }
  if (inches !== null && (inches < 0.1 || inches > 80)) { $("trees", ".shown span").textContent = "inches? between 0.1 and 80"; return; }
  if (kind === ANY && inches !== null && !measured) { $("trees", ".shown span").textContent = "of which kind?"; return; }
  state.plot.trees.push({ species: kind, dbh_in: inches === null || kind === ANY ? "" : inches, height_ft: "", merch_ft: "", logs_16ft: "", count_twice: false, cull_pct: "", quality: "", alive: true, measured: measured || "" });
  drop();
  trees();
}
function press(key) {
  if (key === "." && typed.includes(".")) return;
  if (/\.\d$/.test(typed) || typed.replace(".", "").length >= 3) return;
  typed = typed === "0" && key !== "." ? key : typed + key;
  doubting = false;
  trees();
}
function close() {
  if (pending("trees")) return;
  state.plot.closed = true;
  state.plots.push(state.plot);
  state.plot = null;
  keep();
  start();
}

all("trees", ".key").forEach((b) => b.addEventListener("click", () => press(b.textContent)));
$("trees", ".clear").addEventListener("click", () => { drop(); trees(); });
$("trees", ".add").addEventListener("click", () => add());
$("trees", ".undo").addEventListener("click", () => { state.plot.trees.pop(); trees(); });
$("trees", ".measure").addEventListener("click", () => {
  doubting = true;
  trees();
});
$("trees", ".is-in").addEventListener("click", () => add((diameter() * perInch().feet_per_inch).toFixed(1)));
$("trees", ".is-out").addEventListener("click", () => { drop(); trees(); });
$("trees", ".none").addEventListener("click", close);
$("trees", ".finish").addEventListener("click", close);
$("trees", ".change").addEventListener("click", () => {
  const plot = state.plot;
  if (!plot.trees.length) {
    if (pending("trees")) return;
    const own = plot.plot_id === fresh(plot.stand_id) ? "" : plot.plot_id;
    state.setup.trees = { "set-plot": own, "set-line": plot.line, "set-slope": plot.slope_pct, at: plot.lon === "" ? {} : { lon: plot.lon, lat: plot.lat } };
    state.plot = null;
    keep();
    start();
    return;
  }
  detailPlot(plot);
});

/* --- one tree, one plot --- */
function form(which, title, parts, back, act) {
  const left = state.detail && state.detail.which === which ? state.detail : { which: which };
  const leave = () => { state.detail = null; keep(); back(); };
  state.detail = left;
  const trouble = el("p", "", "trouble");
  trouble.setAttribute("role", "alert");
  const ok = button("keep", "solid", () => {
    const words = act();
    if (words) { trouble.textContent = words; return; }
    leave();
  });
  ok.id = "detail-keep";
  document.getElementById("detail").replaceChildren(el("h1", title), ...parts, trouble, ok, button("leave it as it was", "", leave));
  putBack(left);
  keep();
  show("detail");
}
remember("detail", () => state.detail);
function detail(tree) {
  const number_ = (id, label, value) => field(label, input(value, { inputMode: "decimal" }), id);
  const yes = (id, label, on) => field(label, select([["no", "no"], ["yes", "yes"]], on ? "yes" : "no"), id);
  const named = select([ANY, ...new Set(told.commonest.concat(told.species))].filter((s) => s !== ANY || state.plot.kind === "prism").map((s) => [s, s]), tree.species);
  form(state.plot.trees.indexOf(tree), bare(tree) ? "Tree: only counted" : "Tree: " + tree.species, [
    field("kind of tree", named, "d-kind"),
    el("div", null, "two", [number_("d-dbh", "inches across", tree.dbh_in), number_("d-height", "total height, feet", tree.height_ft), number_("d-merch", "feet to a 4-inch top", tree.merch_ft), number_("d-logs", "16-foot logs", tree.logs_16ft), number_("d-cull", "rot, percent", tree.cull_pct), yes("d-twice", "count twice (edge)", tree.count_twice), yes("d-dead", "standing dead", !tree.alive), field("a word on it", select([["", "none"]].concat(told.words.map((w) => [w, w])), tree.quality || ""), "d-word")]),
    button("take this tree out", "", () => { state.plot.trees = state.plot.trees.filter((t) => t !== tree); state.detail = null; openTrees(); }),
  ], openTrees, () => {
    const limits = { dbh: [0.1, 80, "dbh_in"], height: [1, 200, "height_ft"], merch: [0, 150, "merch_ft"], logs: [0, 10, "logs_16ft"], cull: [0, 100, "cull_pct"] };
    const read = {};
    for (const [id, [low, high, name]] of Object.entries(limits)) {
      const text = document.getElementById("d-" + id).value.trim(), value = number(text);
      if (text && (value === null || value < low || value > high)) return name.replaceAll("_", " ") + ": " + text + " is not between " + low + " and " + high;
      read[name] = text ? value : "";
    }
    if (read.height_ft !== "" && read.merch_ft !== "" && read.merch_ft > read.height_ft) return "The feet to a 4-inch top are more than the total height.";
    if (read.merch_ft !== "" && read.logs_16ft !== "" && read.logs_16ft * 16 > read.merch_ft + 0.01) return "The logs are longer than the stem to a 4-inch top.";
    if (read.dbh_in === "" && state.plot.kind === "fixed") return "A tree on a fixed plot needs its diameter.";
    if (named.value === ANY && Object.values(read).some((value) => value !== "")) return "A tree that is measured needs its kind.";
    Object.assign(tree, read, { species: named.value, quality: document.getElementById("d-word").value, count_twice: document.getElementById("d-twice").value === "yes", alive: document.getElementById("d-dead").value === "no" });
    return "";
  });
}
function detailPlot(plot) {
  const stand = select(told.stands.map((s) => [s.id, s.name]), plot.stand_id);
  const name = input(plot.plot_id), slope = input(plot.slope_pct, { inputMode: "decimal" });
  const where = el("p", plot.lon === "" ? "" : "place: " + plot.lat + ", " + plot.lon, "gray");
  form("plot", "Plot " + plot.plot_id, [
    field("plot", name, "p-name"), field("stand", stand, "p-stand"), field("slope %", slope, "p-slope"),
    button("take my place", "", () => locate(plot, (w) => { where.textContent = w; })), where,
    button("throw this plot away", "", () => { Object.assign(state, { plot: null, detail: null }); drop(); keep(); start(); }),
  ], openTrees, () => {
    if (!name.value.trim() || state.plots.some((p) => p !== plot && p.plot_id === name.value.trim())) return "The plot needs a name of its own.";
    plot.plot_id = name.value.trim();
    plot.stand_id = stand.value;
    plot.slope_pct = number(slope.value) === null ? "" : number(slope.value);
    return "";
  });
}
