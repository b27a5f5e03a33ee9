"use strict";
for (const section of document.querySelectorAll("section[data-field]")) {
  const svg = section.querySelector("svg"), caption = section.querySelector(".caption");
  const slider = section.querySelector("input"), play = section.querySelector("[data-do=play]");
  const legs = JSON.parse(section.querySelector("script").textContent);
  const paths = new Map([...svg.querySelectorAll("[data-leg]")].map(p => [Number(p.dataset.leg), p]));
  const whole = svg.viewBox.baseVal, home = [whole.x, whole.y, whole.width, whole.height];
  let view = [...home], timer = null;
  svg.removeAttribute("width"); svg.removeAttribute("height");
  const show = () => svg.setAttribute("viewBox", view.join(" "));
  const describe = n => { const l = legs[n - 1]; caption.textContent = l ? `${n} of ${legs.length}: ${l.what}` : ""; };
  function zoom(by, x = view[0] + view[2] / 2, y = view[1] + view[3] / 2) {
    const width = Math.min(home[2], Math.max(home[2] / 60, view[2] * by)), k = width / view[2];
    view = [x - (x - view[0]) * k, y - (y - view[1]) * k, width, view[3] * k]; show();
  }
  function pan(dx, dy) { view[0] += dx * view[2]; view[1] += dy * view[3]; show(); }
  function reset() { view = [...home]; show(); }
  function upTo(n) {
    svg.classList.toggle("later", n > 0 && n < legs.length);
    for (const [leg, path] of paths) { path.classList.toggle("done", leg <= n); path.classList.toggle("now", leg === n); }
    slider.value = n; describe(n);
  }
  function stop() { clearInterval(timer); timer = null; play.textContent = "play"; play.setAttribute("aria-pressed", "false"); }
  function start() {
    if (Number(slider.value) >= legs.length) upTo(0);
    play.textContent = "stop"; play.setAttribute("aria-pressed", "true");
    timer = setInterval(() => { const n = Number(slider.value) + 1; n > legs.length ? stop() : upTo(n); }, 250);
  }
  const place = e => { const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(svg.getScreenCTM().inverse()); return [p.x, p.y]; };
  slider.addEventListener("input", () => { stop(); upTo(Number(slider.value)); });
  section.querySelector(".bar").addEventListener("click", e => {
    const act = e.target.dataset.do;
    if (act === "in") zoom(0.6); else if (act === "out") zoom(1 / 0.6); else if (act === "all") reset();
    else if (act === "next") { stop(); upTo(Math.min(legs.length, Number(slider.value) + 1)); }
    else if (act === "play") timer ? stop() : start();
  });
  svg.addEventListener("wheel", e => { e.preventDefault(); zoom(e.deltaY > 0 ? 1.2 : 1 / 1.2, ...place(e)); }, { passive: false });
  let dragFrom = null;
  svg.addEventListener("pointerdown", e => { dragFrom = [e.clientX, e.clientY]; svg.setPointerCapture(e.pointerId); });
  svg.addEventListener("pointermove", e => {
    if (dragFrom) {
      const box = svg.getBoundingClientRect();
      pan((dragFrom[0] - e.clientX) / box.width, (dragFrom[1] - e.clientY) / box.height); dragFrom = [e.clientX, e.clientY];
    } else if (e.target.dataset && e.target.dataset.leg) describe(Number(e.target.dataset.leg));
  });
  for (const end of ["pointerup", "pointercancel"]) svg.addEventListener(end, () => { dragFrom = null; });
  svg.addEventListener("keydown", e => {
    const moves = { ArrowLeft: [-0.1, 0], ArrowRight: [0.1, 0], ArrowUp: [0, -0.1], ArrowDown: [0, 0.1] };
    if (moves[e.key]) pan(...moves[e.key]); else if (e.key === "+" || e.key === "=") zoom(0.8); else if (e.key === "-") zoom(1.25);
    else if (e.key === "0") reset(); else return;
    e.preventDefault();
  });
  svg.setAttribute("tabindex", "0");
}
