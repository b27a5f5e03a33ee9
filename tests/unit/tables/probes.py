"""For each table what its readers make of a row, in words, chosen so that every cell of it matters."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from types import SimpleNamespace
from typing import Any

from conftest import SAMPLES
from unit.tables import weather_probes
from unit.tables.edits import Row
from unit.tables.machinery import MACHINERY
from unit.tables.plausible import plausible

from fieldplan.errors import InputError
from fieldplan.jobfile.check import Checker
from fieldplan.jobfile.days import fieldwork_day_chance
from fieldplan.jobfile.load import job_of, load_job, read_toml
from fieldplan.jobfile.mix import mixes_of
from fieldplan.jobfile.schema import SCHEMA, TABLES
from fieldplan.model.job import Job
from fieldplan.model.records import Account
from fieldplan.model.seed_law import SeedLaw
from fieldplan.records.packet import packet_of
from fieldplan.report.data.species import species_json
from fieldplan.report.paper import handover
from fieldplan.report.text.card import card_page
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sources import sources_named
from fieldplan.season.program import load_program
from fieldplan.season.requests import column_notes, read_requests
from fieldplan.seed.known import species_facts
from fieldplan.seed.setup_card import setup_card
from fieldplan.seed.tags import tag_notes
from fieldplan.tables import read as tables
from fieldplan.tables.names import species_name
from fieldplan.tables.seed_law import age_limit
from fieldplan.tables.species import published_bushel, sowing_rate, species_figure, witnesses
from fieldplan.units import POUND_KG

US = Quantities("us")
PATH = Path("farm.toml")
JOB = load_job(SAMPLES / "farm.toml")
_FOLDER = TemporaryDirectory()
FOLDER = Path(_FOLDER.name)
MIN_JOB = """
[drill]
name = "ten foot"
rows = 16
row_spacing = "7.5 in"
turning_radius = "20 ft"
[[drill.box]]
name = "grain"
kind = "grain"
volume = "24 ft3"
[[drill.box]]
name = "native"
kind = "native"
volume = "18 ft3"
residual = "5 %"
[[drill.box]]
name = "small"
kind = "small"
volume = "3.2 ft3"
[booking]
fieldwork_day_chance = "55 %"
[[mix]]
name = "hay"
[[mix.component]]
species = "oats"
rate = "60 lb/ac bulk"
purity = "98 %"
germination = "92 %"
bulk_weight = "32 lb/bu"
"""
MIN_SEASON = """
[season]
opens = 2027-04-19
closes = 2027-06-19
requests = "requests.csv"
serve_first = ["asked"]
[[drill]]
name = "ten foot"
job = "farm.toml"
home = { lat = 44.25, lon = -95.75 }
"""
(FOLDER / "farm.toml").write_text(MIN_JOB, encoding="utf-8")
(FOLDER / "weather.toml").write_text(
    MIN_JOB.replace('fieldwork_day_chance = "55 %"', 'weather = "station.csv"'), encoding="utf-8"
)
(FOLDER / "state.toml").write_text(
    MIN_JOB.replace('fieldwork_day_chance = "55 %"', 'state = "Nebraska"\nstart = 2027-05-10'),
    encoding="utf-8",
)
(FOLDER / "station.csv").write_text(
    "USC00000001,20200401,PRCP,254,,,7,0700\nUSC00000001,20200402,PRCP,0,P,,7,0700\nUSC00000001,20200403,PRCP,8,,,7,0700\n",
    encoding="utf-8",
)
(FOLDER / "season.toml").write_text(MIN_SEASON, encoding="utf-8")


def probe_of(table: str, row: Row) -> Callable[[], str]:
    """What to ask, of a row as it stands in the table."""
    return PROBES[table](row)


def _said(checker: Checker) -> str:
    return "\n".join(
        [
            *(f"{note.text} {note.sources}" for note in checker.notes),
            *(f"{problem.text} {problem.hint}" for problem in checker.problems),
        ]
    )


def _asked(row: Row) -> Callable[[], str]:
    def probe() -> str:
        checker = Checker()
        checker.values(row["table"], {}, PATH, row["table"])
        return _said(checker)

    return probe


def _default(row: Row) -> Callable[[], str]:
    def probe() -> str:
        document = read_toml(FOLDER / "farm.toml")
        again = {**document["mix"][0], "name": "again"}
        job = job_of({**document, "mix": [*document["mix"], again], "loading": {}}, FOLDER / "farm.toml")
        return "\n".join(
            [
                repr((job.drill, job.mixes, job.working, job.loading, job.booking)),
                *(f"{note.text} {note.sources}" for note in job.notes),
            ]
        )

    def season() -> str:
        program = load_program(FOLDER / "season.toml")
        return "\n".join([repr(program.terms), *(f"{note.text} {note.sources}" for note in program.notes)])

    def weather() -> str:
        job = load_job(FOLDER / "weather.toml")
        assert job.booking.weather is not None
        record = job.booking.weather.record
        return "\n".join(
            [repr((record.rain_mm, record.treated)), *(f"{note.text} {note.sources}" for note in job.notes)]
        )

    def target() -> str:
        checker = Checker()
        values = checker.values("target", {"name": "upland"}, PATH, "target upland")
        return f"{values!r}\n{_said(checker)}"

    probes = {"season": season, "weather": weather, "target": target}
    return probes.get(row["table"], probe)


def state_job() -> Job:
    """A job whose odds stand on the table's figure for its state."""
    return load_job(FOLDER / "state.toml")


