// The page: what is drawn when it is scrolled to, the list of fields, and the controls of each map.
const sections = [...document.querySelectorAll("main > section")];
const items = [...document.querySelectorAll(".fields > li")];

function draw(section) {
  if (section.classList.contains("drawn")) return;
  section.classList.add("drawn");
  for (const held of section.querySelectorAll("noscript")) {
    held.insertAdjacentHTML("beforebegin", held.textContent); held.remove();
  }
  if (section.dataset.field !== undefined) lively(section);
}

function lively(section) {
  const map = fieldMap(section), marks = doneMarks(map.route), n = map.route.codes.length;
  const controls = find(section, ".controls");
  controls.append(document.getElementById("controls").content.cloneNode(true));
  const slider = find(controls, "input"), play = find(controls, "[data-do=play]"), where = find(controls, "[data-do=where]");
  const caption = find(controls, ".caption");
  slider.max = n;
  if (!n) { find(controls, ".legs").hidden = true; where.hidden = true; }
  let timer = null;
  function go(to) {
    slider.value = to; map.upTo(to);
    caption.textContent = map.describe(to);
    slider.setAttribute("aria-valuetext", map.describe(to) || "0");
  }
  function stop() { clearInterval(timer); timer = null; play.textContent = say("play"); play.setAttribute("aria-pressed", "false"); }
  function start() {
    if (Number(slider.value) >= n) go(0);
    play.textContent = say("stop"); play.setAttribute("aria-pressed", "true");
    timer = setInterval(() => { const to = Number(slider.value) + 1; if (to > n) stop(); else go(to); }, 250);
  }
  function showMarks() {
    map.mark(i => marks.done.has(i));
    find(controls, ".left").textContent = n ? leftText(map.route, marks.done) : "";
    find(controls, ".kept").textContent = !n ? "" : store ? say("marks", { done: marks.done.size, all: n }) : say("no-marks");
    showState(section, marks.done.size, n);
  }
  function done(isDone) {
    const to = Number(slider.value);
    if (isDone) marks.set(0, to, true); else marks.set(Math.max(0, to - 1), n, false);
    showMarks();
  }
  function toggleWhere() {
    if (watching && watching.section === section) return stopWatching();
    where.textContent = say("stop-where"); where.setAttribute("aria-pressed", "true");
    follow(map, marks, text => { find(controls, ".position").textContent = text; }, to => { if (!timer) go(to); }, () => {
      where.textContent = say("where"); where.setAttribute("aria-pressed", "false");
    });
    if (watching) watching.section = section;
  }
  const acts = {
    in: () => map.zoom(1.7), out: () => map.zoom(1 / 1.7), all: map.whole, where: toggleWhere,
    play: () => timer ? stop() : start(),
    next: () => { stop(); go(Math.min(n, Number(slider.value) + 1)); }, back: () => { stop(); go(Math.max(0, Number(slider.value) - 1)); },
    done: () => done(true), undone: () => done(false),
  };
  controls.addEventListener("click", e => { const act = acts[e.target.dataset.do]; if (act) act(); });
  slider.addEventListener("input", () => { stop(); go(Number(slider.value)); });
  go(0);
  showMarks();
}

function showState(section, done, all) {
  const item = items[Number(section.id.slice(1))];
  if (!item) return;
  find(item, ".state").textContent = !done ? "" : done === all ? say("state-done") : say("state-part", { n: Math.floor(100 * done / all) });
}

const seen = new IntersectionObserver(entries => {
  for (const entry of entries) if (entry.isIntersecting) { seen.unobserve(entry.target); draw(entry.target); }
}, { rootMargin: "600px 0px" });
for (const section of sections) if (find(section, "noscript")) seen.observe(section);
const drawAll = () => sections.forEach(draw);
window.addEventListener("beforeprint", drawAll);
matchMedia("print").addEventListener("change", e => { if (e.matches) drawAll(); });

// A link to a field: what lies around it is drawn first, so that it does not move away when it is.
function goTo(hash) {
  const n = sections.findIndex(section => `#${section.id}` === hash);
  if (n < 0) return;
  sections.slice(Math.max(0, n - 1), n + 2).forEach(draw);
  let again = 3;
  const arrive = () => { sections[n].scrollIntoView(); if (again-- > 0) requestAnimationFrame(arrive); };
  arrive();
}
document.addEventListener("click", e => {
  const link = e.target.closest('a[href^="#"]');
  if (!link) return;
  e.preventDefault(); try { history.replaceState(null, "", link.hash); } catch { /* a sandbox without an address */ } goTo(link.hash);
});
window.addEventListener("hashchange", () => goTo(location.hash));
if (location.hash) goTo(location.hash);

// A field by its name, from anywhere on the page.
const finder = find(document, "nav .find"), asked = find(finder, "input");
const found = find(document, "nav .found"), matches = find(document, "nav .matches");
finder.hidden = false;
function search() {
  const wanted = asked.value.trim().toLowerCase();
  const fitting = wanted ? items.filter(item => find(item, "a").textContent.toLowerCase().includes(wanted)) : [];
  matches.replaceChildren(...fitting.slice(0, 8).map(item => {
    const line = document.createElement("li"); line.append(find(item, "a").cloneNode(true)); return line;
  }));
  matches.hidden = !fitting.length;
  found.textContent = !wanted ? "" : fitting.length ? say("found", { n: fitting.length }) : say("none-found");
}
asked.addEventListener("input", search);
function forget() { asked.value = ""; search(); }
asked.addEventListener("keydown", e => {
  if (e.key === "Escape") forget();
  const first = find(matches, "a");
  if (e.key === "Enter" && first) { first.click(); asked.blur(); forget(); }
});
matches.addEventListener("click", () => setTimeout(forget));
