"""Maps as a browser draws them: no label on another or on the gate, every stop there with its load, less than half of it ink."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from conftest import SAMPLES

from fieldplan.cli.main import exit_code

Opener = Callable[..., Any]
OVERLAPS = """() => {
  const box = e => { const b = e.getBoundingClientRect(); return [b.left, b.top, b.right, b.bottom, e.textContent || e.getAttribute("class")]; };
  const apart = 0.6, meet = (a, b) => a[0] + apart < b[2] && b[0] + apart < a[2] && a[1] + apart < b[3] && b[1] + apart < a[3];
  const texts = [...document.querySelectorAll("text")].map(box);
  const discs = [...document.querySelectorAll("circle.stop")].filter(e => Number(e.getAttribute("r")) > 1.6).map(box);
  const gates = [...document.querySelectorAll(".at path.gate")].map(box);
  const found = [];
  texts.forEach((a, i) => texts.slice(i + 1).forEach(b => { if (meet(a, b)) found.push([a[4], b[4]]); }));
  for (const gate of gates) for (const one of [...texts, ...discs]) if (meet(gate, one)) found.push(["gate", one[4]]);
  discs.forEach((a, i) => discs.slice(i + 1).forEach(b => { if (meet(a, b)) found.push(["disc", b[4]]); }));
  return { found, texts: texts.map(t => t[4]) };
}"""
INK = """async () => {  // the share of dark pixels in the squares of 2 mm of paper that hold any, at 150 dots an inch
  const svg = document.documentElement, image = new Image();
  image.src = "data:image/svg+xml," + encodeURIComponent(new XMLSerializer().serializeToString(svg));
  await image.decode();
  const [w, h] = [1063, Math.round(1063 * svg.viewBox.baseVal.height / svg.viewBox.baseVal.width)];
  const at = new OffscreenCanvas(w, h).getContext("2d");
  at.drawImage(image, 0, 0, w, h);
  const data = at.getImageData(0, 0, w, h).data, side = 12, shares = [];
  for (let y = 0; y + side <= h; y += side) for (let x = 0; x + side <= w; x += side) {
    let dark = 0;
    for (let v = y; v < y + side; v++) for (let u = x; u < x + side; u++) {
      const i = 4 * (v * w + u); dark += Math.min(data[i], data[i + 1], data[i + 2]) < 200;
    }
    if (dark > 0.05 * side * side) shares.push(dark / (side * side));
  }
  return shares.reduce((a, b) => a + b, 0) / shares.length;
}"""


@pytest.fixture(scope="module")
def maps(written: Path, tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Maps of the restoration job, and of a field with eight refills."""
    out = tmp_path_factory.mktemp("maps")
    job = str(SAMPLES / "farm.toml")
    names = ["--write", "svg,json", "-q"]
    assert exit_code(["plan", str(SAMPLES / "ponds.gpkg"), "--job", job, "--out", str(out), *names]) == 0
    return [*sorted(written.glob("map-*.svg")), *sorted(out.glob("map-*.svg"))]


def test_no_label_overlaps_another_or_the_gate(opener: Opener, maps: list[Path]) -> None:
    """Boxes as the browser measures them, of every text, disc and gate; a title, a scale and the way north on each."""
    assert len(maps) >= 9
    for path in maps:
        got = opener(1200, path=path).evaluate(OVERLAPS)
        assert got["found"] == [], path.name
        assert any(text.startswith("Map of ") for text in got["texts"])
        assert any(text.startswith("1 : ") for text in got["texts"])
        assert "N" in got["texts"]


def test_less_than_half_of_a_map_is_ink(opener: Opener, maps: list[Path]) -> None:
    """Of the squares of 2 mm that anything is drawn on."""
    for path in maps:
        assert 0.03 < opener(1200, path=path).evaluate(INK) < 0.5, path.name


def test_every_stop_is_on_the_map_with_its_load(maps: list[Path]) -> None:
    """Numbered or, where there is no room, a dot; the loads of most stand beside them; the gate says which are poured there."""
    for path in maps:
        plan = json.loads((path.parent / "plan.json").read_text(encoding="utf-8"))
        field = next(one for one in plan["fields"] if f"map-{one['field_id'].lower()}.svg" == path.name)
        texts = [one.text or "" for one in ET.parse(path).iter() if one.tag.endswith("}text")]
        titles = [one.text or "" for one in ET.parse(path).iter() if one.tag.endswith("}title")]
        stops = field["refills"]
        assert sum(title.startswith("refill stop ") for title in titles) == len(stops)
        with_load = sum(text.endswith(" lb") and text[:1].isalnum() for text in texts)
        assert with_load >= 0.7 * len(stops)
        if stops:
            assert any("pour stop" in title for title in titles)
