"""The page of a plan: short enough to be read at once, in the order of the work, and nothing of it lost."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

import pytest
from conftest import SAMPLES, TODAY, unwrapped

from fieldplan.boundary.load import load_fields
from fieldplan.jobfile.load import load_job
from fieldplan.model.cost import CostTerms
from fieldplan.model.job import Job
from fieldplan.model.machine import Tractor
from fieldplan.model.notes import Note
from fieldplan.model.plan import Plan
from fieldplan.planner import plan_job
from fieldplan.report.text.plan_page import page, short_answer, whole_page
from fieldplan.report.text.table import NARROW, fitted_table
from fieldplan.report.words.notes import (
    BACKGROUND,
    n_background,
    note_sentences,
    notes_to_act_on,
    warning_sentences,
)
from fieldplan.report.words.phrases.table import PHRASES
from fieldplan.report.words.quantities import Quantities, System

SYSTEMS: tuple[System, ...] = ("us", "metric")
US = Quantities("us")
COVER = ("BOOK", "SEED", "TRACTOR", "FEE", "ASK", "GROUND")
IN_ORDER = ("BEFORE", "ON THE DAY", "IN THE FIELD", "AFTER", "NOTES")


@pytest.fixture(scope="module")
def pivot(job: Job) -> Plan:
    """One field."""
    return plan_job(load_fields(SAMPLES / "pivot.kml"), job, today=TODAY)


@pytest.fixture(scope="module")
def bare(job: Job) -> Plan:
    """One field, of a job without tractor, prices and rate card."""
    unknown = replace(job, tractor=Tractor(), cost=CostTerms())
    return plan_job(load_fields(SAMPLES / "pivot.kml"), unknown, today=TODAY)


def _as_many(plan: Plan, n: int) -> Plan:
    """The plan with its fields again and again under other ids, as long as those of registers; with their notes."""
    fields, notes = [], [note for note in plan.notes if not note.field_id]
    for k in range(n):
        field = plan.fields[k % len(plan.fields)]
        name = f"register-{k:06d}"
        fields.append(replace(field, field=replace(field.field, field_id=name, name=f"parcel {k}")))
        notes += [
            replace(note, field_id=name) for note in plan.notes if note.field_id == field.field.field_id
        ]
    return replace(plan, fields=tuple(fields), notes=tuple(notes))


def _cases(request: pytest.FixtureRequest) -> Iterator[tuple[Plan, int]]:
    """Plans and the lines that their page must stay under."""
    pivot, bare, ponds, restoration = map(
        request.getfixturevalue, ("pivot", "bare", "ponds", "restoration")
    )
    yield pivot, 60
    yield bare, 60
    yield _as_many(ponds, 1), 60
    yield restoration, 100
    yield _as_many(restoration, 14), 100
    yield _as_many(ponds, 20), 100
    yield replace(_as_many(ponds, 20), notes=()), 100


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_page_fits_the_terminal(system: System, request: pytest.FixtureRequest) -> None:
    """Under 80 columns; under 60 lines for one field and under 100 for twenty, or for 14 parcels of three mixes."""
    for plan, limit in _cases(request):
        lines = page(plan, "fields.zip", Quantities(system)).splitlines()
        assert len(lines) < limit, "\n".join(lines)
        assert max(map(len, lines)) <= NARROW


def test_it_begins_with_the_cover_and_goes_on_as_one_works(ponds: Plan) -> None:
    """Book, seed, tractor, fee, ask; then before, on the day, in the field, after, notes; seed before driving."""
    shown = page(ponds, "ponds.gpkg", US)
    names = re.findall(r"^(?:  )?([A-Z]{2}[A-Z ]*?)(?:  .*)?$", shown, re.MULTILINE)
    assert names == [*COVER, *IN_ORDER]
    in_field = shown.split("\nIN THE FIELD\n")[1]
    assert re.search(r"ac +grain +small +stops +heading +rounds", in_field)
    assert shown.splitlines()[1 : 1 + len(short_answer(ponds, US).splitlines())] == (
        short_answer(ponds, US).splitlines()
    )


def test_nothing_of_it_is_lost(ponds: Plan, restoration: Plan) -> None:
    """The whole page has every warning, note, stop, source and table; the short one says how many notes it leaves."""
    for plan in (ponds, restoration, _as_many(restoration, 14)):
        whole = unwrapped(whole_page(plan, "fields.zip", US))
        for text in (*warning_sentences(plan.notes, US), *note_sentences(plan.notes, US)):
            assert unwrapped(text) in whole
        for source in plan.sources:
            assert unwrapped(f"- {source.key}: {source.title}") in whole
        stops = sum(len(field.supply.refills) for field in plan.fields)
        assert len(re.findall(r"\d+\. (?:after|in) (?:pass|headland)", whole)) == stops
        shown = unwrapped(page(plan, "fields.zip", US))
        assert f"{n_background(plan.notes)} more notes" in shown
        assert "source:" not in shown
        assert "no source" not in shown


def test_what_one_must_act_on_stays_on_the_short_page(ponds: Plan) -> None:
    """Tight turns, jags, treated seed and cautions; every note that is not about how numbers come about."""
    field = ponds.fields[0].field.field_id
    more = (
        Note(code="turns-tight", case="turn", field_id=field, values={"n_tight": 3, "n_turns": 203}),
        Note(code="outline-jagged", field_id=field, values={"away_m": 1.5}),
        Note(code="treated-last", values={"boxes": ("grain",)}, sources=("fsa-treated",)),
        Note(code="seed-treated", values={"mix": "m", "species": ("oats",)}, sources=("fsa-treated",)),
    )
    others = (note for note in ponds.notes if note.code not in {one.code for one in more})
    plan = replace(ponds, notes=(*others, *more))
    shown = unwrapped(page(plan, "ponds.gpkg", US))
    for text in (
        "pond: 3 of 203 turns are tighter than the rig can turn",
        "pond: The outline has jags smaller than the drill",
        "boxes that held treated seed (grain): clean them out first",
        "read the label, wear the protection it asks for, keep dust down",
        "Ballast: as the tractor's manual says, or steering goes light",
        "measure it, gates, bridges; over 8.5 ft is often a wide load",
        "Towing: 20 mph",
        "a drawbar category 2 (match that of the drill)",
    ):
        assert text in shown
    left_out = {note.code for note in plan.notes if not note.warning} - {
        note.code for note in notes_to_act_on(plan.notes)
    }
    assert left_out <= BACKGROUND


def test_background_is_about_codes_that_exist() -> None:
    """A code that is renamed does not slip onto the page or off it unnoticed."""
    assert {code for code in BACKGROUND if not any(key.split("/")[0] == code for key in PHRASES)} == set()


def test_what_all_fields_share_names_none(restoration: Plan) -> None:
    """Many ids are counted instead, and the only field is not named at all."""
    shown = unwrapped(page(_as_many(restoration, 14), "fields.zip", US))
    assert "All fields: No gate was given" in shown
    one = replace(restoration, fields=restoration.fields[:1], notes=restoration.notes[-30:])
    assert "All fields" not in page(one, "fields.zip", US)


def test_a_table_gives_up_columns_before_letters() -> None:
    """Those that may be spared, in turn; then the first column is cut, and numbers never are."""
    header = ("field", "name", "turns", "hours")
    rows = [("a-very-long-id-of-a-register", "north forty", "1,234", "12.5 h")]
    wide = fitted_table(header, rows, left=2, spared=("name", "turns"), maximum=79)
    assert "north forty" in wide[1]
    assert "1,234" in wide[1]
    narrow = fitted_table(header, rows, left=2, spared=("name", "turns"), maximum=45)
    assert "north forty" not in narrow[1]
    assert "1,234" in narrow[1]
    least = fitted_table(header, rows, left=2, spared=("name", "turns"), maximum=24)
    assert least[0].split() == ["field", "hours"]
    assert least[1].split() == ["a-very-long-i…", "12.5", "h"]
    assert max(map(len, least)) <= 24


def test_the_sample_without_a_start_says_how_to_get_dates(pivot: Plan, bare: Plan) -> None:
    """What is not known is said in few words with the key that supplies it."""
    assert "Give the first day (start in [booking])." in unwrapped(short_answer(pivot, US))
    unknown = unwrapped(short_answer(bare, US))
    assert "FEE Not known: no rate card is given. Give rate_card in [cost]" in unknown
    assert "TRACTOR Not known yet:" in unknown
    assert "Give pto_power, remotes, hitch in [tractor]." in unknown
    assert "the fees" in unknown


def test_dates_come_with_a_start() -> None:
    """From and to, with the day of the week."""
    job = load_job(SAMPLES / "restoration.toml")
    plan = plan_job(load_fields(SAMPLES / "pivot.kml"), replace(job, mixes=job.mixes[:1]), today=TODAY)
    shown = unwrapped(short_answer(plan, US))
    start, finish = plan.job.booking.start, plan.booking.finish
    assert start is not None
    assert finish is not None
    assert f"BOOK {start:%a %d %b %Y} to {finish:%a %d %b %Y}, " in shown
    assert "is it free then" in shown
