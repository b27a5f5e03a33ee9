import { leaflet as L } from "nicegui-leaflet";
import { loadResource } from "../../static/utils/resources.js";

// The map on which ground is drawn. It shows what it is told and tells what the person does: places, choices, drags.
// What is drawn is kept and measured by the program that it belongs to.

const REACH_PX = 12; // how near on the screen is meant to be the same
const MOST_HANDLES = 160; // of the chosen feature; of more vertices those in sight are shown when zoomed in
const TELL_EVERY_MS = 80;
const STEPS_DEG = [30, 20, 10, 5, 2, 1, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01, 0.005, 0.002, 0.001, 0.0005, 0.0002, 0.0001];
const NEAREST_ZOOM = 22;
const PANS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const [COARSE_PX, FINE_PX] = [80, 4]; // of an arrow key, and with Shift
const APART_PX = 75; // lines of the grid
const TEXT_PX = { sign: 6.6, high: 15 }; // of the numbers of the grid, at most
const BUTTONS_PX = 44; // of the map, at its left, where the buttons are
const SPOT_PX = 28; // a field that is smaller on the screen is shown by a mark

const latlngs = (ring) => ring.map(([lon, lat]) => [lat, lon]);
const icon = (html, name, size) => L.divIcon({ html, className: `g-mark ${name}`, iconSize: [size, size] });

// names come from files: they are text, never markup
function named(text) {
  const made = document.createElement("span");
  made.textContent = text;
  return made;
}

function degrees(value, positive, negative, step) {
  const digits = Math.max(0, Math.ceil(-Math.log10(step) - 1e-9));
  return `${Math.abs(value).toFixed(digits)}° ${value < 0 ? negative : positive}`;
}

