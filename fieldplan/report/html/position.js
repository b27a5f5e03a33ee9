// Where the device is: its place on the map, which pass that is, and how far off its line.
const IN_WORDS = { 1: "why-denied", 2: "why-unavailable", 3: "why-unavailable" };
const NEAR_M = 60;

function metersOf(place, lon, lat) {
  const u = ((lon - place.lon + 540) % 360) - 180, v = lat - place.lat, terms = [1, u, v, u * u, u * v, v * v];
  const sum = weights => weights.reduce((total, weight, i) => total + weight * terms[i], 0);
  return [sum(place.east), sum(place.north)];
}

// The nearest line that is still to be sown; the one that is followed, and the way it runs, count for something.
function nearestLine(map, done, [x, y], way, current) {
  const { route } = map;
  let best = null;
  for (let n = 0; n < route.codes.length; n++) {
    if (!route.sown[n] || done.has(n)) continue;
    const points = map.legPoints(n);
    for (let i = 0; i + 1 < points.length; i++) {
      const [ax, ay] = points[i], dx = points[i + 1][0] - ax, dy = points[i + 1][1] - ay, long = Math.hypot(dx, dy);
      if (!long) continue;
      const t = Math.min(1, Math.max(0, ((x - ax) * dx + (y - ay) * dy) / (long * long)));
      const away = Math.hypot(x - ax - t * dx, y - ay - t * dy);
      const against = way && (way[0] * dx + way[1] * dy) / long < 0 ? route.widthM : 0;
      const cost = away + against - (n === current ? 0.6 * route.widthM : 0);
      if (!best || cost < best.cost) best = { n, cost, away, isLeft: (dx * (y - ay) - dy * (x - ax)) > 0 };
    }
  }
  return best;
}

let watching = null;
function stopWatching() {
  if (!watching) return;
  navigator.geolocation.clearWatch(watching.id);
  watching.ended(); watching = null;
}

function follow(map, marks, says, onLeg, ended) {
  stopWatching();
  const none = why => { says(say("no-position", { why: say(why) })); map.spot(null); ended(); };
  if (!("geolocation" in navigator)) return none("why-missing");
  if (!window.isSecureContext) return none("why-insecure");
  let before = null, current = -1;
  says(say("searching"));
  const id = navigator.geolocation.watchPosition(({ coords }) => {
    const here = metersOf(map.route.place, coords.longitude, coords.latitude);
    const moved = before && Math.hypot(here[0] - before[0], here[1] - before[1]);
    const way = moved > 2 ? [here[0] - before[0], here[1] - before[1]] : null;
    if (!before || moved > 2) before = here;
    map.spot(here, coords.accuracy);
    const line = nearestLine(map, marks.done, here, way, current);
    const about = say("about", { off: lengthText(coords.accuracy) });
    if (!line) return says(about);
    const values = { what: map.short(line.n), off: lengthText(line.away), side: say(line.isLeft ? "left-side" : "right-side") };
    if (line.away > NEAR_M) return says(`${say("far", values)} ${about}`);
    if (map.closer() > 1) map.center(here);
    if (line.n !== current) { current = line.n; onLeg(line.n + 1); }
    says(`${say(line.away < 0.1 * map.route.widthM ? "on-line" : "off-line", values)} ${about}`);
  }, problem => { none(IN_WORDS[problem.code] || "why-unavailable"); stopWatching(); }, { enableHighAccuracy: true, maximumAge: 2000, timeout: 30000 });
  watching = { id, ended: () => { map.spot(null); ended(); } };
}
