"""Where, as a newcomer does it: by mouse, by keyboard alone, by touch; files dropped and asked about."""

from __future__ import annotations

import re
import urllib.error
import urllib.request
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from boundary_builders import SQUARE, geojson, in_crs, moved, shapefile

from fieldplan.boundary.acreage import geodesic_area_m2
from fieldplan.boundary.load import load_fields
from fieldplan.units import ACRE_M2, FOOT_M
from fieldplan.web.drawing import destination, drawn_area_m2
from fieldplan.web.tiles import NATIONAL_MAP

AXE = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
SQUARE_ACRES = f"{geodesic_area_m2(SQUARE) / ACRE_M2:.2f}"
ON_MAP = ((0.25, 0.25), (0.75, 0.3), (0.7, 0.8), (0.3, 0.7))
Open = Callable[..., Any]


@pytest.fixture
def desk(browser: Any, desk_served: tuple[str, Path]) -> Iterator[Open]:
    """Begins a job in a window; what it asks for from elsewhere, and its errors, are in ``page.seen``."""
    address, folder = desk_served
    contexts = []

    def opened(name: str, width: int = 1280, **options: Any) -> Any:
        context = browser.new_context(viewport={"width": width, "height": 900}, **options)
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(15_000)
        page.seen = []
        page.on("request", lambda asked: page.seen.append(asked.url) if _elsewhere(asked.url) else None)
        page.on("pageerror", lambda error: page.seen.append(str(error)))
        page.checked = False
        page.on("console", lambda said: page.seen.append(said.text) if _is_fault(said, page) else None)
        page.route(re.compile(r"^https?://(?!127\.0\.0\.1)"), lambda route: route.abort())
        page.goto(address)
        page.get_by_label("Name of a new job").fill(name)
        page.get_by_role("button", name="Begin").click()
        page.locator(".g-map.leaflet-container").wait_for()
        page.folder = folder / name
        return page

    def _is_fault(said: Any, page: Any) -> bool:
        own_style = page.checked and said.text.startswith(
            "Applying inline style"
        )  # of the checker: the policy holds
        return said.type == "error" and not own_style

    def _elsewhere(url: str) -> bool:
        return not url.startswith((address, "data:", "blob:"))

    yield opened
    for context in contexts:
        context.close()


def said(page: Any, text: str | re.Pattern[str]) -> str:
    """What is read out, once it has a text in it."""
    status = page.locator(".where-said", has_text=text)
    status.wait_for()
    return str(status.inner_text())


def go_to(page: Any, place: str) -> None:
    """Center the map."""
    page.get_by_label("Go to latitude, longitude").fill(place)
    page.keyboard.press("Enter")
    said(page, "The map shows")


def at(page: Any, x: float, y: float) -> tuple[float, float]:
    """A spot of the map on the screen, from shares of its width and height."""
    page.locator(".g-map").evaluate("one => one.scrollIntoView({ block: 'center' })")
    box = page.locator(".g-map").bounding_box()
    return box["x"] + x * box["width"], box["y"] + y * box["height"]


def draw(page: Any, *spots: tuple[float, float], touch: bool = False) -> None:
    """Click or tap corner after corner."""
    for n, spot in enumerate(spots, start=1):
        (page.touchscreen.tap if touch else page.mouse.click)(*at(page, *spot))
        said(page, re.compile(rf": {n} points?"))


def saved(page: Any) -> Any:
    """The fields as the command line reads them from the job's folder, once all is saved."""
    page.get_by_text("All saved").wait_for()
    return load_fields(page.folder / "fields.gpkg").fields


def acres(text: str) -> float:
    """The acres in a text."""
    return float(re.search(r"([\d,]+\.\d+) acres", text)[1].replace(",", ""))  # type: ignore[index]


def rules_broken(page: Any) -> list[str]:
    """Rules of accessibility that are broken in this part: name, and where."""
    from axe_playwright_python.sync_playwright import Axe

    page.checked = True
    found = Axe().run(page, context=".where", options={"runOnly": AXE}).response["violations"]
    return [f"{one['id']}: {node['target']}" for one in found for node in one["nodes"]]