def _mixed(species: str, **given: str) -> str:
    """A mix of one lot as it is read from a job file."""
    lot = {
        "species": species,
        "rate": "20 lb/ac bulk",
        "purity": "90 %",
        "germination": "90 %",
        "bulk_weight": "30 lb/bu",
        **given,
    }
    checker = Checker()
    mixes = mixes_of([({"name": "m", "component": [lot]}, PATH)], PATH, JOB.drill, checker)
    return f"{mixes!r}\n{_said(checker)}"


def _species(row: Row) -> Callable[[], str]:
    """All that is shown of a species, and what a rate in its terms comes to."""
    rates = {
        "seeds per pound": "50 seeds/ft2",
        "full seeding rate": "30 % of stand",
        "box": "20 lb/ac bulk",
    }
    name = f"{row['species']}, {row['type']}" if row["type"] else row["species"]

    def probe() -> str:
        told = species_json([species_facts(name, form=row["form"])])
        rate = rates.get(row["quantity"])
        return told if rate is None else f"{told}\n{_mixed(row['species'], rate=rate)}"

    return probe


def _twins(_row: Row) -> Callable[[], str]:
    """How many of the sources of a count are independent: of switchgrass, and of two that are 5.5 % apart."""
    apart = [
        {"source": key, "low": count} for key, count in (("usda-plants", "100"), ("cfr-201.46", "105.5"))
    ]
    return lambda: str((species_figure("switchgrass", "seeds per pound"), witnesses(apart)))


def _law(row: Row) -> Callable[[], str]:
    """The notes on a lot that is old, weedy and tested by tetrazolium, where that law holds."""
    lot = replace(
        JOB.mixes[0].components[0],
        tested=date(2020, 1, 1),
        purity_frac=0.5,
        germination_frac=0.3,
        hard_frac=0.0,
        weed_frac=0.3,
        inert_frac=0.1,
        other_crop_frac=0.1,
        noxious=("dodder 20/lb",),
        tz_frac=0.9,
        tz_tested=date(2027, 1, 1),
        coating_frac=0.0,
    )
    mix = replace(JOB.mixes[0], components=(lot,))
    law = SeedLaw(state="" if row["state"] == "federal" else row["state"])
    day = date(2027, 5, 3)
    return lambda: (
        "\n".join(f"{note.text} {note.sources}" for note in tag_notes(mix, JOB.drill, 1.0, day, law))
        + repr(age_limit(row["state"]))
    )


