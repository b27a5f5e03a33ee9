"""The HTML page in a real browser: no request off the page, its numbers those of the plan, usable by
keyboard, on a phone and on paper, without script, position or storage.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from dataclasses import replace
from html import escape
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from conftest import SAMPLES, TODAY
from pypdf import PdfReader

from fieldplan.boundary.load import load_fields
from fieldplan.jobfile.load import load_job
from fieldplan.plane.frame import frame_near
from fieldplan.planner import plan_job
from fieldplan.report.html.page import html_page
from fieldplan.report.words.page import NO_SCRIPT
from fieldplan.report.words.quantities import Quantities
from fieldplan.units import ACRE_M2

Opener = Callable[..., Any]
TO_THE_END = """async () => {
  for (let y = 0; y < document.documentElement.scrollHeight; y += innerHeight * 0.9) {
    scrollTo(0, y); await new Promise(r => requestAnimationFrame(() => requestAnimationFrame(r)));
  }
  scrollTo(0, 0);
}"""
BROKEN = """() => {
  const broken = [], range = document.createRange();
  for (const cell of document.querySelectorAll("td, th, dt, dd")) {
    const walk = document.createTreeWalker(cell, NodeFilter.SHOW_TEXT);
    for (let node; (node = walk.nextNode());) for (const word of node.data.matchAll(/[^\\s\\u200b\\/\\-\\u2010-\\u2014_]+/g)) {
      range.setStart(node, word.index); range.setEnd(node, word.index + word[0].length);
      const tops = [...range.getClientRects()].filter(r => r.width > 0).map(r => r.top);
      if (word[0].length <= 24 && tops.length && Math.max(...tops) - Math.min(...tops) > 4) broken.push(word[0]);
    }
  }
  return broken;
}"""
FIELD = 'section[data-field="RP-4"]'


def _shown(page: Any) -> Any:
    """The section of a field, drawn."""
    section = page.locator(FIELD)
    section.scroll_into_view_if_needed()
    section.locator("svg.field").wait_for()
    return section


def test_page_asks_for_nothing_and_fits_a_phone(opener: Opener) -> None:
    """One address, the file itself; no error; no sideways scrolling, even with everything drawn."""
    page = opener()
    page.evaluate(TO_THE_END)
    assert len(page.seen) == 1
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_numbers_are_those_of_the_plan(opener: Opener, written: Path) -> None:
    """Plantable acres of every field, and every leg of the route."""
    page = opener()
    page.evaluate(TO_THE_END)
    for field in json.loads((written / "plan.json").read_text(encoding="utf-8"))["fields"]:
        section = page.locator(f'section[data-field="{field["field_id"]}"]')
        assert f"{field['area']['plantable_m2'] / ACRE_M2:.2f} plantable acres" in section.inner_text()
        assert int(section.locator("input").get_attribute("max")) == len(field["legs"])


@pytest.mark.parametrize("width", [390, 600, 768])
def test_no_word_or_number_of_a_cell_is_broken(opener: Opener, width: int) -> None:
    """Of words up to 24 letters, at the width of phones and tablets."""
    page = opener(width)
    page.evaluate(TO_THE_END)
    assert page.locator("td").count() > 500
    assert page.evaluate(BROKEN) == []


def test_map_plays_zooms_and_pans_by_keyboard(opener: Opener) -> None:
    """The slider tells each leg, keys move the view, 0 brings the whole field back; lines keep their width."""
    page = opener()
    section = _shown(page)
    section.locator("input").fill("12")
    assert section.locator(".caption").inner_text().startswith("12 of ")
    assert section.locator("input").get_attribute("aria-valuetext").startswith("12 of ")
    assert section.locator("path.driven").get_attribute("d").count("M") >= 11
    svg, zoomed = section.locator("svg.field"), section.locator(".zoom")
    bar, whole = section.locator(".fix text").nth(1).text_content(), zoomed.get_attribute("transform")
    svg.focus()
    for key in ("+", "+", "+", "ArrowRight"):
        page.keyboard.press(key)
    assert zoomed.get_attribute("transform") != whole
    assert section.locator(".fix text").nth(1).text_content() != bar
    size = "e => e.getBoundingClientRect().height"
    gate = section.locator("path.gate").first
    close = gate.evaluate(size)
    page.keyboard.press("0")
    assert zoomed.get_attribute("transform") == whole
    assert gate.evaluate(size) == pytest.approx(close, abs=0.5)
    assert gate.evaluate("e => getComputedStyle(e).vectorEffect") == "non-scaling-stroke"


def test_a_map_does_not_hold_the_scroll_of_the_page(opener: Opener) -> None:
    """The wheel, and a finger on a map that is closer too, move the page."""
    page = opener(390, has_touch=True, is_mobile=True)
    section = _shown(page)
    section.locator("[data-do=in]").click()
    wire = page.context.new_cdp_session(page)
    page.locator(f"{FIELD} svg.field").evaluate("e => e.scrollIntoView({block: 'center'})")
    before = page.evaluate("scrollY")
    touch = "Input.dispatchTouchEvent"
    wire.send(touch, {"type": "touchStart", "touchPoints": [{"x": 195, "y": 500}]})
    for step in range(1, 12):
        wire.send(touch, {"type": "touchMove", "touchPoints": [{"x": 195, "y": 500 - 20 * step}]})
    wire.send(touch, {"type": "touchEnd", "touchPoints": []})
    page.wait_for_timeout(300)
    assert page.evaluate("scrollY") - before > 100
    wide = opener(1280)
    _shown(wide).locator("svg.field").hover()
    before = wide.evaluate("scrollY")
    wide.mouse.wheel(0, 600)
    wide.wait_for_timeout(300)
    assert wide.evaluate("scrollY") - before > 300


def test_two_fingers_bring_the_map_closer(opener: Opener) -> None:
    """Apart by twice as much: twice as close."""
    page = opener(390, has_touch=True, is_mobile=True)
    section = _shown(page)
    page.locator(f"{FIELD} svg.field").evaluate("e => e.scrollIntoView({block: 'center'})")
    wire = page.context.new_cdp_session(page)
    for kind, apart in (("touchStart", 40), ("touchMove", 60), ("touchMove", 80)):
        points = [{"x": 195 - apart, "y": 400, "id": 0}, {"x": 195 + apart, "y": 400, "id": 1}]
        wire.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    wire.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    scale = section.locator(".zoom").get_attribute("transform").split("scale(")[1].rstrip(")")
    assert float(scale) == pytest.approx(2.0, abs=0.05)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_rule_of_accessibility_is_broken(opener: Opener, scheme: str) -> None:
    """By axe-core, which checks WCAG 2 and common practice."""
    axe = pytest.importorskip("axe_playwright_python.base", reason="axe-playwright-python is not installed")
    page = opener(color_scheme=scheme)
    page.evaluate(TO_THE_END)
    page.evaluate(axe.AXE_SCRIPT)
    found = page.evaluate("axe.run()")
    assert [(one["id"], one["nodes"][0]["html"][:80]) for one in found["violations"]] == []
    assert len(found["passes"]) > 20


def test_without_script_all_maps_and_tables_are_there(opener: Opener) -> None:
    """As a mail program shows the file: nothing to press, and what is missing is said."""
    page = opener(java_script_enabled=False)
    assert page.locator("svg.field").count() == 7
    assert page.locator("table").count() == 21
    assert page.locator("button, input:visible").count() == 0
    assert NO_SCRIPT in page.locator("header").inner_text()


def test_printing_draws_everything_and_no_controls(opener: Opener) -> None:
    """Straight after opening, without scrolling; each field begins a page."""
    page = opener(1000)
    made = page.pdf(format="Letter")
    assert page.locator("svg.field").count() == 7
    page.emulate_media(media="print")
    assert page.locator("button:visible, input:visible").count() == 0
    pages = [one.extract_text() for one in PdfReader(BytesIO(made)).pages]
    for n in range(1, 8):
        assert sum(text.lstrip().startswith(f"RP-{n} ") for text in pages) >= 1
    assert "What to pour in" in "".join(pages)


def test_where_am_i_names_the_pass_and_how_far_off_its_line(opener: Opener) -> None:
    """1 m to the left of pass 37 as it is driven, by the plane of the plan; the accuracy of the device is said."""
    job = load_job(SAMPLES / "restoration.toml")
    plan = plan_job(load_fields(SAMPLES / "restoration.zip"), job, today=TODAY)
    field = next(one for one in plan.fields if one.field.field_id == "RP-4")
    line = next(one.leg.line for one in field.time.legs if (one.leg.kind, one.leg.number) == ("pass", 37))
    beside = line.parallel_offset(1.0, "left").interpolate(0.4, normalized=True)
    lon, lat = frame_near(field.field.ground).point_to_lonlat(beside.x, beside.y)
    here = {"longitude": lon, "latitude": lat, "accuracy": 4}
    page = opener(geolocation=here, permissions=["geolocation"])
    section = _shown(page)
    section.locator("[data-do=where]").click()
    said = section.locator(".position")
    said.get_by_text("pass 37").wait_for()
    assert said.inner_text().startswith("3 ft left of the line of pass 37.")
    assert "may be 13 ft off" in said.inner_text()
    assert "look at the ground" in said.inner_text()
    assert "pass 37" in section.locator(".caption").inner_text()


def test_without_position_the_reason_is_said(opener: Opener) -> None:
    """Not allowed: the button goes back to what it was."""
    section = _shown(opener())
    section.locator("[data-do=where]").click()
    section.locator(".position").get_by_text("gets no position (it was not allowed)").wait_for()
    assert section.locator("[data-do=where]").get_attribute("aria-pressed") == "false"


def test_done_marks_stay_and_what_is_left_is_right(opener: Opener, written: Path) -> None:
    """Half of the legs: acres left are the length of the others times the drill's width; so after opening it again."""
    plan = json.loads((written / "plan.json").read_text(encoding="utf-8"))
    field = next(one for one in plan["fields"] if one["field_id"] == "RP-4")
    legs, drilled_m2 = field["legs"], field["area"]["drilled_m2"]
    page = opener()
    section = _shown(page)
    assert section.locator(".left").inner_text().startswith(f"Left: {drilled_m2 / ACRE_M2:.2f} acres")
    n = len(legs) // 2
    section.locator("input").fill(str(n))
    section.locator("[data-do=done]").click()
    sown_m = [
        sum(leg["length_m"] for leg in some if leg["kind"] in ("pass", "headland"))
        for some in (legs, legs[n:])
    ]
    expected = f"Left: {drilled_m2 * sown_m[1] / sown_m[0] / ACRE_M2:.2f} acres"
    assert section.locator(".left").inner_text().startswith(expected)
    page.reload()
    section = _shown(page)
    assert section.locator(".left").inner_text().startswith(expected)
    assert f"{n} of {len(legs)} legs" in section.locator(".kept").inner_text()
    assert "% done" in page.locator(".fields li").nth(3).inner_text()


