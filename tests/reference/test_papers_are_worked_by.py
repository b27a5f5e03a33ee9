"""What a person with the papers in the hand must find on them, in their own units and in words; read back from the PDFs."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
from conftest import SAMPLES
from pypdf import PageObject, PdfReader

from fieldplan.cli.main import exit_code
from fieldplan.units import ACRE_M2, POUND_KG

LENDER, NEIGHBOR = "Thistle Flats office, 555-0142", "house at the corner, 555-0117"
JOB = (
    (SAMPLES / "restoration.toml")
    .read_text(encoding="utf-8")
    .replace("rows = 16 ", f'lender = "{LENDER}"\nrows = 16 ', 1)
)
FIELD_TERMS = f'\n[field.RP-4]\nslope = "8 %"\nneighbor = "{NEIGHBOR}"\n[field.RP-6]\nseed_at = {{ lat = 10.0, lon = 10.0 }}\n'
SYSTEMS = {"us": "us-letter", "metric": "a4"}
US_UNITS = re.compile(
    r"\d\s?(?:ft2?|ft3|ac|acres?|lb|lbs|oz|mi|miles|mph|bu|gal|in|inch(?:es)?|feet|hp|°F|yd)(?![\w-])|per foot|lb/ac|bu/ac"
)
KEY = re.compile(r"\b[a-z]+(?:_[a-z0-9]+)+\b")
WRITTEN = ("--write", "json,page,sheet,setup,labels,loads")
LEAST_POINTS = 11.0
FOOTER_POINTS = 9.0


def _run(*arguments: str) -> None:
    assert exit_code([*arguments]) == 0


@pytest.fixture(scope="module", params=list(SYSTEMS))
def papers(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """All papers of a job and of a season, in one system and on its paper; the folder is named for the system."""
    place = tmp_path_factory.mktemp("papers") / request.param
    place.mkdir()
    (place / "job.toml").write_text(JOB + FIELD_TERMS, encoding="utf-8")
    said = ("--units", request.param, "--paper", SYSTEMS[request.param], "--out", str(place))
    fields, job = str(SAMPLES / "restoration.zip"), str(place / "job.toml")
    _run(
        "plan",
        fields,
        "--job",
        job,
        "--today",
        "2027-04-01",
        "--where",
        "mix = mesic prairie",
        *said,
        *WRITTEN,
    )
    season = str(SAMPLES / "season.toml")
    _run("season", "plan", season, *said)
    ledger = ("--ledger", str(place / "spring.ledger"))
    _run("season", "record", season, "--from", str(SAMPLES / "records.csv"), *ledger)
    _run("season", "invoice", season, "R10", *ledger, *said, "--day", "2027-05-14")
    _run("season", "packet", season, "R10", *ledger, *said)
    _run("season", "board", season, *ledger, *said, "--day", "2027-06-10")
    return place


def _system(papers: Path) -> str:
    return papers.name


@lru_cache(maxsize=64)
def _pages(path: Path) -> list[str]:
    """The text of each page in one line, with words as they were before they were broken."""
    texts = (" ".join(page.extract_text().split()) for page in PdfReader(path).pages)
    return [re.sub(r"(\w)- (\w)", r"\1-\2", text).replace("\u200b", "") for text in texts]


def _texts(papers: Path) -> Iterator[tuple[str, str]]:
    """File and text of each PDF."""
    for path in sorted(papers.glob("*.pdf")):
        yield path.name, " ".join(_pages(path))


def _sheets(papers: Path) -> dict[str, list[str]]:
    """The pages of each field of the field sheets, by its id."""
    found: dict[str, list[str]] = {}
    for text in _pages(papers / "field-sheets.pdf"):
        named = re.search(r"(RP-\d) [\w ]+? (?:map and order of passes|loads and blanks)", text)
        assert named is not None, text
        found.setdefault(named[1], []).append(text)
    return found


def _plan(papers: Path) -> dict[str, Any]:
    plan: dict[str, Any] = json.loads((papers / "plan.json").read_text(encoding="utf-8"))
    return plan


def test_no_key_of_a_file_stands_on_paper(papers: Path) -> None:
    """What is called rate_card in a file is no word for a person in a cab."""
    names = [name for name, _ in _texts(papers)]
    assert len(names) >= 9
    assert "its seed at in the job file lies" in " ".join(_sheets(papers)["RP-6"])
    assert {name: KEY.findall(text) for name, text in _texts(papers) if KEY.search(text)} == {}


def test_metric_papers_know_no_other_units(papers: Path) -> None:
    """Nor do those in US units lack them, so that the test can fail. What a rate card charges by the acre stays as it is
    written, on the invoice and in the report of income.
    """
    said = {
        name: US_UNITS.findall(text)
        for name, text in _texts(papers)
        if US_UNITS.search(text) and name not in ("invoice-r10.pdf", "board.pdf")
    }
    if _system(papers) == "metric":
        assert said == {}
    else:
        assert len(said) >= 5


def test_map_and_loads_answer_what_a_driver_asks(papers: Path) -> None:
    """Twelve questions, each with the plan's own figure beside its name."""
    us, plan = _system(papers) == "us", _plan(papers)
    for one in plan["fields"]:
        front, *back = _sheets(papers)[one["field_id"]]
        loads = " ".join(back)
        rounds = next(some for some in one["sequence"] if some["kind"] == "rounds")
        assert re.search(
            r"Gate: in the [\w-]+, assumed, at 44\.\d{5}, -95\.\d{5}", front
        )  # where is the gate
        assert f"{one['coverage']['headings_deg'][0]:.0f}° (" in front  # which way
        assert re.search(
            r"[\w-]+ along the [\w-]+ edge(?:, with it)? on your right", front
        )  # which edge first
        assert front.count(f"{one['coverage']['headland_rounds']} round") >= 1  # how many rounds
        assert rounds["rounds"][0] == 1
        assert "Turns: drill lifted, on the headland" in front  # where to turn
        assert f"{len(one['refills'])} refill" in front  # where to refill, and how much
        for stop in one["refills"]:
            assert f"stop {stop['stop']}, " in loads
            done = stop["drilled_m2"] / (ACRE_M2 if us else 10_000)
            assert f"{done:.1f} {'ac' if us else 'ha'} done" in loads
        for box in one["seed"]["boxes"]:  # what is in which box
            assert all(part["species"] in loads for part in box["components"])
        assert "setting" in loads  # settings
        assert "Depth: " in loads
        assert f"Speed: {'4 mph' if us else '6.4 km/h'}" in loads
        assert "Hours here: " in loads  # hours left: for the whole field, and at each stop
        assert loads.count(" left") >= len(one["refills"])
        assert f"lender of the drill: {LENDER}" in loads  # whom to call
    assert f"neighbor: {NEIGHBOR}" in _sheets(papers)["RP-4"][1]
    assert "Slope: 8 %" in _sheets(papers)["RP-4"][0]