def test_a_newcomer_draws_a_field(desk: Open) -> None:
    """Four clicks, acres while drawing, Finish; a corner dragged; undone; the file has the acres that were said."""
    page = desk("by mouse")
    go_to(page, "44.2035, -95.695")
    page.get_by_label("Field outline").check()
    draw(page, *ON_MAP)
    drawn = acres(said(page, "4 points"))
    page.get_by_role("button", name="Finish").click()
    assert acres(said(page, "Field 1, field")) == drawn
    (field,) = saved(page)
    assert field.mapped_m2 / ACRE_M2 == pytest.approx(drawn, abs=0.005)
    page.mouse.move(*at(page, *ON_MAP[2]))
    page.mouse.down()
    page.mouse.move(*at(page, 0.85, 0.9), steps=6)
    page.mouse.up()
    page.wait_for_function(  # while it is dragged nothing is said of points
        f"/, 4 points/.test(document.querySelector('.where-said').innerText) && !document.querySelector('.where-said').innerText.includes('{drawn:.2f}')"
    )
    larger = acres(said(page, "4 points"))
    assert larger > drawn
    (field,) = saved(page)
    assert field.mapped_m2 / ACRE_M2 == pytest.approx(larger, abs=0.005)
    page.get_by_role("button", name="Undo", exact=True).click()
    said(page, f"{drawn:.2f} acres")
    assert page.seen == []


def test_keyboard_alone_does_all_of_it(desk: Open) -> None:
    """A field by bearings and distances, a pond by coordinates, a gate, a split: without a mouse, acres read out."""
    page = desk("by keyboard")

    def choose(label: str) -> None:
        page.get_by_label(label, exact=True).focus()
        page.keyboard.press("Space")
        said(page, re.compile(": 0 points"))  # the boxes have been drawn anew

    def place(text: str) -> None:
        page.get_by_label("Latitude, longitude", exact=True).focus()
        page.keyboard.type(text)
        page.keyboard.press("Enter")

    def along(bearing: str, distance: str) -> None:
        for label, text in (("True bearing", bearing), ("Distance", distance)):
            page.get_by_label(label, exact=True).focus()
            page.keyboard.press("Control+a")
            page.keyboard.type(text)
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")

    def press(name: str) -> None:
        page.get_by_role("button", name=name, exact=True).focus()
        page.keyboard.press("Enter")

    def finish() -> None:
        press("Finish")  # the button goes, and the next choice has the focus
        page.wait_for_function(
            "document.activeElement.parentElement.textContent.includes('Choose and move')"
        )

    choose("Field outline")
    place("44.2, -95.7")
    said(page, "1 point")
    corners = [(-95.7, 44.2)]
    for n, (bearing, deg) in enumerate((("0", 0.0), ("N 90 E", 90.0), ("180", 180.0)), start=2):
        along(bearing, "1320 ft")
        said(page, f"{n} points")
        corners.append(destination(corners[-1], deg, 1320 * FOOT_M))
    expected = drawn_area_m2(corners) / ACRE_M2
    assert acres(said(page, "4 points")) == pytest.approx(expected, abs=0.005)
    assert expected == pytest.approx(40.0, abs=0.01)  # a quarter of a quarter section
    finish()
    said(page, "Field 1, field")
    choose("Area not planted")
    for text in ("44.201, -95.699", "44.201, -95.698", "44.202, -95.698"):
        place(text)
    said(page, "3 points")
    finish()
    said(page, "not planted")
    choose("Gate")
    place("44.2, -95.699")
    said(page, "to plant")
    choose("Split a field")
    for text in ("44.203, -95.701", "44.203, -95.69"):
        place(text)
    said(page, "2 points")
    finish()
    page.get_by_role("button", name="Field 1 2").wait_for()
    page.get_by_text("Points (4)").focus()
    page.wait_for_function("document.activeElement.matches('.where-table > summary')")
    page.keyboard.press("Enter")
    page.wait_for_function("document.querySelector('.where-table').open")
    press("Delete point 2")
    page.get_by_text("Points (3)").wait_for()
    page.wait_for_function("document.activeElement.ariaLabel === 'Delete point 2'")
    page.locator(".g-map").focus()
    page.keyboard.press("Control+z")
    page.get_by_text("Points (4)").wait_for()
    first, second = saved(page)
    assert (first.mapped_m2 + second.mapped_m2) / ACRE_M2 == pytest.approx(expected, abs=0.005)
    assert first.gate_lonlat == pytest.approx((-95.699, 44.2), abs=1e-6)
    page.get_by_label("Join with").wait_for()
    page.get_by_label("Join with").select_option(index=1)
    page.get_by_role("button", name="Field 1 2").wait_for(state="detached")
    (whole,) = saved(page)
    assert whole.mapped_m2 / ACRE_M2 == pytest.approx(expected, abs=0.005)
    assert page.seen == []


