// Which legs are done: kept on this device, so that what is left is right when the page is opened again.
function openStore() {
  try {
    localStorage.setItem("fieldplan-try", "1"); localStorage.removeItem("fieldplan-try");
    return localStorage;
  } catch { return null; }
}
const store = openStore();

// Runs of done legs as text, "1-40,44": short, and readable by later versions of this page.
function packed(done) {
  const runs = [];
  for (const n of [...done].sort((a, b) => a - b)) {
    const last = runs[runs.length - 1];
    if (last && n === last[1] + 1) last[1] = n; else runs.push([n, n]);
  }
  return runs.map(run => run.join("-")).join(",");
}
function unpacked(text, most) {
  const done = new Set();
  for (const run of (text || "").split(",")) {
    const [first, last] = run.split("-").map(Number);
    for (let n = first; n >= 0 && n <= Math.min(last, most - 1); n++) done.add(n);
  }
  return done;
}

const keyOf = id => `fieldplan-done-${id}`;
function doneMarks(route) {
  const all = route.codes.length;
  let kept = null;
  try { kept = store && store.getItem(keyOf(route.id)); } catch { kept = null; }
  const done = unpacked(kept, all);
  return {
    done,
    set(first, last, isDone) {
      for (let n = first; n < last; n++) if (isDone) done.add(n); else done.delete(n);
      try { if (store) store.setItem(keyOf(route.id), packed(done)); } catch { /* full: the marks still hold while the page is open */ }
    },
  };
}

// Acres, hours and seed of what is not done; seed as far as the next stop.
function left(route, done) {
  const next = route.stops.find(([n]) => !done.has(n)), end = next ? next[0] : route.codes.length;
  let m2 = 0, untilM2 = 0, s = 0;
  for (let n = 0; n < route.codes.length; n++) {
    if (done.has(n)) continue;
    const sown = route.sown[n] ? route.dm[n] / 10 * route.widthM : 0;
    m2 += sown; s += route.ds[n] / 10;
    if (n < end) untilM2 += sown;
  }
  return { m2, s, next, seed: route.boxes.map(([box, kgPerM2]) => `${box} ${massText(kgPerM2 * untilM2)}`).join(", ") };
}
function leftText(route, done) {
  if (route.codes.length && done.size === route.codes.length) return say("all-done");
  const now = left(route, done), text = say("left", { area: areaText(now.m2), time: timeText(now.s) });
  if (!now.seed) return text;
  const seed = now.next
    ? say("until-stop", { stop: now.next[1], seed: now.seed, load: now.next[2] }) : say("until-end", { seed: now.seed });
  return `${text} ${seed}`;
}
