"""The form of the job, what if and the files to take along, in a real browser: by mouse, by keyboard alone, on a phone."""

from __future__ import annotations

import json
import re
import time
import tomllib
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
import shapely
from conftest import SAMPLES
from pypdf import PdfReader

from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.jobfile.load import load_job, read_toml
from fieldplan.web.draft import Draft, Drawn
from fieldplan.web.jobs import Jobs
from fieldplan.web.written import drawn_of

pytest.importorskip("nicegui", reason="the extra web is not installed")
LONG_MS = 120_000
"""As long as a plan may take on a machine that does other work too."""


@dataclass(frozen=True)
class Served:
    """A server, and the folder of its jobs."""

    address: str
    jobs: Jobs

    def begun(self, name: str, ground: tuple[Drawn, ...] = (), tables: Any = None) -> Path:
        """A job that somebody began; its folder."""
        self.jobs.save(name, Draft(ground=ground, tables=tables or {}), revision=0)
        return self.jobs.folder_of(name)


@pytest.fixture(scope="module")
def served(desk_served: tuple[str, Path]) -> Served:
    """The server that other files have too."""
    address, folder = desk_served
    return Served(address, Jobs(folder))


Opened = Callable[..., Any]


@pytest.fixture
def opened(browser: Any, served: Served) -> Iterator[Opened]:
    """Opens the page of a job; what it asks for off this machine and its errors are in ``page.seen``."""
    contexts = []
    here = (served.address, "blob:", "data:", "chrome")  # the browser shows PDF by an extension of its own

    def open_job(name: str, width: int = 1100, height: int = 1000, **options: Any) -> Any:
        context = browser.new_context(
            viewport={"width": width, "height": height}, accept_downloads=True, **options
        )
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(LONG_MS)
        page.seen = []
        page.on(
            "request",
            lambda request: None if request.url.startswith(here) else page.seen.append(request.url),
        )
        page.on("pageerror", lambda error: page.seen.append(str(error)))
        page.on("console", lambda said: page.seen.append(said.text) if said.type == "error" else None)
        page.goto(f"{served.address}job/{name}")
        page.locator("#i-standing").wait_for()
        return page

    yield open_job
    for context in contexts:
        assert [page.seen for page in context.pages if page.seen] == []
        context.close()


def ground(name: str, *only: str) -> tuple[Drawn, ...]:
    """The fields of a sample as a draft has them; all, or those of some ids."""
    drawn = drawn_of(load_fields(SAMPLES / name, ReadingTerms(), ()))
    return tuple(one for one in drawn if not only or one.attributes.get("id") in only)


def box(page: Any, label: str) -> Any:
    """The box with a label."""
    return page.get_by_label(label, exact=True)


def becomes_saved(page: Any, folder: Path, expected: Any, *keys: str) -> None:
    """The job file, or what stands there under some keys, is what is expected as soon as all is saved."""

    def now() -> Any:
        try:
            said: Any = tomllib.loads((folder / "job.toml").read_text(encoding="utf-8"))
        except FileNotFoundError:  # it is being exchanged
            return None
        for key in keys:
            said = said.get(key, {})
        return said

    until_s = time.monotonic() + LONG_MS / 1000
    while now() != expected and time.monotonic() < until_s:
        page.wait_for_timeout(20)
    assert now() == expected
    page.get_by_text("All saved").wait_for()