def test_every_load_stands_on_the_sheet(papers: Path) -> None:
    """Seed and carrier of all fills and spares come to what the plan loads, within what rounding to 0.1 oz leaves."""
    us = _system(papers) == "us"
    sizes = {"lb": POUND_KG, "oz": POUND_KG / 16, "kg": 1.0, "g": 0.001}
    for one in _plan(papers)["fields"]:
        loads = (
            " ".join(_sheets(papers)[one["field_id"]][1:])
            .split("Pour in", 1)[1]
            .split("spare, keep dry")[0]
        )
        # the weight stands after the lot, in brackets, or after the name of the carrier
        weights = re.findall(r"(?:\(WH-\d+\)|rice hulls) ([\d,.]+) (lb|oz|kg|g)\b", loads)
        said_kg = sum(float(number.replace(",", "")) * sizes[unit] for number, unit in weights)
        boxes = one["seed"]["boxes"]
        wanted_kg = sum(box["first_load_kg"] for box in boxes) + sum(
            kg for stop in one["refills"] for kg in stop["load_kg"].values()
        )
        assert said_kg == pytest.approx(wanted_kg, rel=2e-3), (us, one["field_id"])


def test_few_stops_are_few_pages(papers: Path) -> None:
    """Two pages a field, and one more for every six stops at most."""
    for one in _plan(papers)["fields"]:
        assert len(_sheets(papers)[one["field_id"]]) <= 2 + -(-len(one["refills"]) // 6)


def test_loads_are_set_in_large_type(papers: Path) -> None:
    """On pages without a map nothing but the foot is smaller than 11 points, and weights are larger than the rest."""
    path = papers / "field-sheets.pdf"
    for page, text in zip(PdfReader(path).pages, _pages(path), strict=True):
        if "Pour in" in text:
            sizes = _points(page)
            assert min(sizes) == pytest.approx(FOOTER_POINTS)
            body = sorted(size for size in sizes if size > FOOTER_POINTS + 0.1)
            assert body[0] >= LEAST_POINTS - 0.01
            assert any(large == pytest.approx(1.2 * size, rel=0.01) for size in body for large in body)


def _points(page: PageObject) -> set[float]:
    """The sizes of type on a page."""
    found = set[float]()

    def seen(text: str, _cm: object, tm: list[float], _font: object, size: float) -> None:
        if text.strip():
            found.add(round(abs(size * tm[3]) if tm[3] else size, 3))

    page.extract_text(visitor_text=seen)
    return found


def test_paper_page_and_data_say_the_same_order_of_passes(papers: Path) -> None:
    """Each stretch, in its order, word for word; in US units, as data have it."""
    page = (papers / "plan.html").read_text(encoding="utf-8")
    for one in _plan(papers)["fields"]:
        front = _unbroken(_sheets(papers)[one["field_id"]][0])
        assert one["sequence"]
        for n, some in enumerate(one["sequence"], start=1):
            assert _unbroken(f"{n}. {some['text']}") in front
            assert f"<li>{some['text']}</li>" in page


def _unbroken(text: str) -> str:
    """Text without the spaces that line breaks bring and take."""
    return re.sub(r"\s", "", text)


def test_the_order_of_passes_is_data_too(papers: Path) -> None:
    """Steps, as often as they are made, lead over the strips that are listed, one for each pass."""
    for one in _plan(papers)["fields"]:
        some = [part for part in one["sequence"] if part["kind"] == "passes"]
        assert sum(part["last"] - part["first"] + 1 for part in some) == one["coverage"]["passes"]
        for part in some:
            if not part["bent"]:
                strips = [part["strip"]]
                for over in _moves(part["steps"]):
                    strips.append(strips[-1] + over)
                assert strips == part["strips"]
                assert len(strips) == part["last"] - part["first"] + 1


def _moves(steps: list[int | Mapping[str, Any]]) -> Iterator[int]:
    for step in steps:
        if isinstance(step, int):
            yield step
        else:
            for _ in range(step["times"]):
                yield from _moves(step["steps"])


def test_season_papers_stand_under_the_letterhead(papers: Path) -> None:
    """Its first line is on each: hand-over sheets, month board, invoice, packet and report."""
    texts = dict(_texts(papers))
    for name in ("hand-over.pdf", "month-board.pdf", "invoice-r10.pdf", "packet-r10.pdf", "board.pdf"):
        assert "Thistle Flats Soil District (invented)" in texts[name], name


def test_an_invoice_says_by_when_and_how_to_pay(papers: Path) -> None:
    """The due day of the sample card, and its terms."""
    text = dict(_texts(papers))["invoice-r10.pdf"]
    assert re.search(r"Due by \w{3} \d\d \w{3} 2027: \$[\d,.]+\.", text)
    assert "Please pay by check" in text