def test_points_at_the_cross(desk: Open) -> None:
    """On the map itself Enter puts a point at the cross, arrows move it, Backspace takes it back."""
    page = desk("at the cross")
    go_to(page, "44.2035, -95.695")
    page.get_by_label("Field outline").check()
    page.locator(".g-map").focus()
    for n, key in enumerate(("", "ArrowRight", "ArrowDown"), start=1):
        if key:
            page.keyboard.press(key)
        page.keyboard.press("Enter")
        said(page, re.compile(rf": {n} points?"))
    assert acres(said(page, "3 points")) > 0
    page.keyboard.press("Backspace")
    said(page, "2 points")
    page.keyboard.press("Escape")
    said(page, "No field yet")
    assert page.seen == []


def test_a_shapefile_without_prj_is_answered_by_a_click(desk: Open, tmp_path: Path) -> None:
    """Its places stand on the map by number; the one where the farm is, clicked, shows the acres at once."""
    path = shapefile(tmp_path / "north.shp", in_crs(SQUARE, 32615), crs=32615, without=(".prj",))
    page = desk("without prj")
    page.get_by_label("Boundary files").set_input_files(sorted(tmp_path.glob("north.*")))
    page.get_by_role("heading", name="A question about north.shp").wait_for()
    assert rules_broken(page) == []
    right = page.get_by_role("button", name="UTM zone 15N: at 44.20")
    number = right.evaluate("one => [...one.closest('ol').children].indexOf(one.closest('li')) + 1")
    page.locator(".g-number", has_text=re.compile(rf"^{number}$")).click()
    assert f"{SQUARE_ACRES} acres" in said(page, "north.shp: 1 field")
    page.get_by_role("table", name="On the map").get_by_text(SQUARE_ACRES).first.wait_for()
    assert page.get_by_role("heading", name="A question").count() == 0
    (field,) = saved(page)
    assert f"{field.mapped_m2 / ACRE_M2:.2f}" == SQUARE_ACRES
    assert path.exists()
    assert page.seen == []


def test_a_click_near_the_farm_finds_the_zone(desk: Open, tmp_path: Path) -> None:
    """Numbers of a state's zone: a place near it, clicked on the map, brings up the zones used there."""
    shapefile(tmp_path / "n.shp", in_crs(SQUARE, 2812), crs=2812, without=(".prj",))
    page = desk("near it")
    page.get_by_label("Boundary files").set_input_files(sorted(tmp_path.glob("n.*")))
    page.get_by_role("heading", name="A question").wait_for()
    go_to(page, "44.25, -95.75")
    page.mouse.click(*at(page, 0.5, 0.5))
    page.get_by_role("button", name="NAD83 / Minnesota South").click()
    assert f"{SQUARE_ACRES} acres" in said(page, "n.shp: 1 field")


def test_a_zip_dropped_on_the_map(desk: Open, tmp_path: Path) -> None:
    """Two fields and their acres without another click and without a job; undone in one step; fields overlap: asked."""
    shapefile(tmp_path / "two.shp", SQUARE, moved(SQUARE, 0.02), name=["<b>north</b>", "south"])
    with zipfile.ZipFile(tmp_path / "two.zip", "w") as archive:
        for part in tmp_path.glob("two.*"):
            if part.suffix != ".zip":
                archive.write(part, part.name)
    page = desk("dropped")
    transfer = page.evaluate_handle(
        """([name, bytes]) => { const t = new DataTransfer(); t.items.add(new File([new Uint8Array(bytes)], name)); return t; }""",
        ["two.zip", list((tmp_path / "two.zip").read_bytes())],
    )
    page.dispatch_event(".g-map", "drop", {"dataTransfer": transfer})
    total = f"{(geodesic_area_m2(SQUARE) + geodesic_area_m2(moved(SQUARE, 0.02))) / ACRE_M2:.2f}"
    assert f"2 fields, {total} acres" in said(page, "two.zip")
    page.get_by_text("<b>north</b>").first.wait_for()
    assert page.locator(".g-name b").count() == 0
    page.get_by_role("button", name="Undo", exact=True).click()
    said(page, "No field yet")
    geojson(tmp_path / "o.geojson", SQUARE, moved(SQUARE, 0.005))
    page.get_by_label("Boundary files").set_input_files(tmp_path / "o.geojson")
    page.get_by_role("button", name="Leave shared ground to the field that comes first").click()
    said(page, "o.geojson: 2 fields")
    assert sum(one.mapped_m2 for one in saved(page)) / geodesic_area_m2(SQUARE) == pytest.approx(
        1.5, abs=1e-4
    )
    assert page.seen == []