def test_a_newcomer_fills_in_a_drill_and_a_mix_from_nothing(served: Served, opened: Opened) -> None:
    """From an empty form to days to book; the job file that is saved is what was typed, and the command line reads it."""
    folder = served.begun("newcomer", ground("farm.geojson", "ell"))
    page = opened("newcomer")
    box(page, "What people call it").fill("rented drill")
    box(page, "Openers").fill("16")
    box(page, "From one opener to the next").fill("7.5")
    box(page, "Tightest turn, drill lifted").fill("20 ft")
    page.get_by_text("The drill is 10.0 ft wide.").wait_for()
    page.get_by_role("button", name="Add a native box").click()
    page.locator("#drill-box-0-volume:focus").fill("18")
    page.get_by_role("button", name="Add a mix").click()
    page.locator("#mix-0-name:focus").fill("meadow")
    box(page, "Species").fill("pavi")
    page.get_by_role("button", name="switchgrass").click()
    page.get_by_text("switchgrass (Panicum virgatum, PAVI2)").wait_for()
    box(page, "Box").select_option("native")
    box(page, "Rate").fill("6")
    page.keyboard.press("Tab")
    assert page.locator(":focus option:checked").inner_text() == "pounds of pure live seed an acre"
    for label, typed in (
        ("Pure seed", "97"),
        ("Germination", "56"),
        ("Dormant seed", "34"),
        ("Weight by volume", "50"),
    ):
        box(page, label).fill(typed)
    assert page.locator("#i-standing").inner_text() != "Everything that a plan needs is filled in."
    box(page, "Days fit for fieldwork").fill("55")
    page.get_by_text("Everything that a plan needs is filled in.").wait_for()
    page.locator("#o-make-cover:not([disabled])").wait_for()
    becomes_saved(
        page,
        folder,
        {
            "drill": {
                **{"name": "rented drill", "rows": 16, "row_spacing": "7.5 in", "turning_radius": "20 ft"},
                "box": [{"name": "native", "kind": "native", "volume": "18 ft3"}],
            },
            "mix": [
                {
                    "name": "meadow",
                    "component": [
                        {
                            **{
                                "species": "switchgrass",
                                "box": "native",
                                "rate": "6 lb/ac PLS",
                                "purity": "97 %",
                            },
                            **{"germination": "56 %", "dormant": "34 %", "bulk_weight": "50 lb/bu"},
                        }
                    ],
                }
            ],
            "booking": {"fieldwork_day_chance": "55 %"},
        },
    )
    assert load_job(folder / "job.toml").drill.effective_width_m == pytest.approx(3.048)


def test_what_is_wrong_stands_beside_its_box_and_is_gone_when_it_is_mended(
    served: Served, opened: Opened
) -> None:
    """As it is typed; what was probably meant is a button; what is right all the same can be confirmed."""
    folder = served.begun("wrong", tables={"drill": {"rows": 16}})
    page = opened("wrong")
    spacing, said = box(page, "From one opener to the next"), page.locator("#m-drill-row_spacing")
    spacing.fill("7 ft")
    said.get_by_text("can hardly be right: 4 in to 40 in is likely").wait_for()
    assert spacing.get_attribute("aria-invalid") == "true"
    assert (
        page.locator("#i-standing").inner_text().startswith("For a plan the job still has 1 thing to mend")
    )
    said.get_by_role("button", name="Take 7 in").click()
    page.wait_for_function("document.querySelector('#m-drill-row_spacing').innerText === ''")
    assert spacing.get_attribute("aria-invalid") is None
    assert spacing.input_value() == "7"
    assert page.evaluate("document.activeElement.id") == "drill-row_spacing"
    spacing.fill("2.5")
    page.locator("#m-drill-row_spacing").get_by_role("button", name="It is right as it stands").click()
    page.get_by_text("Confirmed as meant.").wait_for()
    becomes_saved(page, folder, {"rows": 16, "row_spacing": "2.5 in", "meant": ["row_spacing"]}, "drill")


def test_what_somebody_is_typing_is_left_alone(served: Served, opened: Opened) -> None:
    """The caret stays where it is while the server answers, letter by letter."""
    folder = served.begun("typing")
    page = opened("typing")
    name = box(page, "What people call it")
    name.press_sequentially("ten-foot dril", delay=60)
    page.keyboard.press("Home")
    page.keyboard.type("The ", delay=90)
    becomes_saved(page, folder, "The ten-foot dril", "drill", "name")
    page.keyboard.type("old ", delay=90)
    becomes_saved(page, folder, "The old ten-foot dril", "drill", "name")
    assert name.input_value() == "The old ten-foot dril"


