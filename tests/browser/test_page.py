"""The HTML page in a real browser: no request off the page, its numbers those of the plan, usable by
keyboard and on a phone.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from conftest import SAMPLES

from fieldplan.cli.main import exit_code
from fieldplan.units import ACRE_M2

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
pytestmark = pytest.mark.skipif(BROWSER is None, reason="no browser on this machine (.ci/run installs one)")


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page and the JSON of the restoration job."""
    out = tmp_path_factory.mktemp("page")
    job = str(SAMPLES / "restoration.toml")
    assert (
        exit_code(
            [
                "plan",
                str(SAMPLES / "restoration.zip"),
                "--job",
                job,
                "--out",
                str(out),
                "--write",
                "page,json",
                "--legs",
                "-q",
            ]
        )
        == 0
    )
    return out


@pytest.fixture
def opened(written: Path) -> Iterator[tuple[Any, list[str]]]:
    """The page in a window as wide as a phone, and every address it asked for or error it raised."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=BROWSER, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 390, "height": 800})
        seen: list[str] = []
        page.on("request", lambda request: seen.append(request.url))
        page.on("pageerror", lambda error: seen.append(str(error)))
        page.goto((written / "plan.html").as_uri())
        yield page, seen
        browser.close()


def test_page_asks_for_nothing_and_fits_a_phone(opened: tuple[Any, list[str]]) -> None:
    """One address, the file itself; no error; no sideways scrolling."""
    page, seen = opened
    assert len(seen) == 1
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_numbers_are_those_of_the_plan(opened: tuple[Any, list[str]], written: Path) -> None:
    """Plantable acres of every field, and every leg of the route."""
    page, _ = opened
    for field in json.loads((written / "plan.json").read_text(encoding="utf-8"))["fields"]:
        section = page.locator(f'section[data-field="{field["field_id"]}"]')
        assert f"{field['area']['plantable_m2'] / ACRE_M2:.2f} plantable acres" in section.inner_text()
        assert int(section.locator("input").get_attribute("max")) == len(field["legs"])


def test_map_plays_zooms_and_pans_by_keyboard(opened: tuple[Any, list[str]]) -> None:
    """The slider tells each leg, keys move the view, 0 brings the whole field back."""
    page, _ = opened
    section = page.locator('section[data-field="RP-4"]')
    section.locator("input").fill("12")
    assert section.locator(".caption").inner_text().startswith("12 of ")
    assert section.locator("path.done").count() >= 11
    svg = section.locator("svg")
    whole = svg.get_attribute("viewBox")
    svg.focus()
    page.keyboard.press("+")
    page.keyboard.press("ArrowRight")
    assert svg.get_attribute("viewBox") != whole
    page.keyboard.press("0")
    assert svg.get_attribute("viewBox") == whole
