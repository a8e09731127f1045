/* The tally sheet, 4 of 4: pellet groups and browsed stems; then the page begins. */
/* --- deer sign --- */
function deerRows() { return state[state.line.kind]; }
function plotName() { return state.line.name + String(state.line.number).padStart(2, "0"); }
function openDeer(first) { kind = first || kind || told.browse[0]; show("deer"); deer(); }

function deer() {
  const line = state.line, rows = deerRows().filter((r) => r.line === line.name && r.date === line.date), pellets = line.kind === "pellets";
  keep();
  $("deer", ".plot").textContent = "Plot " + plotName();
  $("deer", ".where").textContent = drawnWords((told.parcels.find((p) => p.id === line.parcel_id) || { name: line.parcel_id }).name + ", line " + line.name);
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
}
function row() {
  const line = state.line;
  return { plot_id: plotName(), line: line.name, date: line.date, parcel_id: line.parcel_id, lon: line.lon, lat: line.lat };
}
/* The first number from here on that names no plot of this day yet. */
function skipUsed() {
  const line = state.line;
  while (deerRows().some((r) => r.plot_id === plotName()) || state.used.includes(nameOf(line.kind, plotName(), line.date))) line.number += 1;
}
function onward() { state.line.number += 1; skipUsed(); state.line.lon = ""; state.line.lat = ""; drop(); deer(); }

all("deer", ".key").forEach((b) => b.addEventListener("click", () => { if (typed.length < 4) typed = typed === "0" ? b.textContent : typed + b.textContent; deer(); }));
$("deer", ".clear").addEventListener("click", () => { drop(); deer(); });
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
    drop();
    deer();
  }
});
$("deer", ".undo").addEventListener("click", () => {
  const rows = deerRows(), last = rows.filter((r) => r.line === state.line.name && r.date === state.line.date).pop();
  if (!last) return;
  rows.splice(rows.lastIndexOf(last), 1);
  if (state.line.kind === "pellets") state.line.number = Math.max(1, state.line.number - 1);
  deer();
});
$("deer", ".place").addEventListener("click", () => locate(state.line, (w) => { $("deer", ".so-far").textContent = w; }));
$("deer", ".next-plot").addEventListener("click", () => { if (!pending("deer")) onward(); });
[".finish", ".change"].forEach((end) => $("deer", end).addEventListener("click", () => { if (!pending("deer")) { state.line = null; keep(); start(); } }));

load();
keep();
const half = state.plot && state.detail ? state.detail.which : null;
if (half === "plot") detailPlot(state.plot); else if (half !== null) detail(state.plot.trees[half]);
else if (state.plot) openTrees(); else if (state.line) openDeer(); else start();