def test_a_drill_is_taken_from_the_job_files_of_a_district(
    served: Served, opened: Opened, tmp_path: Path
) -> None:
    """From the folder beside the jobs, and from files that a person hands over; a file that is none changes nothing."""
    folder = served.begun("district")
    page = opened("district")
    page.get_by_label("A drill that is known here").select_option(label="district ten-foot three-box drill")
    page.get_by_role("button", name="Fill in this drill").click()
    page.get_by_text("Seed box 3: small").wait_for()
    becomes_saved(page, folder, read_toml(SAMPLES / "restoration.toml")["drill"], "drill")
    text = (
        (SAMPLES / "farm.toml")
        .read_text(encoding="utf-8")
        .replace("district ten-foot three-box drill", "a neighbor's drill")
    )
    (tmp_path / "other.toml").write_text(text.replace("rows = 16", "rows = 24"), encoding="utf-8")
    (tmp_path / "none.toml").write_bytes(b"\xff\x00 not a job file")
    page.get_by_label("Job files of a district, to take a drill from").set_input_files(
        [tmp_path / "none.toml", tmp_path / "other.toml"]
    )
    page.locator("#drills option", has_text="a neighbor's drill").wait_for(state="attached")
    page.get_by_label("A drill that is known here").select_option(label="a neighbor's drill")
    page.get_by_role("button", name="Fill in this drill").click()
    page.wait_for_function("document.querySelector('#drill-rows').value === '24'")


def test_a_job_file_fills_in_the_form_and_can_be_taken_back(
    served: Served, opened: Opened, tmp_path: Path
) -> None:
    """A whole job file at once; fields that need a mix say so beside their boxes; undo gives the old job back."""
    here = tuple(
        replace(one, attributes={"id": one.attributes["id"]}) for one in ground("farm.geojson", "ell")
    )
    folder = served.begun("begun", here, {"drill": {"rows": 8}})
    page = opened("begun")
    page.locator("#d-given > summary").click()
    (tmp_path / "broken.toml").write_text("[drill\nrows = 8", encoding="utf-8")
    page.locator("#job-file").set_input_files(tmp_path / "broken.toml")
    page.locator("#m-job .wrong").wait_for()
    page.locator("#job-file").set_input_files(SAMPLES / "restoration.toml")
    page.wait_for_function("document.querySelector('#drill-rows').value === '16'")
    page.locator("#m-field-ell-mix .lacking").wait_for(state="attached")
    page.locator("#d-g-field > summary").click()
    page.locator("#field-ell-mix").select_option("wet meadow")
    page.wait_for_function("document.querySelector('#m-field-ell-mix').innerText === ''")
    becomes_saved(
        page,
        folder,
        {
            **read_toml(SAMPLES / "restoration.toml"),
            "field": {"ell": {"mix": "wet meadow"}},
        },
    )
    undo = page.get_by_role("button", name="Undo", exact=True)
    undo.click()
    page.locator("[aria-disabled=false]", has_text="Redo").wait_for()
    undo.click()
    page.wait_for_function("document.querySelector('#drill-rows').value === '8'")
    becomes_saved(page, folder, {"drill": {"rows": 8}})


