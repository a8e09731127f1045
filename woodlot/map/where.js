/* "Where am I": the phone's own position with its circle of doubt, or an honest line saying why there is none. */
/* exported woodsWhere */
function woodsWhere(map, parcels, on) {
  "use strict";
  const button = document.getElementById("where");
  const told = document.getElementById("told");
  const drawn = L.layerGroup().addTo(map);
  let last = null;

  function say(words) { told.textContent = words; }

  function stop() {
    map.stopLocate();
    drawn.clearLayers();
    last = null;
    button.setAttribute("aria-pressed", "false");
    say("");
  }

  function metersTo(bounds, at) {
    const box = L.latLngBounds(bounds);
    const lat = Math.min(Math.max(at.lat, box.getSouth()), box.getNorth());
    const lon = Math.min(Math.max(at.lng, box.getWest()), box.getEast());
    return map.distance(at, [lat, lon]);
  }

  function found(event) {
    const first = last === null;
    last = event;
    drawn.clearLayers();
    const feet = event.accuracy / 0.3048;
    L.circle(event.latlng, { radius: event.accuracy, pane: "here", color: "#1E221C", weight: 1.5, dashArray: "4 4", fillColor: "#FFFFFF", fillOpacity: 0.35, interactive: false }).addTo(drawn);
    L.circleMarker(event.latlng, { radius: 7, pane: "here", color: "#FFFFFF", weight: 3, fillColor: "#1E221C", fillOpacity: 1, interactive: false }).addTo(drawn);
    const near = parcels.map((p) => [metersTo(p.bounds, event.latlng), p]).sort((a, b) => a[0] - b[0])[0];
    const within = feet < 1000 ? Math.max(10, Math.round(feet / 10) * 10) + " feet" : (feet / 5280).toFixed(1) + " miles";
    if (near[0] > 805) {
      say("You are " + (near[0] / 1609.344).toFixed(1) + " miles from " + near[1].name + ", within " + within + ".");
    } else {
      if (first) { on.parcel(near[1].id); map.panTo(event.latlng, { animate: false }); }
      say("You are here, within " + within + ". Lines are not survey lines.");
    }
  }

  function failed(event) {
    const why = { 1: "permission denied", 2: "no position found", 3: "it took too long" }[event.code] || "this viewer has no position";
    stop();
    say("The phone did not give a place: " + why + ".");
  }

  map.on("locationfound", found);
  map.on("locationerror", failed);
  button.addEventListener("click", () => {
    if (button.getAttribute("aria-pressed") === "true") { stop(); return; }
    button.setAttribute("aria-pressed", "true");
    say("Asking the phone for its place…");
    map.locate({ watch: true, enableHighAccuracy: true, timeout: 20000, maximumAge: 5000 });
  });
  return { at: () => last, stop: stop };
}