def _names(row: Row) -> Callable[[], str]:
    names = [row["species"], row["scientific_name"], row["symbol"], *row["other_names"].split(";")]
    return lambda: (
        str(species_facts(row["species"]))
        + "\n".join(
            f"{name}: {species_name(name)}, {sowing_rate(name)}, {species_figure(name, 'seeds per pound')}"
            for name in names
        )
    )


def _rates(row: Row) -> Callable[[], str]:
    low, high = sowing_rate(row["species"]) or (0.0, 0.0)
    pounds = (low / 6, high * 6)
    return lambda: (
        "\n".join(_mixed(row["species"], rate=f"{pound:.10f} lb/ac PLS", box="grain") for pound in pounds)
        + str(sowing_rate(row["species"]))
        + species_json([species_facts(row["species"])])
    )


def _bushel(row: Row) -> Callable[[], str]:
    low, high = float(row["low"]), float(row["high"])
    weights = (low / 2, low / 3, high * 1.5, high * 1.8)
    return lambda: (
        "\n".join(
            _mixed(row["species"], bulk_weight=f"{weight:g} lb/bu", box="grain") for weight in weights
        )
        + str(published_bushel(row["species"]))
        + species_json([species_facts(row["species"])])
    )


def _carrier(row: Row) -> Callable[[], str]:
    return lambda: _mixed("oats", carrier=f"{row['carrier']} to 2 bu/ac", box="grain")


def _card(row: Row) -> Callable[[], str]:
    (mix,) = JOB.mixes
    wide = replace(JOB.drill, transport_width_m=4.0)
    narrow = replace(JOB.drill, transport_width_m=2.0)
    treated = replace(
        mix, components=tuple(replace(component, treated=True) for component in mix.components)
    )
    cards = ((wide, mix), (narrow, treated)) if "when" in row else ((narrow, mix),)
    return lambda: "\n".join(card_page(setup_card(drill, JOB.tractor, one, 1), US) for drill, one in cards)


def _gates(row: Row) -> Callable[[], str]:
    (mix,) = JOB.mixes
    minimum = float(row["least_seeds_per_lb"])
    sizes = [minimum * 0.9 + 300, minimum * 1.1 + 300]
    lots = [
        replace(mix, components=(replace(mix.components[0], seeds_per_kg=size / POUND_KG),))
        for size in sizes
    ]
    return lambda: "\n".join(card_page(setup_card(JOB.drill, JOB.tractor, lot, 1), US) for lot in lots)


def _handover(_row: Row) -> Callable[[], str]:
    season: Any = SimpleNamespace(
        program=SimpleNamespace(terms=SimpleNamespace(name="s", letterhead=())), placements=()
    )

    def probe() -> str:
        kept, handover.compiled = handover.compiled, lambda _name, data: json.dumps(data, default=str)  # type: ignore[assignment]
        try:
            return str(handover.handover_sheets(season, US, "letter"))  # type: ignore[arg-type]
        finally:
            handover.compiled = kept

    return probe


def _packet(_row: Row) -> Callable[[], str]:
    day = date(2027, 5, 3)
    sown: Any = SimpleNamespace(
        field_id="a", drilled_m2=None, depth_m=None, settings="", practice="", day=day
    )
    seed: Any = SimpleNamespace(
        field_id="a",
        lot="7",
        box="",
        pls_kg=None,
        tag="",
        tested=None,
        origin="",
        receipt="",
        treated=False,
    )
    request: Any = SimpleNamespace(facts={}, ready=day, until=day, fields=None)

    def account(*sown: Any, seed: tuple[Any, ...] = ()) -> Account:
        return SimpleNamespace(request=request, sown=sown, seed=seed, drilled_m2=0.0, returned=False)  # type: ignore[return-value]

    ground: Any = SimpleNamespace(field_id="a", mapped_m2=0.0, plantable_m2=0.0)
    mapped: Any = SimpleNamespace(fields=PATH, facts={}, ready=day, until=day)

    def probe() -> str:
        bare = account()
        bare.request = mapped  # type: ignore[misc]
        found = [packet_of(account(sown, seed=(seed,)), [ground]), packet_of(bare, [ground])]
        return "\n".join(
            str(source)
            for packet in found
            for source in (
                *packet.missing,
                *packet.sources,
                *(why for field in packet.fields for why in field.missing),
            )
        )

    return probe