def test_a_crew_puts_two_mixes_on_fourteen_parcels(served: Served, opened: Opened) -> None:
    """One mix on all with one press, another on six of them; a new name of a mix goes wherever it is named."""
    here = [
        replace(one, attributes={k: v for k, v in one.attributes.items() if k != "mix"})
        for one in ground("restoration.zip")
    ]
    there = [
        replace(
            one,
            key=f"{one.key}-east",
            geometry=shapely.affinity.translate(one.geometry, 0.06),
            attributes={**one.attributes, "id": f"RP-{k}"},
        )
        for k, one in enumerate(here, start=8)
    ]
    tables = read_toml(SAMPLES / "restoration.toml")
    folder = served.begun("crew", (*here, *there), {**tables, "mix": tables["mix"][:2]})
    page = opened("crew")
    page.get_by_role("button", name="Put this mix on every field").first.click()
    page.locator("#d-g-field > summary").click()
    for k in range(9, 15):
        page.locator(f"#field-RP_2d_{k}-mix").select_option("mesic prairie")
    name = page.locator("#mix-1-name")
    name.fill("deep soil")
    name.press("Tab")
    page.wait_for_function("document.querySelector('#field-RP_2d_14-mix').value === 'deep soil'")
    page.locator("#o-make-setup:not([disabled])").wait_for()
    mixes = {f"RP-{k}": {"mix": "dry prairie" if k < 9 else "deep soil"} for k in range(1, 15)}
    becomes_saved(page, folder, mixes, "field")
    with page.expect_download() as given:
        page.get_by_role("button", name="Download: Set-up cards").click()
    with zipfile.ZipFile(given.value.path()) as cards:
        assert sorted(cards.namelist()) == ["setup-deep-soil.pdf", "setup-dry-prairie.pdf"]
    with page.expect_download() as given:
        page.get_by_role("button", name="Download: Load list").click()
    assert "RP-14" in "\n".join(one.extract_text() for one in PdfReader(given.value.path()).pages)
    _no_press_is_lost(page)


def _no_press_is_lost(page: Any) -> None:
    """What is pressed while a long paper is made is made after it; nothing moves when the paper is shown."""
    where = "() => [scrollY, document.getElementById('o-make-cover').getBoundingClientRect().top]"
    page.locator("#o-look-sheet").scroll_into_view_if_needed()
    before = page.evaluate(where)
    with page.expect_download() as given:
        page.evaluate(
            "() => ['o-look-sheet', 'o-make-cover'].forEach(id => document.getElementById(id).click())"
        )
    assert given.value.suggested_filename == "cover.pdf"
    paper = page.get_by_role("dialog", name="Papers")
    paper.get_by_role("link", name="Open field-sheets.pdf by itself").wait_for()
    assert page.evaluate(where) == before
    page.keyboard.press("Escape")
    paper.wait_for(state="hidden")
    assert page.evaluate("document.activeElement.id") != ""
    with page.expect_download() as given:
        page.get_by_role("button", name="Download: Load list").click()
    assert given.value.suggested_filename.startswith("load")


def test_a_job_made_elsewhere_is_opened_with_its_map_in_one_go(
    served: Served, opened: Opened, tmp_path: Path
) -> None:
    """Job file, boundary file and rate card chosen together on the first page; what the page gives to take along, dropped."""
    served.begun("elsewhere")
    page = opened("elsewhere")
    page.goto(served.address)
    names = ("farm.toml", "farm.geojson", "rates.toml")
    page.get_by_label("Or open files").set_input_files([SAMPLES / name for name in names])
    page.get_by_role("heading", name="farm", exact=True).wait_for()
    page.get_by_text("farm.geojson: 3 fields, 264.94 acres; the job is filled in").wait_for()
    page.locator("#o-along").wait_for()
    folder = served.jobs.folder_of("farm")
    becomes_saved(page, folder, read_toml(SAMPLES / "farm.toml"))
    fee = page.locator("dl.cover dd", has_text="for 19 days").first
    fee.wait_for()
    with page.expect_download() as given:
        page.locator("#o-along").click()
    given.value.save_as(tmp_path / "farm.zip")
    page.goto(f"{served.address}job/elsewhere")
    page.locator("#i-standing").wait_for()
    page.get_by_label("Boundary files").set_input_files(tmp_path / "farm.zip")
    page.get_by_text("fields.gpkg: 3 fields, 264.94 acres; the job is filled in").wait_for()
    fee.wait_for()
    becomes_saved(page, served.jobs.folder_of("elsewhere"), read_toml(SAMPLES / "farm.toml"))
    page.get_by_role("button", name="Undo", exact=True).click()
    page.get_by_text("No field yet", exact=True).wait_for()
    assert served.jobs.take_up("farm").draft.of_layer("fields")


