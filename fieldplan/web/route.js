// The controls of a map on the planning page: closer, farther, the drive played leg by leg.
function lively(section) {
  const map = fieldMap(section), n = map.route.codes.length;
  const controls = find(section, ".controls"), slider = find(controls, "input"), play = find(controls, "[data-do=play]");
  slider.max = n;
  find(controls, ".legs").hidden = !n;
  let timer = null;
  function go(to) {
    slider.value = to; map.upTo(to);
    find(controls, ".caption").textContent = map.describe(to);
    slider.setAttribute("aria-valuetext", map.describe(to) || "0");
  }
  function stop() { clearInterval(timer); timer = null; play.textContent = say("play"); play.setAttribute("aria-pressed", "false"); }
  function start() {
    if (Number(slider.value) >= n) go(0);
    play.textContent = say("stop"); play.setAttribute("aria-pressed", "true");
    timer = setInterval(() => {
      const to = Number(slider.value) + 1;
      if (to > n || !section.isConnected) stop(); else go(to);
    }, 250);
  }
  const by = step => { stop(); go(Math.min(n, Math.max(0, Number(slider.value) + step))); };
  const acts = {
    in: () => map.zoom(1.7), out: () => map.zoom(1 / 1.7), all: map.whole,
    play: () => timer ? stop() : start(), next: () => by(1), back: () => by(-1),
  };
  controls.addEventListener("click", e => { const act = acts[e.target.dataset.do]; if (act) act(); });
  slider.addEventListener("input", () => { stop(); go(Number(slider.value)); });
  go(0);
}