def test_without_storage_the_page_says_that_marks_go(opener: Opener, written: Path, tmp_path: Path) -> None:
    """In a frame that allows scripts alone, as a mail program may show it."""
    html = escape((written / "plan.html").read_text(encoding="utf-8"))
    frame = tmp_path / "frame.html"
    style = "width:390px;height:800px"
    frame.write_text(
        f'<iframe sandbox="allow-scripts" style="{style}" srcdoc="{html}"></iframe>', encoding="utf-8"
    )
    section = _shown(opener(path=frame).frames[1])
    assert "keeps no marks" in section.locator(".kept").inner_text()


def test_a_field_is_found_by_its_name_from_anywhere(opener: Opener) -> None:
    """A part of the name, Enter, and its section stands at the top; the list is a link away."""
    page = opener()
    page.evaluate("scrollTo(0, document.documentElement.scrollHeight)")
    page.locator("nav input").fill("kettle")
    assert page.locator("nav .matches a").all_inner_texts() == ["RP-4 Sedge Kettle"]
    page.keyboard.press("Enter")
    page.wait_for_timeout(400)
    assert abs(page.locator(f"{FIELD} h2").bounding_box()["y"] - 70) < 60
    page.locator("nav input").fill("nowhere")
    assert page.locator("nav .found").inner_text() == "no such field"
    assert page.locator("nav a").first.get_attribute("href") == "#fields"
    assert page.locator("nav a").first.is_visible()


def test_sixty_fields_open_at_once(browser: Any, tmp_path: Path) -> None:
    """Nine times seven fields on a processor four times slower: under 1.5 s and 20,000 nodes."""
    job = load_job(SAMPLES / "restoration.toml")
    plan = plan_job(load_fields(SAMPLES / "restoration.zip"), job, today=TODAY)
    path = tmp_path / "plan.html"
    path.write_text(
        html_page(replace(plan, fields=plan.fields * 9), "many", Quantities("us")), encoding="utf-8"
    )
    took = []
    for _ in range(2):  # the better of two: other work may run beside
        context = browser.new_context(
            viewport={"width": 390, "height": 844}, is_mobile=True, has_touch=True
        )
        page = context.new_page()
        context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": 4})
        start = time.perf_counter()
        page.goto(path.as_uri())
        page.evaluate("new Promise(r => requestAnimationFrame(() => requestAnimationFrame(r)))")
        took.append(time.perf_counter() - start)
        assert page.evaluate("document.querySelectorAll('*').length") < 20_000
        assert page.locator("section[data-field]").count() == 63
        context.close()
    assert min(took) < 1.5