def test_variants_stand_side_by_side_and_a_paper_is_looked_at(served: Served, opened: Opened) -> None:
    """A slider moved by keys; the difference in hours and days; the kept one taken again; the cover shown and saved."""
    tables = {key: table for key, table in read_toml(SAMPLES / "farm.toml").items() if key != "cost"}
    folder = served.begun("variants", ground("farm.geojson", "ell"), tables)
    page = opened("variants")
    page.locator("#v-keep-do:not([disabled])").wait_for()
    page.get_by_label("Name of the variant that stands now").fill("as quoted")
    page.get_by_role("button", name="Keep it beside others").click()
    table = page.get_by_role("table", name=re.compile("Differences"))
    table.wait_for()
    slider = page.get_by_role("slider", name="Speed while sowing")
    slider.focus()
    for _ in range(15):
        page.keyboard.press("ArrowRight")
    row = table.get_by_role("row").filter(has=page.get_by_role("rowheader", name="Speed while sowing"))
    row.get_by_text("−1.5 mph").wait_for()
    assert re.search(r"\+\d", table.get_by_role("row").filter(has_text="Hours in the fields").inner_text())
    page.locator("#w-field_speed button").wait_for()  # the server's piece has come, after the last move
    assert page.locator("#w-field_speed output").inner_text() == "6 miles an hour"
    becomes_saved(page, folder, "6 mph", "working", "field_speed")
    page.get_by_role("button", name="Take it: as quoted").click()
    page.wait_for_function("document.querySelector('#w-field_speed output').innerText.startsWith('4.5')")
    page.locator("#o-look-cover:not([disabled])").wait_for()
    with page.expect_download() as given:
        page.get_by_role("button", name="Download: The cover").click()
    assert "45.0" in PdfReader(BytesIO(Path(given.value.path()).read_bytes())).pages[0].extract_text()
    page.get_by_role("button", name="Look at it: The cover").click()
    page.locator("#o-frame iframe").wait_for()
    assert (
        page.get_by_role("link", name="Open cover.pdf by itself").get_attribute("href").startswith("blob:")
    )
    becomes_saved(page, folder, "4.5 mph", "working", "field_speed")
    page.wait_for_function("document.querySelectorAll('#v-table td b').length === 0")


def test_the_wheel_turns_by_keys_and_by_pointing(served: Served, opened: Opened) -> None:
    """A heading goes into the job file; the tick gives the choice back to the planner."""
    folder = served.begun("wheel")
    page = opened("wheel")
    wheel = page.get_by_role("slider", name="Heading of the passes")
    wheel.focus()
    for key in ("PageUp", "PageUp", "ArrowLeft"):
        page.keyboard.press(key)
    becomes_saved(page, folder, {"heading": "19 deg"}, "working")
    rim = wheel.bounding_box()
    page.mouse.click(rim["x"] + rim["width"] * 0.9, rim["y"] + rim["height"] / 2)
    becomes_saved(page, folder, {"heading": "90 deg"}, "working")
    page.get_by_label("look for the quickest").check()
    becomes_saved(page, folder, {"heading": "best"}, "working")


def test_the_form_by_keyboard_alone(served: Served, opened: Opened) -> None:
    """Tab and typing, Enter on buttons: a drill with a box, undone by nothing but keys."""
    folder = served.begun("keys")
    page = opened("keys")

    def tab_to(element_id: str) -> None:
        for _ in range(80):
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.id") == element_id:
                return
        raise AssertionError(element_id)

    for element_id, typed in (
        ("drill-name", "rented"),
        ("drill-rows", "12"),
        ("drill-row_spacing", "20 cm"),
        ("drill-turning_radius", "7"),
    ):
        tab_to(element_id)
        page.keyboard.type(typed)
    tab_to("drill-turning_radius.unit")
    page.keyboard.type("met")
    page.keyboard.press("Tab")
    for _ in range(30):
        if page.evaluate("document.activeElement.innerText") == "Add a small box":
            break
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.locator("#drill-box-0-volume:focus").wait_for()
    page.keyboard.type("80 l")
    becomes_saved(
        page,
        folder,
        {
            **{"name": "rented", "rows": 12, "row_spacing": "20 cm", "turning_radius": "7 m"},
            "box": [{"name": "small", "kind": "small", "volume": "80 l"}],
        },
        "drill",
    )