def test_on_a_phone(desk: Open) -> None:
    """Tapped corner by corner; nothing is wider than the screen; every target can be hit with a finger."""
    page = desk("by touch", width=360, has_touch=True, is_mobile=True, color_scheme="dark")
    go_to(page, "44.2035, -95.695")
    page.get_by_label("Field outline").tap()
    draw(page, *ON_MAP, touch=True)
    page.get_by_role("button", name="Finish").tap()
    assert acres(said(page, "Field 1, field")) > 0
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    page.get_by_text("Points (4)").tap()
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert rules_broken(page) == []
    assert page.seen == []


def test_no_rule_of_accessibility_is_broken(desk: Open, tmp_path: Path) -> None:
    """While drawing, with a field chosen, and with what is not planted chosen."""
    page = desk("for anyone")
    page.get_by_label("Boundary files").set_input_files(geojson(tmp_path / "a.geojson", SQUARE))
    said(page, "a.geojson: 1 field")
    page.get_by_text("Points (4)").click()
    assert rules_broken(page) == []
    page.get_by_label("Spot not planted").check()
    page.get_by_label("Distance to keep from it").fill("60 ft")
    assert rules_broken(page) == []
    page.mouse.click(*at(page, 0.5, 0.5))
    said(page, "1 point")
    page.get_by_text("(ground not planted)").wait_for()
    assert rules_broken(page) == []
    assert page.seen == []


def test_a_reload_in_the_middle_of_drawing(desk: Open) -> None:
    """Three corners are there again after the page was loaded anew, and the field is finished from there."""
    page = desk("reloaded")
    go_to(page, "44.2035, -95.695")
    page.get_by_label("Field outline").check()
    draw(page, *ON_MAP[:3])
    before = acres(said(page, "3 points"))
    page.reload()
    assert acres(said(page, "3 points")) == before
    page.get_by_role("button", name="Finish").click()
    assert acres(said(page, "Field 1, field")) == before
    page.reload()
    assert "1 field, " in said(page, f"{before:.2f} acres")
    assert page.seen == []


