// The map of a field: closer, farther, moved, and played leg by leg.
const CLOSEST = 80;

function fieldMap(section) {
  const svg = find(section, "svg.field"), zoomed = find(svg, ".zoom");
  const route = JSON.parse(find(section, ".drive-data").textContent);
  const box = svg.viewBox.baseVal;
  const marks = [...svg.querySelectorAll(".at, .fix")].map(one => {
    const [x, y] = one.getAttribute("transform").match(/-?[\d.]+/g).map(Number);
    return { one, x, y, fixed: one.classList.contains("fix") };
  });
  const bar = find(svg, ".bar"), barText = bar.nextElementSibling;
  let z = 1, tx = 0, ty = 0;

  const pixels = () => { const drawn = svg.getScreenCTM(); return (drawn && drawn.a) || 1; };
  const perUnit = () => Math.max(1, pixels());
  function show() {
    tx = Math.min(0, Math.max(box.width * (1 - z), tx));
    ty = Math.min(0, Math.max(box.height * (1 - z), ty));
    const px = perUnit();
    zoomed.setAttribute("transform", `translate(${tx} ${ty}) scale(${z})`);
    for (const { one, x, y, fixed } of marks) {
      const at = fixed ? [x > box.width / 2 ? box.width - (box.width - x) / px : x / px, box.height - (box.height - y) / px] : [x, y];
      one.setAttribute("transform", `translate(${at[0]} ${at[1]}) scale(${1 / ((fixed ? 1 : z) * px)})`);
    }
    svg.classList.toggle("close", z * px >= 0.8 * route.every);
    svg.classList.toggle("zoomed", z > 1);
    scaleBar(px);
    spot();
  }
  function scaleBar(px) {
    const perM = route.unitsPerM * z * px, longest = box.width / 3 * Math.max(1, px / 2) / perM / units.lengthM;
    const power = 10 ** Math.floor(Math.log10(longest)), length = [5, 2, 1].find(n => n * power <= longest) * power;
    bar.setAttribute("d", `M0 -5v5h${length * units.lengthM * perM}v-5`);
    barText.textContent = `0 to ${grouped(length, 0)} ${units.length}`;
  }
  function zoom(by, x = box.width / 2, y = box.height / 2) {
    const to = Math.min(CLOSEST, Math.max(1, z * by)), k = to / z;
    tx = x - (x - tx) * k; ty = y - (y - ty) * k; z = to; show();
  }
  function move(dx, dy) { tx += dx; ty += dy; show(); }
  function whole() { z = 1; tx = ty = 0; show(); }
  function place(clientX, clientY) {
    const p = new DOMPoint(clientX, clientY).matrixTransform(svg.getScreenCTM().inverse());
    return [p.x, p.y];
  }

  // legs: each is the next piece of the path of its code
  const pieces = [];
  function legPath(n) {
    if (!pieces.length) {
      const queues = {};
      for (const path of svg.querySelectorAll("[data-code]")) queues[path.dataset.code] = path.getAttribute("d").split("M").slice(1);
      const next = {};
      for (const code of route.codes) {
        next[code] = (next[code] ?? -1) + 1;
        pieces.push(code === "-" ? "" : `M${queues[code][next[code]]}`);
      }
    }
    return pieces[n];
  }
  function legPoints(n) {
    const found = (legPath(n).match(/-?\d+/g) || []).map(Number), points = [];
    for (let i = 0; i + 1 < found.length; i += 2) {
      const last = points[points.length - 1] || [0, 0];
      points.push([last[0] + found[i] / 10, last[1] + found[i + 1] / 10]);
    }
    return points;
  }
  const many = wanted => route.codes.split("").map((_, n) => wanted(n) ? legPath(n) : "").join("");

  const toDrawing = find(zoomed, "g").transform.baseVal.consolidate().matrix;
  const onDrawing = ([east, north]) => {
    const x = east * 10, y = north * 10;
    return [toDrawing.a * x + toDrawing.c * y + toDrawing.e, toDrawing.b * x + toDrawing.d * y + toDrawing.f];
  };
  const here = find(svg, ".here");
  let at = null;
  function spot(place, accuracyM) {
    if (place !== undefined) at = place && { place, accuracyM };
    here.toggleAttribute("hidden", !at);
    if (!at) return;
    const [x, y] = onDrawing(at.place), k = 1 / (z * perUnit());
    here.setAttribute("transform", `translate(${x} ${y})`);
    find(here, ".spot").setAttribute("r", 6 * k);
    find(here, ".about").setAttribute("r", Math.max(at.accuracyM * route.unitsPerM, 6 * k));
  }
  function center(place) {
    const [x, y] = onDrawing(place);
    tx = box.width / 2 - x * z; ty = box.height / 2 - y * z; show();
  }

  // one finger scrolls the page (of a map that is closer it moves the map sideways), two fingers move and zoom it
  let grip = null, pinch = null;
  svg.addEventListener("pointerdown", e => {
    if (!e.isPrimary || (e.pointerType !== "mouse" && z === 1)) return;
    grip = [e.clientX, e.clientY]; svg.setPointerCapture(e.pointerId);
  });
  svg.addEventListener("pointermove", e => {
    if (!grip || pinch || !e.isPrimary) return;
    const k = 1 / pixels();
    move((e.clientX - grip[0]) * k, (e.clientY - grip[1]) * k); grip = [e.clientX, e.clientY];
  });
  for (const end of ["pointerup", "pointercancel", "lostpointercapture"]) svg.addEventListener(end, () => { grip = null; });
  const fingers = e => {
    const [a, b] = e.touches;
    return { x: (a.clientX + b.clientX) / 2, y: (a.clientY + b.clientY) / 2, apart: Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY) };
  };
  svg.addEventListener("touchstart", e => {
    if (e.touches.length === 2) { if (e.cancelable) e.preventDefault(); pinch = fingers(e); grip = null; }
  }, { passive: false });
  svg.addEventListener("touchmove", e => {
    if (!pinch || e.touches.length !== 2) return;
    if (e.cancelable) e.preventDefault();
    const now = fingers(e), k = 1 / pixels();
    move((now.x - pinch.x) * k, (now.y - pinch.y) * k);
    zoom(now.apart / Math.max(1, pinch.apart), ...place(now.x, now.y)); pinch = now;
  }, { passive: false });
  for (const end of ["touchend", "touchcancel"]) svg.addEventListener(end, e => { if (e.touches.length < 2) pinch = null; });
  svg.addEventListener("wheel", e => {
    if (!e.ctrlKey && !e.metaKey) return;
    e.preventDefault(); zoom(e.deltaY > 0 ? 1 / 1.2 : 1.2, ...place(e.clientX, e.clientY));
  }, { passive: false });
  svg.addEventListener("keydown", e => {
    const step = 0.1 * box.width, moves = { ArrowLeft: [step, 0], ArrowRight: [-step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] };
    const moving = moves[e.key] && z > 1;
    if (moving) move(...moves[e.key]);
    else if (e.key === "+" || e.key === "=") zoom(1.4); else if (e.key === "-") zoom(1 / 1.4); else if (e.key === "0") whole();
    else return;
    e.preventDefault();
  });
  svg.setAttribute("tabindex", "0");
  svg.classList.add("lively");

  const name = n => {
    const kind = route.sown[n] ? say(route.headland[n] ? "segment" : "pass", { number: route.numbers[n] }) : "";
    return kind ? `${kind} (${route.names[route.what[n]]})` : route.names[route.what[n]];
  };
  const short = n => say(route.headland[n] ? "segment" : "pass", { number: route.numbers[n] });
  let from = 0;
  const starts = route.ds.map(ds => { const start = from; from += ds / 10; return start; });
  const describe = n => n === 0 ? "" : say("leg", {
    n, all: route.codes.length, what: name(n - 1), length: lengthText(route.dm[n - 1] / 10), start: timeText(starts[n - 1]),
  });
  function upTo(n) {
    svg.classList.toggle("played", n > 0);
    find(svg, ".driven").setAttribute("d", many(i => i < n) || "M0 0");
    find(svg, ".now").setAttribute("d", n ? legPath(n - 1) || "M0 0" : "M0 0");
  }
  function mark(isDone) { find(svg, ".marked").setAttribute("d", many(isDone) || "M0 0"); }

  new ResizeObserver(show).observe(svg);
  show();
  return { svg, route, zoom, whole, upTo, describe, mark, legPoints, short, spot, center, closer: () => z, show };
}