def test_no_rule_of_accessibility_is_broken_on_a_phone(served: Served, opened: Opened) -> None:
    """By axe-core, with everything unfolded and something wrong, light and dark; nothing is wider than the screen, at
    200 % neither.
    """
    axe = pytest.importorskip("axe_playwright_python.base", reason="axe-playwright-python is not installed")
    tables = {**read_toml(SAMPLES / "farm.toml"), "field": {"ell": {"slope": "steep"}}}
    tables["drill"]["row_spacing"] = "7 ft"
    tables["drill"]["box"] = tables["drill"]["box"][:1]
    tables["mix"][0]["component"] = tables["mix"][0]["component"][:1]
    served.begun("phone", ground("farm.geojson", "ell"), tables)
    page = opened("phone", width=360, height=740, color_scheme="light", bypass_csp=True)
    page.evaluate("document.querySelectorAll('.job-form details').forEach(one => one.open = true)")
    page.locator("#m-drill-row_spacing .wrong").wait_for()
    page.evaluate(axe.AXE_SCRIPT)
    here = "{ include: ['.job-form', '.what-if', '.out', '.units'] }"
    found = page.evaluate(f"axe.run({here})")
    assert [(one["id"], one["nodes"][0]["html"][:120]) for one in found["violations"]] == []
    assert len(found["passes"]) > 20
    page.emulate_media(color_scheme="dark")
    found = page.evaluate(f"axe.run({here}, {{ runOnly: ['color-contrast'] }})")
    assert [one["nodes"][0]["html"][:120] for one in found["violations"]] == []
    assert page.evaluate("[document.documentElement.scrollWidth, innerWidth]") == [360, 360]
    page.set_viewport_size({"width": 180, "height": 370})
    boxes = "[...document.querySelectorAll('.job-form .box, .what-if .move')]"
    assert page.evaluate(f"Math.max(...{boxes}.map(one => one.getBoundingClientRect().right))") <= 180


def test_units_are_a_switch_and_what_was_typed_stays(served: Served, opened: Opened) -> None:
    """Defaults and empty boxes turn metric; a job in inches is not rewritten."""
    folder = served.begun("units", tables={"drill": {"row_spacing": "7.5 in"}})
    page = opened("units")
    page.get_by_role("button", name="Metric units").click()
    page.wait_for_function(
        "document.getElementById('drill-turning_radius.unit').selectedOptions[0].text === 'meters'"
    )
    assert page.locator("#drill-row_spacing").input_value() == "7.5"
    while json.loads((folder / "desk.json").read_text(encoding="utf-8"))["units"] != "metric":
        page.wait_for_timeout(20)
    becomes_saved(page, folder, {"drill": {"row_spacing": "7.5 in"}})


def test_a_file_that_the_job_names_is_put_beside_it(served: Served, opened: Opened) -> None:
    """Chosen on this machine, it lies in the job's folder and its name stands in the box; a name that is no plain one is refused."""
    folder = served.begun("beside", tables={"cost": {"wage": "$24/h"}})
    page = opened("beside")
    page.locator("#d-g-cost > summary").click()
    page.locator("#f-cost-rate_card").set_input_files(SAMPLES / "rates.toml")
    page.wait_for_function("document.querySelector('#cost-rate_card').value === 'rates.toml'")
    becomes_saved(page, folder, {"wage": "$24/h", "rate_card": "rates.toml"}, "cost")
    assert (folder / "rates.toml").read_bytes() == (SAMPLES / "rates.toml").read_bytes()
    page.locator("#f-cost-rate_card").set_input_files(
        {"name": "job.toml", "mimeType": "text/plain", "buffer": b"evil"}
    )
    page.locator("#m-cost-rate_card .wrong").wait_for()
    assert "evil" not in (folder / "job.toml").read_text(encoding="utf-8")
    box(page, "File of the lender's rates").fill("../../../../etc/hostname")
    page.locator("#m-cost-rate_card .wrong").wait_for()
    page.locator("#m-cost-rate_card .wrong", has_text="lies outside").wait_for()


