/* The sheet: stands filled by the chosen question, words, tags and deer marks where there is room, scale bar, place of the phone. */
/* exported woodsSheet */
function woodsSheet(map, stands, parcels, features, data, on) {
  "use strict";
  const canvas = Boolean(map.options.preferCanvas);
  const byStand = new Map(data.stands.map((s) => [s.id, s]));
  const byParcel = new Map(data.parcels.map((p) => [p.id, p]));
  const questions = new Map(data.questions.map((q) => [q.key, q]));
  const wide = window.matchMedia("(min-width: 900px)");
  const WHITE = { fill: "#FFFFFF", ink: "#1E221C", hatch: "ink", dots: false };
  const marks = L.layerGroup().addTo(map);
  const over = { hatch: new Map(), edge: [], outline: [] };
  let shown = { parcel: null, question: null, years: new Set(), deer: true, stand: null };

  function look(stand, question) {
    const step = stand.marks[question][0];
    return step === null ? WHITE : questions.get(question).steps[step];
  }

  function icon(lat, lon, build, pane, interactive) {
    const box = document.createElement("div");
    build(box);
    const options = { className: "mark", html: box, iconSize: [0, 0] };
    return L.marker([lat, lon], { icon: L.divIcon(options), pane: pane, interactive: false, keyboard: false }).addTo(marks) && interactive;
  }

  function element(name, words, className) {
    const made = document.createElement(name);
    if (className) made.className = className;
    if (words !== undefined) made.textContent = drawnWords(words);
    return made;
  }

  /* --- fills --- */
  function paintStands() {
    over.hatch.forEach((layer) => layer.remove());
    over.hatch.clear();
    over.edge.forEach((layer) => layer.remove());
    over.edge = [];
    pictureUnder();
    const seen = Boolean(data.pictures[shown.question]);
    const many = canvas || data.stands.filter((s) => s.parcel === shown.parcel).length > 300;
    stands.eachLayer((layer) => {
      const stand = byStand.get(String(layer.feature.id));
      if (!stand || stand.parcel !== shown.parcel) { layer.remove(); return; }
      const fill = look(stand, shown.question);
      const hatched = stand.marks[shown.question][2];
      const plain = canvas && hatched ? "#D9D6CC" : fill.fill;
      layer.setStyle({ fillColor: plain, fillOpacity: seen ? 0 : 1, color: many ? "#1E221C" : "#FFFFFF", weight: many ? 0.9 : 3.4, opacity: 1 });
      layer.addTo(map);
      if (!many) over.edge.push(L.geoJSON(layer.feature, { pane: "edges", interactive: false, style: { fill: false, color: "#1E221C", weight: 0.9, opacity: 1 } }).addTo(map));
      const pattern = hatched ? "hatch-" + fill.hatch : fill.dots ? "dots-other" : "";
      if (pattern && !canvas) over.hatch.set(stand.id, cover(layer, pattern));
    });
  }

  function pictureUnder() {
    if (over.picture) over.picture.remove();
    over.picture = null;
    const picture = (data.pictures[shown.question] || {})[shown.parcel];
    if (picture) over.picture = L.imageOverlay(picture.src, picture.bounds, { pane: "under", interactive: false, alt: "" }).addTo(map);
  }

  function contourLines() {
    if (over.contours) over.contours.remove();
    over.contours = null;
    if (!shown.contours) return;
    over.contours = L.geoJSON(data.contours.filter((f) => f.properties.parcel === shown.parcel), {
      pane: "edges", interactive: false,
      style: (f) => ({ color: "#1E221C", weight: f.properties.fifth ? 1.6 : 0.7, opacity: 0.75, fill: false }),
    }).addTo(map);
  }

  function cover(layer, pattern) {
    return L.geoJSON(layer.feature, {
      pane: "hatch", interactive: false,
      style: { stroke: false, fillColor: "url(#" + pattern + ")", fillOpacity: 1 },
    }).addTo(map);
  }

  function outline(id) {
    over.outline.forEach((layer) => layer.remove());
    over.outline = [];
    shown.stand = id;
    stands.eachLayer((layer) => {
      if (id === null || String(layer.feature.id) !== id) return;
      [["#FFFFFF", 8], ["#1E221C", 4.5]].forEach(([color, weight]) => {
        over.outline.push(L.geoJSON(layer.feature, {
          pane: "chosen", interactive: false, style: { fill: false, color: color, weight: weight, opacity: 1 },
        }).addTo(map));
      });
    });
  }

  function paintParcels() {
    const near = byParcel.get(shown.parcel).near;
    parcels.eachLayer((layer) => {
      const id = String(layer.feature.id);
      const mine = id === shown.parcel;
      layer.setStyle(mine
        ? { color: "#1E221C", weight: 3.2, dashArray: null, fill: false, opacity: 1 }
        : { color: "#575C52", weight: 1, dashArray: "5 4", fill: true, fillColor: "#ECE7DA", fillOpacity: 1, opacity: 1 });
      layer.options.interactive = false;
      if (mine || near.includes(id) || data.parcels.length < 60) layer.addTo(map); else layer.remove();
    });
    features.eachLayer((layer) => {
      const here = layer.feature.properties.parcels.includes(shown.parcel);
      if (here) layer.addTo(map); else layer.remove();
    });
  }

  /* --- words and marks --- */
  function longSide() {
    const [[s, w], [n, e]] = byParcel.get(shown.parcel).bounds;
    const a = map.latLngToLayerPoint([n, w]), b = map.latLngToLayerPoint([s, e]);
    return Math.max(Math.abs(b.x - a.x), Math.abs(b.y - a.y));
  }

  function room() {
    const sizes = data.room[shown.parcel] || {};
    const long = longSide() * 1.02;
    const fits = Object.keys(sizes).map(Number).filter((size) => size <= long);
    return fits.length ? sizes[Math.max(...fits)] : null;
  }

  function say() {
    marks.clearLayers();
    const placed = room();
    homeGround(placed);
    if (!placed) return;
    (shown.deer ? placed.words : placed.bare || placed.words)[shown.question].forEach(([id, lon, lat, which]) => word(byStand.get(id), lat, lon, which));
    if (shown.deer) deerMarks(placed);
    placed.tags.forEach(([i, side]) => tag(data.notes[i], side));
  }

  function word(stand, lat, lon, which) {
    const [step, big, hatched] = stand.marks[shown.question];
    icon(lat, lon, (box) => {
      const plate = hatched || step === null || stand.plate;
      box.className = "word" + (plate ? " plate" : "");
      box.style.color = plate ? "#1E221C" : look(stand, shown.question).ink;
      if (big) box.append(element("b", big, which === 2 ? "tight" : big.length > 4 ? "long" : ""));
      if (which === 0) box.append(element("span", stand.name));
    }, "words");
  }

  function tag(note, side) {
    if (!shown.years.has(note.year)) return;
    const button = element("button", undefined, "touch " + side);
    button.type = "button";
    button.setAttribute("aria-label", note.short + " note of " + note.date + ": " + cutWords(note.title, 200));
    button.append(element("i", side === "on" ? "" : note.short, "tag " + note.tag));
    const away = { above: [0, -18], below: [0, 18], right: [24, 0], left: [-24, 0], on: [0, 0] }[side];
    const options = { className: "note-mark", html: button, iconSize: [0, 0] };
    L.DomEvent.disableClickPropagation(button);
    button.style.left = away[0] + "px";
    button.style.top = away[1] + "px";
    button.addEventListener("click", () => on.note(note, button));
    L.marker([note.lat, note.lon], { icon: L.divIcon(options), pane: "notes", interactive: false, keyboard: false }).addTo(marks);
  }

  function deerMarks(placed) {
    data.group.forEach((shape) => L.geoJSON(shape, { pane: "deer", interactive: false, style: { color: "#1E221C", weight: 1.2, dashArray: "1 5", fill: false } }).addTo(marks));
    const here = data.deer.filter((p) => p.parcel === shown.parcel);
    const lines = new Map();
    here.forEach((p) => lines.set(p.line, (lines.get(p.line) || []).concat([[p.lat, p.lon]])));
    lines.forEach((points) => {
      L.polyline(points, { pane: "deer", color: "#FFFFFF", weight: 4, interactive: false }).addTo(marks);
      L.polyline(points, { pane: "deer", color: "#1E221C", weight: 1.6, dashArray: "1.6 3", interactive: false }).addTo(marks);
    });
    here.forEach((p) => {
      if (p.groups !== null) {
        icon(p.lat, p.lon, (box) => {
          box.className = "groups" + (p.groups > 0 ? "" : " none") + (placed.dots ? " dot" : "");
          if (!placed.dots) box.textContent = String(p.groups);
        }, "deer-marks");
      }
      if (placed.dots && p.browsed_pct !== null) {
        icon(p.lat, p.lon, (box) => {
          box.className = "share dot";
          if (p.groups !== null) box.style.top = "11px";
          box.style.background = "linear-gradient(#fff " + (100 - p.browsed_pct) + "%,#1E221C 0)";
        }, "deer-marks");
      }
    });
    placed.shares.forEach(([i, right, down]) => {
      const p = here[i];
      icon(p.lat, p.lon, (box) => {
        box.className = "share";
        box.style.left = right + "px";
        box.style.top = down + "px";
        box.textContent = Math.round(p.browsed_pct) + "%";
      }, "deer-marks");
    });
  }

  function roomy(f) {
    const [w, s, e, n] = f.box;
    const a = map.latLngToLayerPoint([n, w]), b = map.latLngToLayerPoint([s, e]);
    return b.x - a.x > f.words.length * 6.4 + 8 && b.y - a.y > 46;
  }

  function homeGround(placed) {
    data.features.forEach((f) => {
      if (!f.at || !f.parcels.includes(shown.parcel) || (f.shape !== "Point" && f.kind !== "home_ground")) return;
      icon(f.at[1], f.at[0], (box) => {
        box.className = "home-mark";
        const inside = { home_ground: "M-12 1L0 -10L12 1M-8 -2V10H8V-2", deer_stand: "M-6 6L0 -6L6 6Z", landing: "M-5 -5H5V5H-5Z" }[f.kind] || "M-4 -4H4V4H-4Z";
        box.innerHTML = '<svg width="26" height="24" viewBox="-13 -12 26 24"><path d="' + inside + '" fill="#F7F4EC" stroke="#1E221C" stroke-width="1.8"/></svg>';
        if (f.kind === "plot_to_measure") {
          box.innerHTML = '<svg width="26" height="24" viewBox="-13 -12 26 24"><circle r="9.5" fill="#FFFFFF" stroke="#1E221C" stroke-width="1.8"/><text y="4" text-anchor="middle" font-size="12" font-weight="bold" fill="#1E221C"></text></svg>';
          box.querySelector("text").textContent = f.words.slice(f.words.lastIndexOf("-") + 1);
        }
        if (f.kind === "home_ground" && placed && roomy(f)) box.append(element("span", f.words));
        else box.setAttribute("title", drawnWords([f.words, f.mind].filter(Boolean).join(". ")));
      }, "words");
    });
  }

  /* --- moving about --- */
  let whole = null;
  function fitted() {
    return whole === null || (Math.abs(map.getZoom() - whole.zoom) < 0.05 && map.getCenter().distanceTo(whole.center) < 3);
  }

  function fit() {
    const size = map.getSize();
    if (size.x < 60 || size.y < 60) return;
    const big = wide.matches;
    map.fitBounds(byParcel.get(shown.parcel).bounds, {
      animate: false, paddingTopLeft: big ? [34, 76] : [12, 24], paddingBottomRight: big ? [34, 56] : [12, 60],
    });
    whole = { zoom: map.getZoom(), center: map.getCenter() };
    map.fire("fitted");
  }

  const BARS = [66, 165, 330, 660, 1320, 2640, 5280, 10560, 26400, 52800];
  const BAR_WORDS = { 660: "660 feet, ⅛ mile", 1320: "1,320 feet, ¼ mile", 2640: "½ mile", 5280: "1 mile", 10560: "2 miles", 26400: "5 miles", 52800: "10 miles" };
  function scaleBar() {
    const size = map.getSize(), y = size.y / 2;
    if (size.x < 60) return;
    const meters = map.distance(map.containerPointToLatLng([0, y]), map.containerPointToLatLng([100, y])) / 100;
    const perFoot = 0.3048 / meters;
    const feet = BARS.filter((b) => b * perFoot <= size.x * (wide.matches ? 0.46 : 0.28)).pop() || BARS[0];
    document.getElementById("bar").style.width = feet * perFoot + "px";
    document.getElementById("bar-words").textContent = wide.matches && BAR_WORDS[feet] || feet.toLocaleString("en-US") + " feet";
  }

  stands.eachLayer((layer) => layer.on("click", (event) => {
    L.DomEvent.stopPropagation(event);
    on.stand(String(layer.feature.id), event.latlng);
  }));
  map.on("zoomend", () => { say(); scaleBar(); });
  map.on("resize moveend", scaleBar);
  new ResizeObserver((seen) => {
    if (seen[0].contentRect.width < 60) return;
    const still = fitted();
    map.invalidateSize({ pan: false });
    if (still) fit();
  }).observe(map.getContainer());

  /* moves the sheet so that a stand shows above a card whose upper edge is at this height of the window */
  function clear(id, edge) {
    stands.eachLayer((layer) => {
      if (String(layer.feature.id) !== id) return;
      const top = map.getContainer().getBoundingClientRect().top, size = map.getSize();
      const room = Math.max(edge - top, 60);
      const a = map.latLngToContainerPoint(layer.getBounds().getNorthWest()), b = map.latLngToContainerPoint(layer.getBounds().getSouthEast());
      if (b.y <= room && a.y >= 0 && b.x <= size.x && a.x >= 0) return;
      map.panBy([0, (a.y + b.y) / 2 - room / 2], { animate: false });
    });
  }

  return {
    fit: fit,
    fitted: fitted,
    clear: clear,
    outline: outline,
    show(next) {
      const moved = next.parcel !== shown.parcel;
      const repaint = moved || next.question !== shown.question;
      shown = Object.assign({}, shown, next);
      if (moved) { paintParcels(); outline(null); fit(); }
      if (repaint) paintStands();
      contourLines();
      say();
      scaleBar();
    },
    wide: wide,
  };
}