def _fieldwork_days(row: Row) -> Callable[[], str]:
    def probe() -> str:
        try:
            fieldwork_day_chance("somewhere")
        except InputError as error:
            return f"{_chance(row['place'])} {error} {weather_probes.days_probe(row)()}"
        return ""

    return probe


def _chance(place: str) -> str:
    try:
        return str(fieldwork_day_chance(place))
    except InputError as error:
        return str(error)


def _other_words(row: Row) -> Callable[[], str]:
    def probe() -> str:
        checker = Checker()
        checker.unknown(
            row["word"],
            TABLES if row["table"] == "file" else tuple(SCHEMA[row["table"]]),
            row["table"],
            file="f",
        )
        return _said(checker)

    def requests() -> str:
        cells = {
            "request": "R1",
            "renter": "x",
            "ready": "2027-05-03",
            "until": "2027-05-28",
            "asked": "2027-03-01",
            "acres": "24",
            "fields": "",
            "lat": "44.25",
            "lon": "-95.75",
            "boxes": "",
            "tractor_hp": "75",
        }
        own = {row["word"] if name == row["meant"] else name: cell for name, cell in cells.items()}
        path = FOLDER / "requests.csv"
        path.write_text(f"{','.join(own)}\n{','.join(own.values())}\n", encoding="utf-8")
        return "\n".join(str(column_note) for column_note in column_notes(read_requests(path)))

    return requests if row["table"] == "requests" else probe


def _sources(row: Row) -> Callable[[], str]:
    def probe() -> str:
        for table in (
            "defaults",
            "machinery",
            "species",
            "carriers",
            "setup_steps",
            "cautions",
            "handover",
            "packet",
            "plausible",
            "fieldwork_days",
            "drainage",
            "rain_rules",
            "soil_evaporation",
            "soil_temperatures",
            "sowing_windows",
            "frost_rules",
            "survey_weeks",
            "weather",
            "seed_gates",
            "bushel_weights",
            "sowing_rates",
            "clean_out",
            "test_ages",
            "sale_limits",
            "seed_rules",
        ):
            tables.rows(table)
        return "\n".join([*sources_named([row["key"]]), tables.source(row["key"]).title])

    return probe


PROBES: dict[str, Callable[[Row], Callable[[], str]]] = {
    "asked": _asked,
    "bushel_weights": _bushel,
    "carriers": _carrier,
    "cautions": _card,
    "clean_out": _handover,
    "defaults": _default,
    "drainage": weather_probes.drainage_probe,
    "fieldwork_days": _fieldwork_days,
    "frost_rules": weather_probes.frost_probe,
    "handover": _handover,
    "machinery": lambda row: MACHINERY[row["key"]],
    "other_words": _other_words,
    "packet": _packet,
    "plausible": plausible,
    "rain_rules": weather_probes.rain_rules_probe,
    "sale_limits": _law,
    "seed_gates": _gates,
    "setup_steps": _card,
    "soil_evaporation": weather_probes.evaporation_probe,
    "soil_temperatures": weather_probes.soil_probe,
    "sources": _sources,
    "sowing_windows": weather_probes.window_probe,
    "sowing_rates": _rates,
    "species": _species,
    "species_names": _names,
    "test_ages": _law,
    "twins": _twins,
    "seed_rules": _law,
    "survey_weeks": weather_probes.weeks_probe,
    "weather": lambda row: weather_probes.WEATHER[row["key"]],
}
