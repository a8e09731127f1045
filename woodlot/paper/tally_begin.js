/* The tally sheet, 2 of 4: what to tally, in which stand or on which line; what is on the phone. */
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
  options.forEach(([value, words]) => made.append(new Option(drawnWords(words), value, false, value === chosen)));
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
function nextToPut(stand) { return told.to_put.find((p) => p.stand === stand && toPut(p)); }
function fresh(stand) {
  const planned = nextToPut(stand);
  if (planned) return planned.id;
  const stem = stand + "-" + today().slice(2).replaceAll("-", "") + "-";
  let next = 1;
  while (taken(stem + next)) next += 1;
  return stem + next;
}

function setupTrees() {
  const box = document.getElementById("setup");
  const first = told.to_put.find(toPut);
  const stand = select(told.stands.map((s) => [s.id, s.name]), state.stand && nextToPut(state.stand) ? state.stand : first ? first.stand : state.stand);
  const kind = select(told.plot_kinds, state.kind || told.plot_kinds[0][0]);
  const factor = select(told.factors.map((f) => [String(f.factor), String(f.factor)]), String(state.baf || told.factor));
  const radius = input(state.radius || "", { inputMode: "decimal" });
  const name = input("");
  const slope = input("", { inputMode: "decimal" });
  const line = input("");
  const left = state.setup.trees || (state.setup.trees = {}), at = left.at || (left.at = {});
  const where = el("p", at.lon === undefined ? "" : "place taken", "gray");
  where.setAttribute("role", "status");
  const wayTo = el("p", "", "gray");
  const trouble = el("p", "", "trouble");
  trouble.setAttribute("role", "alert");
  const go = button("begin this plot", "solid", () => {
    const planned = told.to_put.find((p) => p.id === name.value.trim() && p.stand === stand.value);
    const spot = at.lon === undefined && planned ? planned : at;
    const plot = {
      plot_id: name.value.trim(), stand_id: stand.value, line: line.value.trim(), date: today(), kind: kind.value,
      baf_sqft_per_ac: kind.value === "prism" ? Number(factor.value) : "", radius_ft: kind.value === "fixed" ? number(radius.value) : "",
      slope_pct: number(slope.value) === null ? "" : number(slope.value), lon: spot.lon === undefined ? "" : spot.lon, lat: spot.lat === undefined ? "" : spot.lat,
      trees: [], closed: false,
    };
    if (!plot.plot_id) { trouble.textContent = "The plot needs a name."; return; }
    if (taken(plot.plot_id)) { trouble.textContent = "There is a plot " + plot.plot_id + " already."; return; }
    if (plot.kind === "fixed" && !(plot.radius_ft > 0)) { trouble.textContent = "A fixed plot needs its radius in feet."; return; }
    Object.assign(state, { stand: plot.stand_id, kind: plot.kind, baf: plot.baf_sqft_per_ac || state.baf, radius: plot.radius_ft || state.radius, plot: plot });
    delete state.setup.trees;
    openTrees();
  });
  go.id = "begin";
  const rename = () => {
    if (!left["set-plot"]) name.value = fresh(stand.value);
    const planned = told.to_put.find((p) => p.id === name.value.trim());
    wayTo.textContent = planned ? drawnWords("The way: " + planned.way + ".") : "";
  };
  const fit = () => { factor.closest(".field").hidden = kind.value !== "prism"; radius.closest(".field").hidden = kind.value !== "fixed"; };
  stand.addEventListener("change", rename);
  name.addEventListener("input", () => setTimeout(rename));
  kind.addEventListener("change", fit);
  box.replaceChildren(
    field("stand", stand, "set-stand"), el("div", null, "two", [field("plot", name, "set-plot"), field("line, if laid on lines", line, "set-line")]), wayTo,
    el("div", null, "two", [field("kind of plot", kind, "set-kind"), field("factor", factor, "set-factor"), field("radius, feet", radius, "set-radius")]),
    el("div", null, "two", [field("slope %, if steep", slope, "set-slope"), el("div", null, "field", [el("label", "place"), button("take my place", "", () => locate(at, (w) => { where.textContent = w; }))])]),
    where, trouble, go, el("p", told.measuring.words, "gray"),
  );
  putBack(left);
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
    skipUsed();
    delete state.setup[kind];
    openDeer(told.browse[0]);
  });
  go.id = "begin";
  const parts = [field("parcel", parcel, "set-parcel"), field("line", name, "set-line"), trouble, go];
  if (kind === "pellets") parts.splice(2, 0, field("radius, feet", radius, "set-radius"));
  box.replaceChildren(...parts, el("p", told.mind[kind], "gray"));
  putBack(state.setup[kind] || {});
}
remember("setup", () => state.setup[state.mode] || (state.setup[state.mode] = {}));

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
    list.append(el("li", null, "", [el("span", words), button("open", "", () => { p.closed = false; state.plots = state.plots.filter((q) => q !== p); state.plot = p; openTrees(); })]));
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
      state = Object.assign(empty(), { used: namesUsed() });
      drop();
      keep();
      start();
    });
    sure.id = "empty";
    files.push(sure);
  }
  document.getElementById("files").replaceChildren(...files);
}