QUANTITIES = (
    ("drill-row_spacing", "centimeters", "19"),
    ("drill-turning_radius", "meters", "6"),
    ("drill-box-0-volume", "bushels", "19"),
    ("mix-0-component-0-rate", "pounds an acre, bulk, out of the bag", "60"),
)
"""Box, unit and number."""


@pytest.mark.parametrize("keys", [False, True], ids=["by mouse", "by keyboard"])
def test_a_unit_chosen_before_its_number_stays(served: Served, opened: Opened, *, keys: bool) -> None:
    """In any box, while the page draws itself anew, after a reload, and when a step is taken back and done again."""
    name = f"units first {keys}"
    tables = {"drill": {"box": [{"name": "grain", "kind": "grain"}]}, "mix": [{"component": [{}]}]}
    folder = served.begun(name, tables=tables)
    page = opened(name)
    units = {box_id: page.locator(f'[id="{box_id}.unit"]') for box_id, _, _ in QUANTITIES}

    def stays() -> None:
        for box_id, unit, _ in QUANTITIES:
            assert units[box_id].locator("option:checked").inner_text() == unit

    for box_id, unit, _ in QUANTITIES:
        if keys:
            page.locator(f"#{box_id}").focus()
            page.keyboard.press("Tab")
            while units[box_id].locator("option:checked").inner_text() != unit:
                page.keyboard.press("ArrowDown")
        else:
            units[box_id].select_option(label=unit)
        page.wait_for_timeout(600)
    stays()
    page.get_by_text("All saved").wait_for()
    page.get_by_role("button", name="Add a small box").click()
    page.locator("#drill-box-1-volume:focus").wait_for()
    stays()
    page.get_by_role("button", name="Undo", exact=True).click()
    page.locator("#drill-box-1-volume").wait_for(state="detached")
    stays()
    page.get_by_text("All saved").wait_for()
    page.reload()
    page.locator("#i-standing").wait_for()
    stays()
    for box_id, _, number in QUANTITIES:
        page.locator(f"#{box_id}").fill(number)
    stays()
    becomes_saved(
        page,
        folder,
        {
            "drill": {
                "row_spacing": "19 cm",
                "turning_radius": "6 m",
                "box": [{"name": "grain", "kind": "grain", "volume": "19 bu"}],
            },
            "mix": [{"component": [{"rate": "60 lb/ac bulk"}]}],
        },
    )
    page.get_by_role("button", name="Undo", exact=True).click()
    page.wait_for_function("document.querySelector('#mix-0-component-0-rate').value === ''")
    stays()


def test_what_is_missing_only_gets_less(served: Served, opened: Opened) -> None:
    """From an empty form on, in the strip and above the form alike; to add what was asked for adds nothing."""
    served.begun("less and less", ground("farm.geojson", "ell"))
    page = opened("less and less")
    counts: list[int] = []

    def count() -> None:
        page.wait_for_timeout(400)
        said = page.locator("#i-standing").inner_text()
        counts.append(sum(int(n) for n in re.findall(r"(\d+) things?", said)))
        page.locator(".strip .status", has_text=f"{counts[-1]} thing").wait_for()

    def fill(box_id: str, text: str) -> None:
        page.locator(f"#{box_id}").fill(text)
        page.keyboard.press("Tab")
        count()

    count()
    assert counts == [12]
    for box_id, text in (
        ("drill-rows", "16"),
        ("drill-row_spacing", "7.5"),
        ("drill-turning_radius", "20"),
    ):
        fill(box_id, text)
    page.get_by_role("button", name="Add a grain box").click()
    count()
    page.get_by_role("button", name="Add a mix").click()
    count()
    for key, text in (("species", "big bluestem"), ("rate", "6"), ("purity", "90")):
        fill(f"mix-0-component-0-{key}", text)
    fill("drill-name", "ten foot")
    fill("drill-box-0-volume", "24")
    assert all(later <= before for before, later in pairwise(counts)), counts
    assert (
        counts[-1] == 5
    )  # of the mix its name, the box of this seed, germination and weight; of the booking the days