def test_many_fields(desk: Open, tmp_path: Path) -> None:
    """Two hundred fields of a file: acres in all, the list in pages, the chosen one shown."""
    shapes = [moved(SQUARE, 0.011 * (k % 20), 0.008 * (k // 20)) for k in range(200)]
    page = desk("many")
    page.get_by_label("Boundary files").set_input_files(geojson(tmp_path / "many.geojson", *shapes))
    total = f"{sum(map(geodesic_area_m2, shapes)) / ACRE_M2:,.2f}"
    assert f"200 fields, {total} acres" in said(page, "many.geojson")
    page.get_by_text("1 to 40 of 200").wait_for()
    page.get_by_role("button", name="Those after").click()
    page.get_by_role("button", name="north 41", exact=True).click()
    said(page, "north 41, field")
    assert page.seen == []


def test_what_cannot_be_used_is_said(desk: Open, tmp_path: Path) -> None:
    """A picture, a program, and a line without a width: in words, and the page goes on."""
    page = desk("refused")
    (tmp_path / "photo.geojson").write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(100))
    page.get_by_label("Boundary files").set_input_files(tmp_path / "photo.geojson")
    page.locator(".where-question", has_text="photo.geojson: is a picture or a printed page").wait_for()
    page.get_by_role("button", name="Leave this file out").click()
    said(page, "No field yet")
    go_to(page, "44.2035, -95.695")
    page.get_by_label("Spot not planted").check()
    page.mouse.click(*at(page, 0.5, 0.5))
    page.locator(".where-wrong", has_text="takes up ground only with a set-back").wait_for()
    assert page.seen == []


def test_tiles_are_asked_for_only_when_turned_on(desk: Open) -> None:
    """Nothing leaves the machine until the person says so; then only images of the named service, which is named on
    the map; off again, nothing.
    """
    page = desk("tiles")
    go_to(page, "44.2035, -95.695")
    assert page.seen == []
    with page.expect_request(re.compile(re.escape(NATIONAL_MAP.origin))):
        page.get_by_role("button", name="Aerial images: off").click()
    page.get_by_role("button", name="Aerial images: on").wait_for()
    page.get_by_text(NATIONAL_MAP.attribution).wait_for()
    asked = [one for one in page.seen if one.startswith("http")]
    assert asked
    assert all(one.startswith(f"{NATIONAL_MAP.origin}/") for one in asked)
    page.get_by_text("Some images did not come").wait_for()  # none do here
    page.seen.clear()
    page.get_by_role("button", name="Aerial images: on").click()
    page.get_by_role("button", name="Aerial images: off").wait_for()
    assert page.seen == []


def test_nobody_else_can_send_files(desk_served: tuple[str, Path], desk: Open, tmp_path: Path) -> None:
    """A guessed address takes nothing, and neither does the right one from another website or far too much."""
    address, _ = desk_served
    page = desk("guarded")
    with page.expect_request(re.compile("/desk/drop/")) as sent:
        page.get_by_label("Boundary files").set_input_files(geojson(tmp_path / "own.geojson", SQUARE))
    right = sent.value.url.removeprefix(address.rstrip("/"))
    said(page, "own.geojson")

    def status(path: str, origin: str | None, body: bytes = b"") -> int:
        headers = {"Content-Type": "multipart/form-data; boundary=x"} | (
            {"Origin": origin} if origin else {}
        )
        asked = urllib.request.Request(address.rstrip("/") + path, data=body, headers=headers)
        try:
            with urllib.request.urlopen(asked, timeout=20) as answer:
                return int(answer.status)
        except urllib.error.HTTPError as error:
            return error.code

    own = address.rstrip("/")
    part = b'--x\r\nContent-Disposition: form-data; name="file"; filename="../../a.geojson"\r\n\r\n{}\r\n--x--\r\n'
    assert status("/desk/drop/guessed", own, part) == 404
    assert status(right, "http://evil.example", part) == 403
    assert status(right, None, part) == 403
    assert status(right, own, b"nonsense") == 400
    assert status(right, own, part) == 204
    page.locator(".where-question", has_text="a.geojson").wait_for()


def test_fields_far_apart_are_found_by_marks(desk: Open) -> None:
    """Fields that are specks at this zoom have a mark each, which chooses them; nearer they have their outlines alone."""
    page = desk("far apart")
    go_to(page, "44.2, -95.7")
    page.get_by_label("Field outline").check()
    draw(page, (0.3, 0.3), (0.7, 0.3), (0.7, 0.6), (0.3, 0.6))
    page.get_by_role("button", name="Finish").click()
    page.locator(".g-map path.g-fields").wait_for()
    assert page.locator(".g-spot").count() == 0
    for _ in range(9):
        page.get_by_role("button", name="Farther").click()
    page.locator(".g-spot").wait_for()
    assert page.locator(".leaflet-tooltip.g-name").count() == 1
    page.get_by_label("Choose and move").check()
    page.locator(".g-spot").click()
    page.locator(".g-spot.g-chosen").wait_for()
    for _ in range(9):
        page.get_by_role("button", name="Nearer").click()
    page.locator(".g-spot").wait_for(state="detached")
    assert page.seen == []


@pytest.mark.parametrize("width", [390, 1366])
def test_numbers_of_the_grid_never_lie_over_each_other(desk: Open, width: int) -> None:
    """At many places and zooms: each stands free, inside the map and clear of its buttons."""
    page = desk(f"grid {width}", width)
    go_to(page, "35.8273, -103.3381")
    for step in range(14):
        page.get_by_role("button", name="Farther" if step % 3 else "Nearer").click()
        page.locator(".g-map").focus()
        page.keyboard.press("ArrowUp" if step % 2 else "ArrowRight")
        overlaps = page.evaluate(
            """() => {
              const inside = document.querySelector('.g-map').getBoundingClientRect();
              const boxes = [...document.querySelectorAll('.g-grid-text > span, .leaflet-control-zoom')].map((one) => one.getBoundingClientRect());
              const over = (a, b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
              const pairs = boxes.flatMap((a, k) => boxes.slice(k + 1).filter((b) => over(a, b)));
              return [boxes.length, pairs.length, boxes.filter((a) => a.right > inside.right + 1 || a.left < inside.left - 1).length];
            }"""
        )
        assert overlaps[0] > 3
        assert overlaps[1:] == [0, 0], (step, overlaps)
