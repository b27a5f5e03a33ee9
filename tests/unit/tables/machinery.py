"""What is said where a figure of machinery decides, figure by figure."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date
from types import SimpleNamespace
from typing import Any

from click.testing import CliRunner
from conftest import SAMPLES

from fieldplan import field_planner
from fieldplan.cli.calibrate import command as calibrate
from fieldplan.coverage.terms import Rig
from fieldplan.errors import InputError, TableError
from fieldplan.jobfile.load import load_job
from fieldplan.model.budget import OrderLine
from fieldplan.model.job import BookingTerms
from fieldplan.model.machine import Tractor
from fieldplan.model.progress import FieldAhead, SoFar
from fieldplan.model.records import Entry, Ground
from fieldplan.model.seed import Mix
from fieldplan.model.seed_law import SeedLaw
from fieldplan.model.work import TimePart
from fieldplan.records import warnings as ledger_doubts
from fieldplan.records.packet import _cautions
from fieldplan.report.documents import board
from fieldplan.report.documents.annual_acres import ACRES, WIDTHS
from fieldplan.report.words.quantities import Quantities
from fieldplan.season import capacity
from fieldplan.season.program import load_program
from fieldplan.seed.budget import seed_budget
from fieldplan.seed.depth import box_depths
from fieldplan.seed.labels import label_notes
from fieldplan.seed.run_out import run_outs
from fieldplan.seed.tags import tag_notes
from fieldplan.units import ACRE_M2, GALLON_M3, HORSEPOWER_W, HOUR_S, MPH_M_PER_S, POUND_KG
from fieldplan.work import clock
from fieldplan.work.cost import job_cost
from fieldplan.work.general_notes import notes_of_every_plan
from fieldplan.work.progress import outlook
from fieldplan.work.tractor import tractor_checks

US = Quantities("us")
JOB = load_job(SAMPLES / "farm.toml")
LENDING = load_program(SAMPLES / "season.toml")
(MIX,) = JOB.mixes
DAY = date(2027, 5, 3)


def _notes(notes: Any) -> str:
    return "\n".join(f"{note.text} {note.sources}" for note in notes)


def _tractor() -> str:
    drill = replace(JOB.drill, transport_width_m=2.5, hitch=None, min_pto_power_w=None)
    checks = [
        tractor_check
        for power, speed in ((None, 20), (20, 21), (40, 40), (75, 10), (120, 1))
        for tractor in (Tractor(pto_power_w=power and power * HORSEPOWER_W),)
        for tractor_check in tractor_checks(
            drill, tractor, speed * MPH_M_PER_S, [("a", 0.33), ("b", 0.34), ("c", 0.4)]
        )
    ]
    return "\n".join(f"{check.about} {check.verdict} {check.text} {check.sources}" for check in checks)


def _tags() -> str:
    lot = MIX.components[0]
    stands = [
        replace(lot, species=name, full_rate_kg_per_m2=0.01, seeds_per_kg=seeds)
        for name, seeds in (("a", 1e4), ("b", 2e4))
    ]
    mixes = [
        replace(MIX, components=(replace(lot, tested=date(2026, month, 1), box="native"),))
        for month in (6, 8, 10, 11, 12)
    ]
    mixes += [
        replace(MIX, components=(stands[0], replace(stands[1], seeds_per_kg=1e4 * by)))
        for by in (1.5, 1.7, 1.8, 2.0, 3.0)
    ]
    return "\n".join(
        _notes(tag_notes(mix, JOB.drill, speed * MPH_M_PER_S, DAY)) for mix in mixes for speed in (2.0, 6.0)
    )


def _calibrate() -> str:
    sentence = []
    for grams in (240, 250, 260, 265, 270, 280):
        asked = [
            "--rate",
            "25 lb/ac bulk",
            "--spacing",
            "7.5 in",
            "--rows",
            "16",
            "--distance",
            "160 ft",
            "--caught",
            f"{grams} g",
            "--tubes",
            "10",
        ]
        found = CliRunner().invoke(calibrate, asked)
        if isinstance(found.exception, TableError | InputError):
            raise found.exception
        assert found.exit_code == 0, (found.output, found.exception)
        sentence.append(found.output)
    return "\n".join(sentence)


def _ledger() -> str:
    ground = {"R1": (Ground(field_id="a", mapped_m2=10 * ACRE_M2, plantable_m2=10 * ACRE_M2),)}
    new = [
        *(
            Entry(
                number=n,
                entered="",
                kind="sown",
                typed={},
                facts={"field": "a", "acres": acres * ACRE_M2, "request": "R1", "day": DAY},
                corrects=None,
            )
            for n, acres in enumerate((15, 20, 22, 25, 40), start=1)
        ),
        *(
            Entry(
                number=n,
                entered="",
                kind="seed",
                typed={"weight": "w"},
                corrects=None,
                facts={
                    "field": "a",
                    "weight": lb * 10 * POUND_KG,
                    "species": "oats",
                    "request": "R1",
                    "day": DAY,
                },
            )
            for n, lb in enumerate((300, 390, 410, 500, 700), start=11)
        ),
    ]
    return "\n".join(str(warning) for warning in ledger_doubts.warnings(new, new, ground, DAY))


def _progress() -> str:
    lot = ("oats", "A1")
    fields = [
        FieldAhead(field_id="a", drilled_m2=100_000.0, field_s=10 * HOUR_S, sown_kg={}),
        FieldAhead(field_id="b", drilled_m2=100_000.0, field_s=10 * HOUR_S, sown_kg={lot: 500.0}),
    ]
    order = [
        OrderLine(
            species="oats",
            lot="A1",
            sown_kg=500.0,
            need_kg=525.0,
            residual_kg=0.0,
            bag_kg=25.0,
            bags=22,
            pls_frac=0.9,
        )
    ]
    terms = BookingTerms(day_s=8 * HOUR_S, fieldwork_day_prob=0.5, confidence_prob=0.8)
    sentence = []
    for metered_m2 in (103_000.0, 106_000.0, 110_000.0, 205_000.0, 215_000.0, 225_000.0):
        try:
            found = outlook(
                SoFar(metered_m2=metered_m2, worked_s=10 * HOUR_S, left_kg={lot: 350.0}),
                fields,
                lambda _: 0.0,
                order,
                terms,
                (-95.0, 44.0),
                3,
            )
            sentence.append(repr(found))
        except TableError:
            raise
        except InputError as error:
            sentence.append(str(error))
    return "\n".join(sentence)


def _packet() -> str:
    def tested(month: int) -> str:
        account: Any = SimpleNamespace(
            seed=[SimpleNamespace(field_id="a", tested=date(2026, month, 1), lot="7", treated=False)],
            sown=[SimpleNamespace(field_id="a", day=DAY)],
            request=SimpleNamespace(ready=DAY, until=DAY, facts={}),
        )
        return "\n".join(f"{caution} {caution.values.get('sources')}" for caution in _cautions(account))

    return "\n".join(tested(month) for month in (6, 8, 9, 10, 11, 12))


def _efficiency() -> str:
    parts = [TimePart(key="turning", spent_s=1.0)]
    expected = field_planner._share_range("expected field efficiency")
    return "\n".join(_notes(clock._efficiency_note("a", one, expected, parts)) for one in (0.1, 0.9, 2.0))


def _run_outs() -> str:
    budget = seed_budget("", MIX, JOB.drill, 1e5, 1)
    order = [
        OrderLine(
            species=component.species,
            lot=component.lot,
            sown_kg=500.0,
            need_kg=525.0,
            residual_kg=0.0,
            bag_kg=25.0,
            bags=22,
            pls_frac=0.9,
        )
        for component in MIX.components
    ]
    return repr(run_outs([("m", box, 1e5) for box in budget.boxes], order))


def _fuel() -> str:
    ground: Any = {"map": 1e5, "meter": 1e5, "to sow": 1e5}
    cost = job_cost(replace(JOB.cost, fuel_price_per_m3=4 / GALLON_M3), (), ground, HOUR_S, HOUR_S, 2)
    return repr(cost)


def _lots(species: str) -> Mix:
    """A mix of one lot, with 6 % of another crop."""
    (mix,) = JOB.mixes
    lot = replace(
        mix.components[0], species=species, purity_frac=0.9, inert_frac=None, other_crop_frac=0.06
    )
    return replace(mix, components=(lot,))


MACHINERY: Mapping[str, Callable[[], str]] = {
    "seeding field efficiency": lambda: _notes(notes_of_every_plan(JOB, [])),
    "expected field efficiency": _efficiency,
    "sows heavy": _run_outs,
    **dict.fromkeys(
        (
            "speed for native seed",
            "live seeds of a full seeding rate by two conventions",
            "full seeding rates of one convention differ by",
        ),
        _tags,
    ),
    "seeds a pound of fine seed": lambda: repr(
        [box_depths(_lots(name), JOB.drill) for name in ("big bluestem", "intermediate wheatgrass")]
    ),
    "share of another crop that is named": lambda: _notes(label_notes(_lots("oats"), SeedLaw())),
    "catch near enough": _calibrate,
    "diesel for a no-till seeding pass": _fuel,
    **dict.fromkeys(
        (
            "tractor size for a no-till drill",
            "drawbar of category 2 or less",
            "power a seeder takes up",
            "towing speed",
            "road width without being a wide load",
            "steepest ground to drill",
        ),
        _tractor,
    ),
    **dict.fromkeys((*ACRES, *WIDTHS), lambda: board._yardstick(US)),
    "months a test holds for contracts": _packet,
    **dict.fromkeys(("meter of the drill may be off by", "a meter reads beyond the plan by"), _progress),
    **dict.fromkeys(("a meter reads over the map by", "heaviest seeding that is drilled"), _ledger),
    **dict.fromkeys(
        (
            "tongue of a drawn drill",
            "hitch behind the axle",
            "nose ahead of the axle",
            "half width of a tractor",
        ),
        lambda: repr(Rig.of(JOB).front_reach_m),
    ),
    "a wider drill has": lambda: str(capacity._wider(LENDING.drills[0]).job.drill.rows),
}
