// A pane of the page: HTML in pieces that are exchanged one by one; what somebody types or presses is told to the server.
const WAIT_MS = 180, MOVING_MS = 900, MOST_FILES = 60;
const MOST_BYTES = { text: 1000000, base64: 5000000 };

export default {
  template: `<div></div>`,
  props: { html: String },
  mounted() {
    this.waiting = new Map();
    this.later = {};
    this.movedAt = 0;
    this.$el.innerHTML = this.html;
    this.mark(this.$el);
    const on = (name, handler) => this.$el.addEventListener(name, handler);
    on("input", (event) => this.typed(event.target, false));
    on("change", (event) => this.typed(event.target, true));
    on("click", (event) => this.pressed(event.target.closest("[data-do]")));
    on("pointerdown", (event) => this.turned(event));
    on("pointermove", (event) => { if (event.buttons) this.turned(event); });
    on("keydown", (event) => this.stepped(event));
  },
  methods: {
    // Exchange pieces by the ids of the elements that hold them, keeping focus, caret and what is unfolded.
    put(pieces, focus) {
      const active = this.$el.contains(document.activeElement) ? document.activeElement : null;
      const box = active && active.closest("[data-box]");
      const kept = active && { id: active.id, box: box && box.dataset.box, value: active.value, at: caret(active) };
      for (const [id, html] of Object.entries(pieces)) {
        const place = document.getElementById(id);
        if (!place || !this.$el.contains(place)) continue;
        delete this.later[id];
        if (active && active.type === "range" && place.contains(active) && Date.now() - this.movedAt < MOVING_MS) {
          this.later[id] = html; // it is being moved: what stands there now is older than where it is
          clearTimeout(this.settling);
          this.settling = setTimeout(() => this.put(this.later), MOVING_MS);
          continue;
        }
        const open = [...place.querySelectorAll("details[open]")].map((one) => one.id);
        place.innerHTML = html;
        for (const one of open) if (one && document.getElementById(one)) document.getElementById(one).open = true;
        this.mark(place.closest("[data-box]") || place);
      }
      const wanted = (focus && document.getElementById(focus)) || null;
      if (wanted) {
        for (let up = wanted.closest("details"); up; up = up.parentElement.closest("details")) up.open = true;
        wanted.focus();
      } else if (kept && !this.$el.contains(document.activeElement)) {
        const next = document.getElementById(kept.id) || document.getElementById(kept.box || "");
        if (next) { next.focus(); if (next.id === kept.id && kept.at) next.setSelectionRange(...kept.at); }
      }
    },
    // Tell those who do not see it which inputs hold what is wrong.
    mark(place) {
      const boxes = place.matches("[data-box]") ? [place] : place.querySelectorAll("[data-box]");
      for (const box of boxes) {
        const wrong = box.querySelector(".said > .wrong") !== null;
        box.classList.toggle("is-wrong", wrong);
        box.classList.toggle("is-lacking", box.querySelector(".said > .lacking") !== null);
        for (const one of box.querySelectorAll("[data-in]:not([type=hidden], [type=checkbox])")) {
          if (wrong) one.setAttribute("aria-invalid", "true"); else one.removeAttribute("aria-invalid");
        }
      }
    },
    typed(input, left) {
      if (input.dataset.files) return left ? this.files(input) : undefined;
      const box = input.closest("[data-box]");
      if (!box || !input.dataset.in) return;
      if (input.type === "range") {
        this.movedAt = Date.now();
        const at = box.querySelector("output"), words = `${input.value} ${at.dataset.unit}`.trim();
        at.textContent = words;
        input.setAttribute("aria-valuetext", words);
      }
      const send = () => {
        clearTimeout(this.waiting.get(box.dataset.box));
        this.waiting.delete(box.dataset.box);
        this.$emit("said", { do: left ? "left" : "typed", id: box.dataset.box, parts: parts(box) });
      };
      clearTimeout(this.waiting.get(box.dataset.box));
      if (left) send();
      else this.waiting.set(box.dataset.box, setTimeout(send, WAIT_MS));
    },
    pressed(button) {
      if (!button || button.disabled) return;
      const data = button.dataset, read = (text) => (text ? JSON.parse(text) : null);
      const near = button.closest("[data-box]");
      const said = { do: data.do, id: data.id || (near ? near.dataset.box : ""), place: read(data.place), value: read(data.value) };
      if (data.with) said.parts = parts(document.getElementById(data.with));
      this.$emit("said", said);
    },
    async files(input) {
      const box = input.closest("[data-box]"), kind = input.dataset.as || "text", given = [...input.files].slice(0, MOST_FILES);
      input.value = "";
      for (const file of given) {
        const value = { name: file.name, bytes: file.size };
        if (file.size <= MOST_BYTES[kind]) value[kind] = kind === "text" ? await file.text() : await inBase64(file);
        this.$emit("said", { do: input.dataset.files, id: box ? box.dataset.box : input.id, value });
      }
    },
    // Show files, given by name in base64, each in a frame of a dialog: nothing on the page moves under the hand of who is
    // about to press something else. Where a frame cannot be shown its link opens it.
    frame(id, kind, files) {
      const place = document.getElementById(id);
      for (const one of this.shown || []) URL.revokeObjectURL(one);
      this.shown = [];
      const close = Object.assign(document.createElement("button"), { type: "button", textContent: "Close", onclick: () => place.close() });
      place.onclose = () => place.replaceChildren();
      place.replaceChildren(close);
      for (const [title, content] of files) {
        const bytes = Uint8Array.from(atob(content), (sign) => sign.charCodeAt(0));
        const address = URL.createObjectURL(new Blob([bytes], { type: kind }));
        const frame = document.createElement("iframe"), link = document.createElement("a");
        Object.assign(frame, { src: address, title });
        Object.assign(link, { href: address, target: "_blank", rel: "noopener", textContent: `Open ${title} by itself` });
        place.append(link, frame);
        this.shown.push(address);
      }
      if (!place.open) place.showModal();
    },
    // A wheel is turned by pointing at it, or by keys.
    turned(event) {
      const wheel = event.target.closest("[data-wheel]");
      if (!wheel || wheel.ariaDisabled === "true" || (event.type === "pointermove" && !wheel.hasPointerCapture(event.pointerId))) return;
      event.preventDefault();
      wheel.focus();
      wheel.setPointerCapture(event.pointerId);
      const rim = wheel.getBoundingClientRect();
      const east = event.clientX - rim.left - rim.width / 2, south = event.clientY - rim.top - rim.height / 2;
      this.point(wheel, Math.round((Math.atan2(east, -south) * 180) / Math.PI));
    },
    stepped(event) {
      const wheel = event.target.closest("[data-wheel]");
      if (!wheel || wheel.ariaDisabled === "true") return;
      const steps = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: 10, PageDown: -10 };
      const now = Number(wheel.getAttribute("aria-valuenow"));
      const next = event.key === "Home" ? 0 : event.key === "End" ? 179 : event.key in steps ? now + steps[event.key] : null;
      if (next === null) return;
      event.preventDefault();
      this.point(wheel, next);
    },
    point(wheel, degrees) {
      const heading = ((degrees % 180) + 180) % 180;
      wheel.setAttribute("aria-valuenow", heading);
      wheel.setAttribute("aria-valuetext", `${heading} degrees`);
      const says = wheel.closest("[data-box]").querySelector("[data-says]");
      if (says) says.textContent = `${heading} degrees from north, on every field`;
      const best = wheel.closest("[data-box]").querySelector("[data-in=best]");
      if (best) best.checked = false;
      const needle = wheel.querySelector("[data-needle]");
      if (needle) needle.setAttribute("transform", `rotate(${heading})`);
      const box = wheel.closest("[data-box]"), input = box.querySelector("[data-in=text]");
      input.value = String(heading);
      this.typed(input, false);
    },
  },
};

function parts(box) {
  const found = {};
  for (const one of box.querySelectorAll("[data-in]")) {
    found[one.dataset.in] = one.type === "checkbox" ? (one.checked ? "on" : "") : one.value;
  }
  return found;
}

function inBase64(file) {
  return new Promise((resolve, reject) => {
    const reader = new FileReader();
    reader.onload = () => resolve(reader.result.slice(reader.result.indexOf(",") + 1));
    reader.onerror = () => reject(reader.error);
    reader.readAsDataURL(file);
  });
}

function caret(input) {
  try {
    return typeof input.selectionStart === "number" ? [input.selectionStart, input.selectionEnd] : null;
  } catch {
    return null;
  }
}
