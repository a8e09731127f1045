/* The tally sheet on a phone without signal: tree plots, pellet plots, stems. Kept at every tap, saved as the place's own CSV. */
(function () {
  "use strict";
  const told = JSON.parse(document.getElementById("tally").textContent);
  const KEY = "woodlot tally: " + told.place;
  const $ = (where, selector) => document.getElementById(where).querySelector(selector);
  const all = (where, selector) => [...document.getElementById(where).querySelectorAll(selector)];
  let kept = null, savedAt = "";
  let state = { plots: [], pellets: [], browse: [], plot: null, line: null };

  function el(name, words, className, children) {
    const made = document.createElement(name);
    if (className) made.className = className;
    if (words !== undefined && words !== null) made.textContent = words;
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
      const before = JSON.parse(kept.getItem(KEY) || "null");
      if (before && Array.isArray(before.plots)) state = before;
    } catch (refused) { kept = null; }
  }
  function keep() {
    const now = new Date();
    if (kept) {
      try {
        kept.setItem(KEY, JSON.stringify(state));
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
  function show(name) {
    ["start", "trees", "detail", "deer"].forEach((id) => { document.getElementById(id).hidden = id !== name; });
    window.scrollTo(0, 0);
  }

  /* --- files --- */
  function cell(value) {
    const words = value === null || value === undefined ? "" : String(value).replace(/[\r\n]+/g, " ").trim();
    return /[",]/.test(words) ? '"' + words.replaceAll('"', '""') + '"' : words;
  }
  function csv(table, rows) {
    const columns = told.columns[table];
    return [columns.join(",")].concat(rows.map((row) => columns.map((c) => cell(row[c])).join(","))).join("\n") + "\n";
  }
  function tables() {
    const closed = state.plots.filter((p) => p.closed);
    const trees = closed.flatMap((p) => p.trees.map((t, i) => Object.assign({}, t, { plot_id: p.plot_id, tree: i + 1, count: 1, count_twice: t.count_twice ? "yes" : "no", alive: t.alive ? "yes" : "no" })));
    return { plots: closed, trees: trees, pellets: state.pellets, browse: state.browse };
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

  /* --- begin --- */
  function field(label, made, id) {
    made.id = id;
    const named = el("label", label);
    named.htmlFor = id;
    return el("div", null, "field", [named, made]);
  }
  function input(value, more) { return Object.assign(el("input"), { type: "text", value: value, autocomplete: "off" }, more || {}); }
  function select(options, chosen) {
    const made = el("select");
    options.forEach(([value, words]) => made.append(new Option(words, value, false, value === chosen)));
    return made;
  }
  const stands = new Map(told.stands.map((s) => [s.id, s]));
  function standName(id) {
    const s = stands.get(id);
    return s ? s.parcel + ", stand " + s.id : "stand " + id;
  }
  function number(text) {
    const value = Number(String(text).replace(",", "."));
    return String(text).trim() === "" || !Number.isFinite(value) ? null : value;
  }
  function fresh(stand) {
    const stem = stand + "-" + today().slice(2).replaceAll("-", "") + "-";
    let next = 1;
    while (state.plots.some((p) => p.plot_id === stem + next)) next += 1;
    return stem + next;
  }

  function setupTrees() {
    const box = document.getElementById("setup");
    const stand = select(told.stands.map((s) => [s.id, s.name]), state.stand);
    const kind = select([["prism", "prism"], ["fixed", "fixed circle"]], state.kind || "prism");
    const factor = select(told.factors.map((f) => [String(f.factor), String(f.factor)]), String(state.baf || told.factor));
    const radius = input(state.radius || "", { inputMode: "decimal" });
    const name = input("");
    const slope = input("", { inputMode: "decimal" });
    const line = input("");
    const where = el("p", "", "gray");
    where.setAttribute("role", "status");
    const at = {};
    const trouble = el("p", "", "trouble");
    trouble.setAttribute("role", "alert");
    const go = button("begin this plot", "solid", () => {
      const plot = {
        plot_id: name.value.trim(), stand_id: stand.value, line: line.value.trim(), date: today(), kind: kind.value,
        baf_sqft_per_ac: kind.value === "prism" ? Number(factor.value) : "", radius_ft: kind.value === "fixed" ? number(radius.value) : "",
        slope_pct: number(slope.value) === null ? "" : number(slope.value), lon: at.lon === undefined ? "" : at.lon, lat: at.lat === undefined ? "" : at.lat,
        trees: [], closed: false,
      };
      if (!plot.plot_id) { trouble.textContent = "The plot needs a name."; return; }
      if (state.plots.some((p) => p.plot_id === plot.plot_id)) { trouble.textContent = "There is a plot " + plot.plot_id + " already."; return; }
      if (plot.kind === "fixed" && !(plot.radius_ft > 0)) { trouble.textContent = "A fixed plot needs its radius in feet."; return; }
      Object.assign(state, { stand: plot.stand_id, kind: plot.kind, baf: plot.baf_sqft_per_ac || state.baf, radius: plot.radius_ft || state.radius, plot: plot });
      keep();
      openTrees();
    });
    go.id = "begin";
    const rename = () => { name.value = fresh(stand.value); };
    const fit = () => { factor.closest(".field").hidden = kind.value !== "prism"; radius.closest(".field").hidden = kind.value !== "fixed"; };
    stand.addEventListener("change", rename);
    kind.addEventListener("change", fit);
    box.replaceChildren(
      field("stand", stand, "set-stand"), el("div", null, "two", [field("plot", name, "set-plot"), field("line, if laid on lines", line, "set-line")]),
      el("div", null, "two", [field("kind of plot", kind, "set-kind"), field("factor", factor, "set-factor"), field("radius, feet", radius, "set-radius")]),
      el("div", null, "two", [field("slope %, if steep", slope, "set-slope"), el("div", null, "field", [el("label", "place"), button("take my place", "", () => locate(at, (w) => { where.textContent = w; }))])]),
      where, trouble, go,
    );
    rename();
    fit();
  }

  function setupDeer(kind) {
    const box = document.getElementById("setup");
    const parcel = select(told.parcels.map((p) => [p.id, p.name]), state.parcel);
    const name = input((state.line && state.line.name) || "A");
    const radius = input(told.pellet_radius_ft, { inputMode: "decimal" });
    const trouble = el("p", "", "trouble");
    trouble.setAttribute("role", "alert");
    const go = button("begin this line", "solid", () => {
      const feet = number(radius.value);
      if (!name.value.trim()) { trouble.textContent = "The line needs a name."; return; }
      if (!(feet > 0)) { trouble.textContent = "The radius is in feet, such as 4."; return; }
      state.parcel = parcel.value;
      state.line = { kind: kind, name: name.value.trim(), parcel_id: parcel.value, radius_ft: feet, date: today(), number: 1, lon: "", lat: "" };
      while (deerRows().some((r) => r.plot_id === plotName())) state.line.number += 1;
      keep();
      openDeer();
    });
    go.id = "begin";
    const parts = [field("parcel", parcel, "set-parcel"), field("line", name, "set-line"), trouble, go];
    if (kind === "pellets") parts.splice(2, 0, field("radius, feet", radius, "set-radius"));
    box.replaceChildren(...parts);
  }

  function start() {
    show("start");
    document.getElementById("keeping").className = kept ? "" : "caution";
    document.getElementById("keeping").textContent = kept ? "Kept on this phone at every tap." : "This viewer keeps nothing when it closes. Save the files before you leave the page.";
    const kinds = $("start", ".kinds");
    const choices = [["trees", "tree plots", setupTrees], ["pellets", "deer pellets", () => setupDeer("pellets")], ["browse", "browsed stems", () => setupDeer("browse")]];
    const choose = (name) => {
      state.mode = name;
      kinds.querySelectorAll("button").forEach((b) => b.setAttribute("aria-pressed", String(b.dataset.kind === name)));
      choices.find((c) => c[0] === name)[2]();
    };
    kinds.replaceChildren(...choices.map(([name, words]) => { const b = button(words, "", () => choose(name)); b.dataset.kind = name; return b; }));
    choose(state.mode || "trees");
    done();
  }

  function done() {
    const list = el("ol");
    state.plots.filter((p) => p.closed).forEach((p) => {
      const words = "plot " + p.plot_id + ": " + (p.trees.length ? p.trees.length + (p.trees.length === 1 ? " tree" : " trees") : "no tree was in");
      list.append(el("li", null, "", [el("span", words), button("open", "", () => { p.closed = false; state.plots = state.plots.filter((q) => q !== p); state.plot = p; keep(); openTrees(); })]));
    });
    [["pellets", "pellet plots"], ["browse", "rows of stems"]].forEach(([name, words]) => {
      if (state[name].length) list.append(el("li", state[name].length + " " + words + " on " + new Set(state[name].map((r) => r.line)).size + " lines"));
    });
    document.getElementById("done").replaceChildren(list.children.length ? list : el("p", "Nothing yet.", "gray"));
    const files = [], rows = tables();
    ["plots", "trees", "pellets", "browse"].forEach((name) => {
      if (rows[name].length || (name === "trees" && rows.plots.length)) { const b = button("save " + name + ".csv", "", () => save(name)); b.id = "save-" + name; files.push(b); }
    });
    if (files.length) {
      const sure = button("empty this phone", "", () => {
        if (!sure.dataset.sure) { sure.dataset.sure = "yes"; sure.textContent = "empty it: tap again when the files are safe at home"; return; }
        state = { plots: [], pellets: [], browse: [], plot: null, line: null };
        keep();
        start();
      });
      sure.id = "empty";
      files.push(sure);
    }
    document.getElementById("files").replaceChildren(...files);
  }

  /* --- kinds of tree --- */
  function speciesButtons(where, first, chosen, pick) {
    const box = $(where, ".species");
    const names = first.slice(0, 7);
    if (chosen && !names.includes(chosen)) names[names.length - 1] = chosen;
    box.replaceChildren(...names.map((name) => {
      const b = button(name, Math.max(...name.split(" ").map((w) => w.length)) > 9 ? "long" : "", () => pick(name));
      b.setAttribute("aria-pressed", String(name === chosen));
      return b;
    }), button("more…", "", () => more(pick)));
  }
  function more(pick) {
    const box = document.getElementById("more"), list = box.querySelector("div"), find = box.querySelector("input");
    const fill = () => {
      const words = find.value.trim().toLowerCase();
      list.replaceChildren(...told.species.filter((s) => s.includes(words)).map((s) => button(s, "", () => { box.close(); pick(s); })));
    };
    find.value = "";
    find.oninput = fill;
    fill();
    box.showModal();
  }
  document.querySelector("#more .close").addEventListener("click", () => document.getElementById("more").close());

  /* --- trees --- */
  let typed = "", kind = "", doubting = false;

  function perInch() { return told.factors.find((f) => f.factor === state.plot.baf_sqft_per_ac); }
  function diameter() { return typed === "" || typed === "." ? null : Number(typed); }
  function basal(plot) {
    if (plot.kind === "prism") return plot.baf_sqft_per_ac * plot.trees.reduce((sum, t) => sum + (t.count_twice ? 2 : 1), 0);
    const acres = Math.PI * plot.radius_ft * plot.radius_ft / 43560;
    return plot.trees.reduce((sum, t) => sum + (t.count_twice ? 2 : 1) * told.basal_sqft_per_sqin * (t.dbh_in || 0) ** 2, 0) / acres;
  }

  function openTrees() {
    const first = (stands.get(state.plot.stand_id) || { kinds: [] }).kinds.concat(told.commonest);
    kind = kind && told.species.includes(kind) ? kind : first[0];
    typed = "";
    doubting = false;
    show("trees");
    trees();
  }

  function trees() {
    const plot = state.plot, stand = stands.get(plot.stand_id);
    $("trees", ".plot").textContent = "Plot " + plot.plot_id;
    $("trees", ".where").textContent = standName(plot.stand_id);
    $("trees", ".basal").textContent = String(Math.round(basal(plot)));
    const here = state.plots.filter((p) => p.closed && p.stand_id === plot.stand_id);
    const before = stand && stand.plots ? stand.plots : 0;
    const sum = (before ? stand.basal * before : 0) + here.reduce((total, p) => total + basal(p), 0);
    const plots = before + here.length;
    $("trees", ".so-far").textContent = plots ? "stand so far: " + Math.round(sum / plots) + ", from " + plots + (plots === 1 ? " plot" : " plots") : "the stand’s first plot";
    $("trees", ".in").textContent = String(plot.trees.length);
    $("trees", ".times").textContent = plot.kind === "prism" ? "trees in × " + plot.baf_sqft_per_ac : "trees within " + plot.radius_ft + " feet";
    $("trees", ".nothing").hidden = plot.trees.length > 0;
    $("trees", ".list ol").replaceChildren(...plot.trees.map((t, i) => {
      const notes = [t.measured ? "measured in, " + t.measured + " ft" : "", t.alive ? "" : "dead", t.count_twice ? "counts twice" : "", t.cull_pct !== "" ? t.cull_pct + "% rot" : ""].filter(Boolean).join(", ");
      const open = button(null, "", () => detail(t));
      open.append(el("span", String(i + 1), "number"), el("span", t.dbh_in === "" ? "–" : t.dbh_in.toFixed(1), "size"), el("span", t.species), el("span", notes, "gray"));
      return el("li", null, "", [open]);
    }).reverse());
    const first = (stand ? stand.kinds : []).concat(told.commonest);
    speciesButtons("trees", [...new Set(first)], kind, (name) => { kind = name; trees(); });
    $("trees", ".shown b").textContent = typed === "" ? "–" : typed;
    $("trees", ".list").hidden = doubting;
    $("trees", ".doubt").hidden = !doubting;
    $("trees", ".measure").disabled = plot.kind !== "prism" || diameter() === null || diameter() <= 0;
    $("trees", ".undo").disabled = plot.trees.length === 0;
    $("trees", ".add").textContent = diameter() === null && plot.kind === "prism" ? "count tree" : "add tree";
    $("trees", ".none").disabled = plot.trees.length > 0;
    $("trees", ".finish").disabled = plot.trees.length === 0;
    document.querySelectorAll(".saved").forEach((p) => { p.textContent = savedAt; });
  }

  function add(measured) {
    const inches = diameter();
    if (inches === null && state.plot.kind === "fixed") { $("trees", ".shown span").textContent = "inches first"; return; }
    if (inches !== null && (inches < 0.1 || inches > 80)) { $("trees", ".shown span").textContent = "inches? between 0.1 and 80"; return; }
    $("trees", ".shown span").textContent = "inches";
    state.plot.trees.push({ species: kind, dbh_in: inches === null ? "" : inches, height_ft: "", merch_ft: "", logs_16ft: "", count_twice: false, cull_pct: "", alive: true, measured: measured || "" });
    typed = "";
    doubting = false;
    keep();
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
    state.plot.closed = true;
    state.plots.push(state.plot);
    state.plot = null;
    keep();
    start();
  }

  all("trees", ".key").forEach((b) => b.addEventListener("click", () => press(b.textContent)));
  $("trees", ".clear").addEventListener("click", () => { typed = ""; doubting = false; trees(); });
  $("trees", ".add").addEventListener("click", () => add());
  $("trees", ".undo").addEventListener("click", () => { state.plot.trees.pop(); keep(); trees(); });
  $("trees", ".measure").addEventListener("click", () => {
    doubting = true;
    $("trees", ".feet").textContent = (diameter() * perInch().feet_per_inch).toFixed(1) + " feet";
    trees();
  });
  $("trees", ".is-in").addEventListener("click", () => add((diameter() * perInch().feet_per_inch).toFixed(1)));
  $("trees", ".is-out").addEventListener("click", () => { typed = ""; doubting = false; trees(); });
  $("trees", ".none").addEventListener("click", close);
  $("trees", ".finish").addEventListener("click", close);
  $("trees", ".change").addEventListener("click", () => {
    const plot = state.plot;
    if (!plot.trees.length) { state.plot = null; keep(); start(); return; }
    detailPlot(plot);
  });

  /* --- one tree, one plot --- */
  function form(title, parts, back, act) {
    const trouble = el("p", "", "trouble");
    trouble.setAttribute("role", "alert");
    const ok = button("keep", "solid", () => {
      const words = act();
      if (words) { trouble.textContent = words; return; }
      keep();
      back();
    });
    ok.id = "detail-keep";
    document.getElementById("detail").replaceChildren(el("h1", title), ...parts, trouble, ok, button("back", "", back));
    show("detail");
  }
  function detail(tree) {
    const number_ = (id, label, value) => field(label, input(value, { inputMode: "decimal" }), id);
    const yes = (id, label, on) => field(label, select([["no", "no"], ["yes", "yes"]], on ? "yes" : "no"), id);
    form("Tree: " + tree.species, [
      el("div", null, "two", [number_("d-dbh", "inches across", tree.dbh_in), number_("d-height", "total height, feet", tree.height_ft), number_("d-merch", "feet to a 4-inch top", tree.merch_ft), number_("d-logs", "16-foot logs", tree.logs_16ft), number_("d-cull", "rot, percent", tree.cull_pct), yes("d-twice", "count twice (edge)", tree.count_twice), yes("d-dead", "standing dead", !tree.alive)]),
      button("take this tree out", "", () => { state.plot.trees = state.plot.trees.filter((t) => t !== tree); keep(); openTrees(); }),
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
      Object.assign(tree, read, { count_twice: document.getElementById("d-twice").value === "yes", alive: document.getElementById("d-dead").value === "no" });
      return "";
    });
  }
  function detailPlot(plot) {
    const stand = select(told.stands.map((s) => [s.id, s.name]), plot.stand_id);
    const name = input(plot.plot_id), slope = input(plot.slope_pct, { inputMode: "decimal" });
    const where = el("p", plot.lon === "" ? "" : "place: " + plot.lat + ", " + plot.lon, "gray");
    form("Plot " + plot.plot_id, [
      field("plot", name, "p-name"), field("stand", stand, "p-stand"), field("slope %", slope, "p-slope"),
      button("take my place", "", () => locate(plot, (w) => { where.textContent = w; })), where,
      button("throw this plot away", "", () => { state.plot = null; keep(); start(); }),
    ], openTrees, () => {
      if (!name.value.trim() || state.plots.some((p) => p !== plot && p.plot_id === name.value.trim())) return "The plot needs a name of its own.";
      plot.plot_id = name.value.trim();
      plot.stand_id = stand.value;
      plot.slope_pct = number(slope.value) === null ? "" : number(slope.value);
      return "";
    });
  }

  /* --- deer sign --- */
  let stems = null;
  function deerRows() { return state[state.line.kind]; }
  function plotName() { return state.line.name + String(state.line.number).padStart(2, "0"); }
  function openDeer() { typed = ""; stems = null; kind = told.browse[0]; show("deer"); deer(); }

  function deer() {
    const line = state.line, rows = deerRows().filter((r) => r.line === line.name && r.date === line.date), pellets = line.kind === "pellets";
    $("deer", ".plot").textContent = "Plot " + plotName();
    $("deer", ".where").textContent = (told.parcels.find((p) => p.id === line.parcel_id) || { name: line.parcel_id }).name + ", line " + line.name;
    const groups = rows.reduce((sum, r) => sum + (r.groups || 0), 0), seen = rows.reduce((sum, r) => sum + (r.stems || 0), 0), bitten = rows.reduce((sum, r) => sum + (r.browsed || 0), 0);
    $("deer", ".basal").textContent = pellets ? String(groups) : String(seen);
    $("deer", ".counted").textContent = pellets ? "groups on " + rows.length + (rows.length === 1 ? " plot" : " plots") : "stems, " + bitten + " of them browsed";
    $("deer", ".so-far").textContent = pellets ? "recount a tenth of the plots before you leave" : "on " + new Set(rows.map((r) => r.plot_id)).size + " plots with stems";
    $("deer", ".rule").textContent = pellets ? "A group is more than 10 pellets alike, at least half inside " + line.radius_ft + " feet. None? Press 0." : "Woody stems, 6 inches to 6 feet tall, in the same circle. All of a kind first, then how many of those are browsed.";
    $("deer", ".list ol").replaceChildren(...rows.map((r) => el("li", null, "", [el("span", "", "number"), el("span", pellets ? String(r.groups) : r.browsed + "/" + r.stems, "size"), el("span", r.plot_id + (pellets ? "" : " " + r.species)), el("span", r.lon === "" ? "" : "place", "gray")])).reverse());
    $("deer", ".species").hidden = pellets;
    if (!pellets) speciesButtons("deer", told.browse, kind, (name) => { kind = name; stems = null; typed = ""; deer(); });
    $("deer", ".shown b").textContent = typed === "" ? "–" : typed;
    $("deer", ".shown span").textContent = pellets ? "groups" : stems === null ? "stems of " + kind : "of " + stems + " browsed";
    $("deer", ".add").textContent = pellets ? "add plot" : stems === null ? "then browsed" : "add stems";
    $("deer", ".add").disabled = typed === "" || (stems !== null && Number(typed) > stems);
    $("deer", ".undo").disabled = rows.length === 0;
    $("deer", ".next-plot").hidden = pellets;
    document.querySelectorAll(".saved").forEach((p) => { p.textContent = savedAt; });
  }
  function row() {
    const line = state.line;
    return { plot_id: plotName(), line: line.name, date: line.date, parcel_id: line.parcel_id, lon: line.lon, lat: line.lat };
  }
  function onward() { state.line.number += 1; state.line.lon = ""; state.line.lat = ""; stems = null; typed = ""; keep(); deer(); }

  all("deer", ".key").forEach((b) => b.addEventListener("click", () => { if (typed.length < 4) typed = typed === "0" ? b.textContent : typed + b.textContent; deer(); }));
  $("deer", ".clear").addEventListener("click", () => { typed = ""; stems = null; deer(); });
  $("deer", ".add").addEventListener("click", () => {
    if (state.line.kind === "pellets") {
      state.pellets.push(Object.assign(row(), { radius_ft: state.line.radius_ft, groups: Number(typed), days: "" }));
      onward();
    } else if (stems === null) {
      stems = Number(typed);
      typed = stems === 0 ? "0" : "";
      deer();
    } else {
      state.browse.push(Object.assign(row(), { species: kind, stems: stems, browsed: Number(typed) }));
      stems = null;
      typed = "";
      keep();
      deer();
    }
  });
  $("deer", ".undo").addEventListener("click", () => {
    const rows = deerRows(), last = rows.filter((r) => r.line === state.line.name && r.date === state.line.date).pop();
    if (!last) return;
    rows.splice(rows.lastIndexOf(last), 1);
    if (state.line.kind === "pellets") state.line.number = Math.max(1, state.line.number - 1);
    keep();
    deer();
  });
  $("deer", ".place").addEventListener("click", () => locate(state.line, (w) => { $("deer", ".so-far").textContent = w; }));
  $("deer", ".next-plot").addEventListener("click", onward);
  $("deer", ".finish").addEventListener("click", () => { state.line = null; keep(); start(); });
  $("deer", ".change").addEventListener("click", () => { state.line = null; keep(); start(); });

  load();
  keep();
  if (state.plot) openTrees(); else if (state.line) openDeer(); else start();
})();