export default {
  template: `<div class="g-map" tabindex="0" role="application" :aria-label="label" aria-describedby="where-keys"></div>`,
  props: { label: String, tiles: Object, resourcePath: String, bounds: Array, fixed: Boolean },
  async mounted() {
    await this.$nextTick(); // wait for window.path_prefix to be set
    await loadResource(window.path_prefix + `${this.resourcePath}/leaflet/leaflet.css`);
    this.tool = "";
    this.points = [];
    this.clicks = [];
    this.features = [];
    this.places = [];
    this.handles = null;
    const map = L.map(this.$el, {
      attributionControl: false,
      zoomControl: false,
      doubleClickZoom: false,
      boxZoom: false,
      keyboard: false,
      zoomSnap: 0.5,
      maxZoom: NEAREST_ZOOM,
      minZoom: 2,
      worldCopyJump: true,
      fadeAnimation: false,
      zoomAnimation: false,
      markerZoomAnimation: false,
      inertia: false,
    });
    this.map = map;
    const [west, south, east, north] = this.bounds;
    map.fitBounds([[south, west], [north, east]]);
    this.credit = L.control.attribution({ prefix: false }).addTo(map);
    L.control.zoom({ zoomInTitle: "Nearer", zoomOutTitle: "Farther" }).addTo(map);
    L.control.scale({ maxWidth: 140 }).addTo(map);
    for (const [name, z] of [["grid", 250], ["ground", 400], ["answers", 450], ["sketch", 460]]) {
      map.createPane(name).style.zIndex = z;
    }
    map.getPane("grid").style.pointerEvents = "none";
    this.grid = L.layerGroup().addTo(map);
    this.ground = L.layerGroup().addTo(map);
    this.names = L.layerGroup().addTo(map);
    this.marks = L.layerGroup().addTo(map);
    this.answers = L.layerGroup().addTo(map);
    this.sketched = L.layerGroup().addTo(map);
    this.handles = L.layerGroup().addTo(map);
    this.band = null;
    const cross = L.DomUtil.create("div", "g-cross", this.$el);
    cross.setAttribute("aria-hidden", "true");
    map.on("click", (e) => this.clicked(e));
    map.on("dblclick", () => {
      // two quick taps in two places are two corners
      const [before, last] = this.clicks;
      if (this.tool && last && before.distanceTo(last) <= REACH_PX) this.$emit("done");
    });
    map.on("mousemove", (e) => this.follow(e.latlng));
    map.on("moveend zoomend", () => this.seen());
    map.on("zoomend", () => this.drawNames());
    this.$el.addEventListener("keydown", (e) => this.pressed(e));
    this.drawGrid();
    this.observer = new ResizeObserver(() => map.invalidateSize({ animate: false }));
    this.observer.observe(this.$el);
    this.show_tiles(new URLSearchParams(location.search).get("tiles") === "on");
    const whenConnected = setInterval(() => {
      if (window.socket?.id === undefined) return;
      clearInterval(whenConnected);
      this.$emit("ready", { sketch: this.kept() });
      this.seen();
    }, 50);
  },
  unmounted() {
    this.observer?.disconnect();
    this.map?.remove();
  },
  methods: {
    // told by the program

    show(features, marks) {
      this.features = features;
      this.places = marks;
      this.ground.clearLayers();
      for (const one of features) this.draw(one);
      this.drawNames();
      this.drawHandles();
    },
    sketch(tool, points, closed) {
      this.keep(tool, points);
      this.tool = tool;
      this.points = points;
      this.$el.classList.toggle("g-drawing", tool !== "");
      this.sketched.clearLayers();
      this.band = null;
      const corners = latlngs(points);
      if (closed && points.length > 2) {
        L.polygon(corners, { pane: "sketch", className: "g-sketch", interactive: false }).addTo(this.sketched);
      } else if (points.length > 1) {
        L.polyline(corners, { pane: "sketch", className: "g-sketch g-open", interactive: false }).addTo(this.sketched);
      }
      corners.forEach((at, n) => {
        L.marker(at, { icon: icon("", n ? "g-corner" : "g-corner g-first", 14), keyboard: false, interactive: false, alt: "" })
          .addTo(this.sketched);
      });
      this.drawHandles();
    },
    offer(answers, doubtful, shared) {
      this.answers.clearLayers();
      for (const one of answers) {
        const chosen = (e) => {
          L.DomEvent.stopPropagation(e);
          this.$emit("answered", { number: one.number });
        };
        for (const part of one.areas) {
          L.polygon(part.map(latlngs), { pane: "answers", className: "g-answer" }).on("click", chosen).addTo(this.answers);
        }
        for (const line of one.lines) {
          L.polyline(latlngs(line), { pane: "answers", className: "g-answer g-open" }).on("click", chosen).addTo(this.answers);
        }
        if (one.place) {
          L.marker([one.place[1], one.place[0]], {
            icon: icon(String(one.number), "g-number", 30), keyboard: false, alt: "", zIndexOffset: 1000,
          }).on("click", chosen).addTo(this.answers);
        }
      }
      for (const part of shared) {
        L.polygon(part.map(latlngs), { pane: "answers", className: "g-shared", interactive: false }).addTo(this.answers);
      }
      for (const [lon, lat] of doubtful) {
        L.marker([lat, lon], { icon: icon("?", "g-doubt", 24), keyboard: false, interactive: false, alt: "" }).addTo(this.answers);
      }
    },
    look(west, south, east, north) {
      const wide = Math.max(east - west, 1e-4) * 0.08;
      const high = Math.max(north - south, 1e-4) * 0.08;
      this.map.fitBounds([[south - high, west - wide], [north + high, east + wide]], { maxZoom: 19, animate: false });
    },
    go(lat, lon, zoom) {
      this.map.setView([lat, lon], Math.max(zoom, this.map.getZoom()), { animate: false });
    },
    mark(ring, number) {
      this.at = ring < 0 ? null : [ring, number];
      this.drawHandles();
    },
    ask_tiles(on) {
      const address = new URL(location.href);
      if (on) address.searchParams.set("tiles", "on");
      else address.searchParams.delete("tiles");
      location.assign(address);
    },

    // what is being drawn outlives a reload, in this tab alone

    keep(tool, points) {
      if (tool && points.length) sessionStorage.setItem(`where ${location.pathname}`, JSON.stringify({ tool, points }));
      else sessionStorage.removeItem(`where ${location.pathname}`);
    },
    kept() {
      try {
        return JSON.parse(sessionStorage.getItem(`where ${location.pathname}`));
      } catch {
        return null;
      }
    },

    // drawn here

    draw(one) {
      const name = `g-${one.layer} ${one.chosen ? "g-chosen" : ""} ${one.open ? "g-open" : ""}`;
      const options = { pane: "ground", className: name, bubblingMouseEvents: true };
      const layers = [
        ...one.areas.map((part) => L.polygon(part.map(latlngs), options)),
        ...one.lines.map((line) => L.polyline(latlngs(line), options)),
        ...one.points.map(([lon, lat]) => L.circleMarker([lat, lon], { ...options, radius: 7 })),
      ];
      for (const layer of layers) {
        this.picks(layer, one);
        layer.addTo(this.ground);
      }
    },
    picks(layer, one) {
      layer.on("click", (e) => {
        if (this.tool || this.$el.classList.contains("g-asks")) return; // meant for the map
        L.DomEvent.stopPropagation(e);
        this.$emit("picked", { key: one.key });
      });
    },
    // Names, gates and places of the seed; of a field that is a speck at this zoom a mark that can be seen and pressed instead.
    drawNames() {
      this.names.clearLayers();
      this.marks.clearLayers();
      const spots = new Set();
      for (const one of this.features) {
        const at = [one.text_at[1], one.text_at[0]];
        if (this.isSpot(one)) {
          spots.add(one.key);
          const left = this.map.latLngToContainerPoint(at).x > 0.6 * this.map.getSize().x;
          const spot = L.marker(at, {
            icon: icon("", one.chosen ? "g-spot g-chosen" : "g-spot", 24), keyboard: false, alt: "", bubblingMouseEvents: true,
          }).bindTooltip(named(one.text), {
            permanent: true, direction: left ? "left" : "right", offset: [left ? -12 : 12, 0], className: "g-name",
          });
          this.picks(spot, one);
          spot.addTo(this.names);
        } else if (one.text && this.rings(one).length) {
          L.tooltip({ permanent: true, direction: "center", className: "g-name" })
            .setLatLng(at).setContent(named(one.text)).addTo(this.names);
        }
      }
      for (const one of this.places) {
        if (spots.has(one.key)) continue;
        L.marker([one.place[1], one.place[0]], {
          icon: icon("", `g-${one.what}`, 22), keyboard: false, interactive: false, alt: "",
        }).bindTooltip(named(one.text), { permanent: true, direction: "right", offset: [10, 0], className: "g-name" }).addTo(this.marks);
      }
    },
    isSpot(one) {
      if (one.layer !== "fields" || !one.areas.length) return false;
      const box = (one.box ||= L.latLngBounds(latlngs(one.areas.flat(2))));
      const across = this.map.latLngToLayerPoint(box.getNorthEast()).subtract(this.map.latLngToLayerPoint(box.getSouthWest()));
      return Math.max(Math.abs(across.x), Math.abs(across.y)) < SPOT_PX;
    },
    rings(one) {
      return [...one.areas.flat(), ...one.lines, ...one.points.map((point) => [point])];
    },
    drawHandles() {
      if (!this.handles) return;
      this.handles.clearLayers();
      const one = this.features.find((feature) => feature.chosen);
      if (!one || this.tool || this.fixed || this.isSpot(one)) return;
      const inSight = this.map.getBounds().pad(0.05);
      const found = [];
      this.rings(one).forEach((ring, r) => ring.forEach(([lon, lat], n) => {
        if (inSight.contains([lat, lon])) found.push([r, n, ring]);
      }));
      if (found.length > MOST_HANDLES) return;
      for (const [r, n, ring] of found) {
        const last = n === ring.length - 1;
        const next = ring[last ? 0 : n + 1];
        if (ring.length > 1 && !(last && one.areas.length === 0)) {
          const [lon, lat] = [(ring[n][0] + next[0]) / 2, (ring[n][1] + next[1]) / 2];
          const between = this.map.latLngToLayerPoint([ring[n][1], ring[n][0]])
            .distanceTo(this.map.latLngToLayerPoint([next[1], next[0]]));
          if (between > 40) this.handle([lat, lon], "g-middle", 16, one, r, n, true);
        }
        const here = this.at && this.at[0] === r && this.at[1] === n;
        this.handle([ring[n][1], ring[n][0]], here ? "g-corner g-here" : "g-corner", 16, one, r, n, false);
      }
    },
    handle(at, name, size, one, ring, number, added) {
      const tell = (what, latlng) => this.$emit(what, {
        key: one.key, ring, number, added, lon: latlng.lng, lat: latlng.lat, reach_m: this.reach(latlng),
      });
      let told = 0;
      L.marker(at, { icon: icon("", name, size), draggable: true, keyboard: false, alt: "", autoPan: true })
        .on("drag", (e) => {
          const now = Date.now();
          if (now - told < TELL_EVERY_MS) return;
          told = now;
          tell("dragging", e.target.getLatLng());
        })
        .on("dragend", (e) => tell("dragged", e.target.getLatLng()))
        .on("click", (e) => {
          L.DomEvent.stopPropagation(e);
          if (added) tell("dragged", e.target.getLatLng());
          else this.$emit("vertex", { key: one.key, ring, number });
        })
        .addTo(this.handles);
    },
    drawGrid() {
      this.grid.clearLayers();
      const seen = this.map.getBounds();
      const size = this.map.getSize();
      const apart = (s) => Math.min(size.x * s / (seen.getEast() - seen.getWest()), size.y * s / (seen.getNorth() - seen.getSouth()));
      const step = STEPS_DEG.filter((s) => apart(s) >= APART_PX).pop() || STEPS_DEG[0];
      const line = (ends, text, at, name) => {
        L.polyline(ends, { pane: "grid", className: "g-grid", interactive: false }).addTo(this.grid);
        const place = this.map.latLngToContainerPoint(at); // no number under a button, cut off, or over one of the other axis
        if (name === "g-top" && (place.x < BUTTONS_PX || place.x > size.x - TEXT_PX.sign * text.length - 6)) return;
        if (name === "g-side" && place.y < 2 * TEXT_PX.high + 4) return;
        L.marker(at, { icon: L.divIcon({ html: `<span>${text}</span>`, className: `g-grid-text ${name}`, iconSize: [0, 0] }), pane: "grid",
          keyboard: false, interactive: false, alt: "" }).addTo(this.grid);
      };
      for (let k = Math.ceil(seen.getWest() / step); k * step <= seen.getEast(); k++) {
        const lon = k * step;
        const shown = ((lon + 540) % 360) - 180;
        line([[seen.getSouth(), lon], [seen.getNorth(), lon]], degrees(shown, "E", "W", step), [seen.getNorth(), lon], "g-top");
      }
      for (let k = Math.ceil(Math.max(-85, seen.getSouth()) / step); k * step <= Math.min(85, seen.getNorth()); k++) {
        const lat = k * step;
        line([[lat, seen.getWest()], [lat, seen.getEast()]], degrees(lat, "N", "S", step), [lat, seen.getEast()], "g-side");
      }
    },
    show_tiles(on) {
      if (!on || !this.tiles) return;
      L.tileLayer(this.tiles.address, {
        attribution: named(this.tiles.attribution).innerHTML,
        maxNativeZoom: this.tiles.deepest,
        maxZoom: NEAREST_ZOOM,
        referrerPolicy: "no-referrer",
      }).on("tileerror", () => this.$emit("tiles_failed")).addTo(this.map);
      this.$el.classList.add("g-tiles");
      this.$emit("tiles_on");
    },

    // done by the person

    reach(latlng) {
      const at = this.map.latLngToContainerPoint(latlng);
      return latlng.distanceTo(this.map.containerPointToLatLng([at.x + REACH_PX, at.y]));
    },
    place(latlng) {
      const here = latlng.wrap();
      this.$emit("placed", { lon: here.lng, lat: here.lat, reach_m: this.reach(latlng) });
    },
    clicked(e) {
      this.clicks = [...this.clicks, e.containerPoint].slice(-2);
      if (this.tool && this.points.length > 2) {
        const first = this.map.latLngToContainerPoint(latlngs(this.points.slice(0, 1))[0]);
        if (first.distanceTo(e.containerPoint) <= REACH_PX) {
          this.$emit("done");
          return;
        }
      }
      this.place(e.latlng);
    },
    follow(latlng) {
      if (!this.tool || !this.points.length) return;
      const [lon, lat] = this.points[this.points.length - 1];
      if (this.band) this.band.setLatLngs([[lat, lon], latlng]);
      else this.band = L.polyline([[lat, lon], latlng], { pane: "sketch", className: "g-band", interactive: false }).addTo(this.sketched);
    },
    pressed(e) {
      if (e.target !== this.$el) return;
      const pan = PANS[e.key];
      const step = e.shiftKey ? FINE_PX : COARSE_PX;
      if (pan) this.map.panBy([pan[0] * step, pan[1] * step], { animate: false });
      else if (e.key === "+" || e.key === "=") this.map.zoomIn();
      else if (e.key === "-") this.map.zoomOut();
      else if (e.key === "Enter") this.place(this.map.getCenter());
      else if (e.key === "Backspace" || e.key === "Delete") this.$emit("back");
      else if (e.key === "Escape") this.$emit("stop");
      else return;
      e.preventDefault();
    },
    focus() {
      this.$el.focus({ preventScroll: true });
    },
    asks(on) {
      this.$el.classList.toggle("g-asks", on);
    },
    seen() {
      this.drawGrid();
      this.drawHandles();
      const b = this.map.getBounds();
      const c = this.map.getCenter();
      this.$emit("seen", { west: b.getWest(), south: b.getSouth(), east: b.getEast(), north: b.getNorth(),
        lat: c.lat, lon: c.lng, zoom: this.map.getZoom() });
    },
  },
};
