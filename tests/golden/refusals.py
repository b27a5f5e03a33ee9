"""One small input for each way to be refused or warned; pages are named for codes, and for the tables of
slips that tests hold.
"""

from __future__ import annotations

import json
import shlex
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import cli.test_boundary_faults as boundary
import cli.test_mix_commands as mixes
import cli.test_season_records as records
import cli.test_slips as slips
import cli.test_stock_commands as stock
import cli.test_weather_commands as weather
import unit.weather.test_reading as readings
from conftest import SAMPLES
from golden.bench import run
from golden.inputs import RECORD, fields_text, job_text, small_requests, small_season, with_record, write
from shapely import MultiPolygon, box

Make = Callable[[Path], str]
"""Puts the input into a folder and gives the command line, which names it from there."""
MAX_OF_A_CODE = 3
"""Boundary faults shown of one code."""
_SLOW = {"endless edges", "too many parts"}
"""Boundary faults that take seconds, and whose words are told by others too."""
_ONCE = {"crs-elsewhere": 1, "crs-missing": 3, "coordinates-off-earth": 1}
"""Codes whose search for what was meant takes long: so many of each, told in one system, since their words hold both."""
_PLAN = "plan field.geojson --job job.toml --today 2027-04-01 -q"
_REGION = "region field.geojson --job job.toml"
_RATES = (SAMPLES / "rates.toml").read_text(encoding="utf-8")


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """One file under ``pages/refusals/``: inputs that get the same code, each with all that is said."""

    name: str
    makes: tuple[Make, ...]
    in_both: bool = False

    def text(self, folder: Path) -> str:
        """The page as it is now."""
        return "\n".join(self._said(folder / str(i), make) for i, make in enumerate(self.makes))

    def _said(self, folder: Path, make: Make) -> str:
        folder.mkdir()
        line = make(folder)
        us = run(folder, line)
        if not self.in_both:
            return us.sentence
        metric = run(folder, f"{line} --units metric")
        alike = (us.code, us.out, us.err) == (metric.code, metric.out, metric.err)
        return (
            f"{us.sentence}--- the same in metric units\n" if alike else f"{us.sentence}\n{metric.sentence}"
        )


def _fault(make: boundary.Make, options: tuple[str, ...], folder: Path) -> str:
    path = make(folder)
    named = path.relative_to(folder) if path.is_relative_to(folder) else path
    return " ".join(["check", f"'{named}'", *(f"'{option.format(folder='.')}'" for option in options)])


def _faults() -> Iterator[Refusal]:
    by_code: dict[str, list[Make]] = {}
    for name, make, options, _, codes, _ in boundary.FAULTS:
        if name not in _SLOW:
            by_code.setdefault(codes.split("|")[-1] or "accepted", []).append(
                partial(_fault, make, options)
            )
    return (
        Refusal(name=code, makes=tuple(makes[: _ONCE.get(code, MAX_OF_A_CODE)]), in_both=code not in _ONCE)
        for code, makes in by_code.items()
    )


def _job(folder: Path, *changes: tuple[str, str], line: str = _PLAN, field: str = slips.SQUARE % "") -> str:
    write(folder, {"job.toml": job_text(*changes), "rates.toml": _RATES, "field.geojson": field})
    return line


def _changed(*changes: tuple[str, str], line: str = _PLAN) -> Make:
    return lambda folder: _job(folder, *changes, line=line)


def _season_entries(*entries: str) -> Make:
    """All entries but the last are taken."""

    def make(folder: Path) -> str:
        lines = [f"season record small/season.toml {entry} --ledger spring.ledger" for entry in entries]
        _small(folder)
        for line in lines[:-1]:
            assert run(folder, line).code == 0
        return lines[-1]

    return make


def _small(
    folder: Path,
    *changes: tuple[str, str],
    requests: str = small_requests(),
    line: str = "season plan small/season.toml --what-if",
) -> str:
    """A season of five requests and one drill; those that the records' tests name stand in it."""
    drill = '\n[[drill]]\nname = "prairie"\njob = "farm.toml"\nhome = { lat = 44.250, lon = -95.750 }\ndays_off = ["Saturday", "Sunday", 2027-05-31]\n'
    write(
        folder,
        {
            "small/season.toml": small_season(*changes) + drill,
            "small/requests.csv": requests,
            "small/rates.toml": _RATES,
            "small/farm.toml": job_text(),
        },
    )
    return line


def _of_records() -> Iterator[Refusal]:
    by_code = {}
    for lines, code, _ in records.CONTRADICTIONS:
        if "R03" not in lines[0]:
            by_code.setdefault(code, _season_entries(*lines))
    yield from (Refusal(name=f"record-{code}", makes=(make,)) for code, make in by_code.items())
    yield Refusal(name="record-unreadable", makes=tuple(_season_entries(line) for line, _ in records.TYPED))


def _of_mixes() -> Iterator[Refusal]:
    """Targets that cannot be met or read, and rows that a stock file does not take."""
    text = mixes.TEXT

    def target(*changes: tuple[str, str]) -> Make:
        changed = text
        for old, new in changes:
            changed = changed.replace(old, new)
        return _with({"target.toml": changed}, "mix target.toml")

    yield Refusal(
        name="mix-contradicts",
        makes=(target(("$260/ac", "$150/ac")), target(("40 to 60 %", "at least 90 %"), ("$260", "$20"))),
        in_both=True,
    )
    yield Refusal(name="mix-target", makes=tuple(target(*changes) for changes, _ in mixes.FAULTS))
    stock_text = stock.HEADER + stock.BOUGHT.format(5000)
    yield Refusal(
        name="stock-rows",
        makes=tuple(
            _with(
                {"stock.csv": stock_text},
                shlex.join(["stock", "record", "stock.csv", *words, "day=2027-04-01"]),
            )
            for words, code, _ in stock.REFUSED
            if code == 3 and not any(word.startswith("day=") for word in words)
        ),
    )


def _of_slips() -> Iterator[Refusal]:
    tables = {
        "slips-hardly-right": slips.REFUSED,
        "slips-unreadable": slips.UNREADABLE,
        "slips-broken": slips.BROKEN,
    }
    for name, rows in tables.items():
        yield Refusal(name=name, makes=tuple(_changed(row[:2]) for row in rows))
    yield Refusal(
        name="slips-unlikely", makes=tuple(_changed(row[:2]) for row in slips.WARNED[::2]), in_both=True
    )


def _of_records_of_weather() -> Iterator[Refusal]:
    """Files that are no weather record, and slips in the table that says how to read one."""
    yield Refusal(
        name="weather-records",
        makes=tuple(_with({"station.csv": text}, "weather station.csv") for text, _ in readings.REFUSED),
    )
    yield Refusal(
        name="weather-slips",
        makes=tuple(
            _with(
                {
                    "job.toml": with_record("station.csv", line),
                    "station.csv": RECORD,
                    "rates.toml": _RATES,
                    "field.geojson": slips.SQUARE % "",
                },
                _PLAN,
            )
            for line, _ in weather.FAULTS
            if not line.startswith("survey")
        ),
    )


def _with(files: Mapping[str, str], line: str) -> Make:
    def make(folder: Path) -> str:
        write(folder, files)
        return line

    return make


_CALIBRATE = '--rate "25 lb/ac bulk" --spacing "7.5 in" --rows 16'
_CAUGHT = "calibrate --job job.toml --caught"
_PROGRESS = "progress field.geojson --job job.toml --today 2027-04-01"
_FEE = "fee rates.toml"
_LEDGER = "--ledger spring.ledger"
USAGE: dict[str, str] = {
    "quiet-and-verbose": f"{_PLAN} -v",
    "write-nowhere": f"{_PLAN} --write page",
    "write-unknown": f"{_PLAN} --out plans --write pages,sheat",
    "date-unreadable": "plan field.geojson --job job.toml --today 4/1/2027",
    "near-unreadable": "check field.geojson --near 95.75W,44.25",
    "set-back-unreadable-option": 'check field.geojson --set-back "30"',
    "heading-unreadable": f"{_PLAN} --heading north",
    "no-such-option": f"{_PLAN} --unit metric",
    "no-such-command": "plans field.geojson",
    "no-such-choice": f"{_PLAN} --units imperial",
    "argument-missing": "plan --job job.toml",
    "option-missing": "plan field.geojson",
    "value-empty": 'plan "" --job job.toml',
    "job-not-found": "plan field.geojson --job jobs.toml",
    "box-not-said": f'{_CAUGHT} "212 g" --tubes 4',
    "box-unknown": f'{_CAUGHT} "212 g" --tubes 4 --box native',
    "tubes-not-said": f'{_CAUGHT} "212 g" --box grain',
    "caught-nothing": f'{_CAUGHT} "0 g" --tubes 4 --box grain',
    "quantity-needs-unit": f"{_CAUGHT} 212 --tubes 4 --box grain",
    "calibrate-what": "calibrate",
    "calibrate-drill": 'calibrate --rate "25 lb/ac bulk"',
    "rate-of-live-seed": f"calibrate {_CALIBRATE}".replace("bulk", "PLS"),
    "rate-unreadable": f"calibrate {_CALIBRATE}".replace("25 lb/ac bulk", "25"),
    "slip-without-turns": f'calibrate {_CALIBRATE} --slip "6 %"',
    "slip-unlikely": f'calibrate {_CALIBRATE} --turns 20 --wheel "8 ft" --slip "96 %"',
    "turns-and-distance": f'calibrate {_CALIBRATE} --turns 20 --distance "100 ft"',
    "wheel-unknown": f"calibrate {_CALIBRATE} --turns 20",
    "distance-unlikely": f'calibrate {_CALIBRATE} --distance "1 ft"',
    "option-range": f"calibrate {_CALIBRATE}".replace("7.5 in", "7.5 mi"),
    "option-idle": "calibrate --job job.toml --setting 40",
    "mix-unknown": 'setup --job job.toml --mix "prairie"',
    "fee-half": f"{_FEE} field.geojson",
    "fee-acres-not-said": f"{_FEE} --days 2",
    "number-unlikely": f"{_FEE} --meter-acres -4",
    "when-unreadable": f"{_FEE} --meter-acres 4 --when outside",
    "when-twice": f"{_FEE} --meter-acres 4 --when area=outside --when area=inside",
    "when-unknown": f"{_FEE} --meter-acres 4 --when area=abroad --when weather=fine",
    "done-which": f'{_PROGRESS} --metered "4 ac" --worked "2 h" --done south',
    "left-which": f'{_PROGRESS} --metered "4 ac" --worked "2 h" --left "rye=40 lb"',
    "left-twice": f'{_PROGRESS} --metered "4 ac" --worked "2 h" --left "oats=40 lb" --left "oats=50 lb"',
    "left-unreadable": f'{_PROGRESS} --metered "4 ac" --worked "2 h" --left "oats=40"',
    "left-unlikely": f'{_PROGRESS} --metered "4 ac" --worked "2 h" --left "oats=-40 lb"',
    "left-too-much": f'{_PROGRESS} --metered "4 ac" --worked "2 h" --left "oats=40000 lb"',
    "metered-too-much": f'{_PROGRESS} --metered "400 ac" --worked "2 h"',
    "metered-too-little": f'{_PROGRESS} --metered "4 ac" --worked "2 h" --done field-1',
    "nothing-done": f'{_PROGRESS} --metered "0 ac" --worked "2 h"',
    "season-request-unknown": f"season invoice small/season.toml R99 {_LEDGER}",
    "ledger-not-found": "season board small/season.toml --ledger autumn.ledger",
    "ledger-foreign": "season board small/season.toml --ledger job.toml",
    "record-what": f"season record small/season.toml {_LEDGER}",
    "kind-unknown": f"season record small/season.toml off request=R05 {_LEDGER}",
    "board-column": f"season board small/season.toml --by township {_LEDGER}",
    "bill-no-loan": f"season invoice small/season.toml R08 {_LEDGER}",
    "bill-still-out": f"season invoice small/season.toml R05 {_LEDGER} --day 2027-05-01",
    "bookings-not-a-season": "season rain small/season.toml --was small/farm.toml --today 2027-04-27",
    "done-unreadable": 'season rain small/season.toml --was was/season.json --today 2027-04-27 --done "R05=half"',
    "rain-date-unreadable": "season rain small/season.toml --was was/season.json --today 2027-04-27 --lost tomorrow",
    "file-exists": "init .",
    "region-nowhere": _REGION,
    "region-no-attribute": f"{_REGION} --dry-run --by watershed",
    "region-sums-not-found": "season capacity small/season.toml --region .",
    "region-sums-other": "season capacity small/season.toml --region field.geojson",
    "ground-without-region": 'season capacity small/season.toml --ground "40 ac"',
    "workers-and-scheduler": f"{_REGION} --out county --workers 2 --scheduler tcp://127.0.0.1:8786",
    "job-for-half": f"{_REGION} --out county --job-field practice",
    "job-for-unreadable": f"{_REGION} --out county --job-field practice --job-for hay",
}
"""Command lines that are refused beside a field, the farm's job, a rate card and a season of which one drill is out; by code."""


def _usage(line: str, folder: Path) -> str:
    _job(folder)
    if line.startswith("season"):
        _small(folder)
        assert run(folder, f"season record small/season.toml {records.OUT} {_LEDGER}").code == 0
    return line


_BOOKING, _DRILL, _OATS = "[booking]", "[drill]", 'lot = "QF-2214"'
_WHOLE = _PLAN.removesuffix(" -q")
JOBS: dict[str, Make] = {
    "finish-before-start": _changed((_BOOKING, "[booking]\nstart = 2027-05-10\nfinish_by = 2027-05-01")),
    "tag-parts": _changed(
        ('purity = "98.5 %"', 'purity = "98.5 %"\ninert = "1 %"\nother_crop = "1 %"\nweed_seed = "1 %"')
    ),
    "tag-over-100": _changed(('germination = "92 %"', 'germination = "92 %"\ndormant = "20 %"')),
    "form-missing": _changed(
        ('species = "oats"', 'species = "sideoats grama"'),
        ('rate = "60 lb/ac bulk"', 'rate = "20 seeds/ft2"'),
    ),
    "form-unknown": _changed(
        ('species = "oats"', 'species = "buffalograss"\nform = "flakes"'),
        ('rate = "60 lb/ac bulk"', 'rate = "8 lb/ac PLS"'),
    ),
    "test-limit-source": _changed((_BOOKING, "[seed_law]\ntest_limit_months = 12\n[booking]")),
    "seed-law": _changed(
        (_BOOKING, '[seed_law]\nstate = "Iowa"\nfrom_state = "Nebraska"\n[booking]'),
        (_OATS, f'{_OATS}\ntested = "2026-01"\nnoxious = ["quackgrass 9/lb"]\nweed_seed = "1.51 %"'),
        ('purity = "98.5 %"', 'purity = "90 %"'),
        line=_WHOLE,
    ),
    "tag-coating": _changed(('purity = "98.5 %"', 'purity = "98.5 %"\ncoating = "30 %"')),
    "price-unreadable": _changed((_OATS, f'{_OATS}\nprice = "cheap"')),
    "currencies": _changed((_OATS, f'{_OATS}\nprice = "€21/bag"'), line=_WHOLE),
    "box-twice": _changed(('name = "native"', 'name = "grain"')),
    "chart-twice": _changed(
        ("[working]", 2 * '[[drill.chart]]\nseed = "oats"\nsetting = 40\nrate = "50 lb/ac"\n' + "[working]")
    ),
    "carrier-unknown": _changed((_OATS, f'{_OATS}\ncarrier = "sand to 2 bu/ac"')),
    "native-speed-and-box": _changed(
        ('species = "oats"', 'species = "little bluestem"'),
        ('rate = "60 lb/ac bulk"', 'rate = "4 lb/ac PLS"'),
        line=_WHOLE,
    ),
    "metering-out-of-range": _changed(
        ('drive = "left"', 'drive = "left"\nmetering = ["3 bu/ac", "6 bu/ac"]'), line=_WHOLE
    ),
    "test-old": _changed((_OATS, f"{_OATS}\ntested = 2025-11-02"), line=_WHOLE),
    "finish-by-missed": _changed((_BOOKING, "[booking]\nstart = 2027-05-14\nfinish_by = 2027-05-14")),
    "booking-none": _changed(
        (
            'hours_per_day = "8 h"',
            'hours_per_day = "10 min"\nmeant = ["hours_per_day", "fieldwork_day_chance"]',
        ),
        ('fieldwork_day_chance = "55 %"', 'fieldwork_day_chance = "5 %"'),
    ),
    "tractor-fails": _changed(
        (
            "rows = 16",
            'rows = 16\nmin_pto_power = "80 hp"\nmin_remotes = 2\nhitch = "three-point category 2"',
        ),
        line=_WHOLE,
    ),
    "keys-missing": lambda folder: _with(
        {"job.toml": '[drill]\nrows = 16\n[[mix]]\nname = "m"\n', "field.geojson": slips.SQUARE % ""}, _PLAN
    )(folder),
    "mix-not-said": lambda folder: _with(
        {"job.toml": (SAMPLES / "restoration.toml").read_text(encoding="utf-8")}, "setup --job job.toml"
    )(folder),
    "mix-unknown-to-a-field": lambda folder: _job(folder, field=slips.SQUARE % '"mix": "oats"'),
    "field-too-narrow": lambda folder: _job(
        folder, field=fields_text({"lane": box(0, 0, 2, 150), "wide": box(20, 0, 120, 150)})
    ),
    "parts-missed": lambda folder: _job(
        folder, field=fields_text({"parts": MultiPolygon([box(400, 0, 460, 100), box(480, 0, 482, 100)])})
    ),
    "nothing-drilled": lambda folder: _job(folder, field=fields_text({"lane": box(0, 0, 2, 150)})),
    "nothing-drilled-progress": lambda folder: _job(
        folder,
        field=fields_text({"lane": box(0, 0, 2, 150)}),
        line=f'{_PROGRESS} --metered "1 ac" --worked "1 h"',
    ),
    "chart-outside": _changed(
        (
            "[working]",
            '[[drill.chart]]\nseed = "oats"\nsetting = 40\nrate = "50 lb/ac"\n[[drill.chart]]\nseed = "oats"\nsetting = 50\nrate = "70 lb/ac"\n[working]',
        ),
        line='calibrate --job job.toml --box grain --caught "900 g" --tubes 4 --setting 45',
    ),
}
"""What is wrong, or found, in a job."""

CARDS: dict[str, tuple[str, str]] = {
    "card-tier-ambiguous": ('tiers_apply = "extra acres"', "#"),
    "card-least-acres": ('rate = "$15/ac"', 'rate = "15"'),
    "card-key-unknown": ('least = "$120"', 'minimum = "$120"'),
    "card-currency": ('rate = "$150"', 'rate = "€150"'),
}
"""What is wrong in a rate card."""


def _card(change: tuple[str, str], folder: Path) -> str:
    write(folder, {"rates.toml": _RATES.replace(*change, 1)})
    return "fee rates.toml --meter-acres 45 --days 5"


_ROW = "R20,Alder Hill,2027-03-01,2027-05-01,2027-05-20,,{acres},{lat},-95.7,oats and alfalfa,75,Thistle,pasture,1,1,555-0199"
SEASONS: dict[str, Make] = {
    "request-row": partial(
        _small,
        requests=small_requests(
            "R20,Alder Hill,2027-03-01,5/1/2027,2027-05-20,,,95.7,44.2,oats,2,Thistle,pasture,1,1,"
        ),
    ),
    "request-far": partial(_small, requests=small_requests(_ROW.format(acres=12, lat=34.2))),
    "request-too-long": partial(_small, requests=small_requests(_ROW.format(acres=900, lat=44.2))),
    "request-twice": partial(
        _small, requests=small_requests(_ROW.format(acres=9, lat=44.2), _ROW.format(acres=9, lat=44.2))
    ),
    "column-missing": partial(_small, requests=small_requests().replace("until", "till", 1)),
    "column-like": partial(_small, requests=small_requests().replace("tractor_hp", "tractor_hps", 1)),
    "season-ends-early": lambda folder: _small(folder, ("closes = 2027-06-19", "closes = 2027-03-19")),
    "season-long": lambda folder: _small(folder, ("closes = 2027-06-19", "closes = 2029-06-19")),
    "rule-column": lambda folder: _small(folder, ('"county = Thistle"', '"township = Thistle"')),
    "drill-far": lambda folder: _small(folder, ("lat = 44.250", "lat = 34.250")),
    "drill-twice": lambda folder: _small(folder, ('name = "ten foot"', 'name = "prairie"')),
    "season-requests-not-found": lambda folder: _small(folder, ('"requests.csv"', '"request.csv"')),
    "confidence-high": lambda folder: _small(folder, ('confidence = "80 %"', 'confidence = "99.9 %"')),
}
"""What is wrong, or found, in a season."""


def _bookings(arguments: str, folder: Path) -> str:
    """A rain after a season that was planned as one booking."""
    _small(folder)
    booking = {
        "request": "R05",
        "renter": "Turnip Lane",
        "drill": "ten foot",
        "days": ["2027-04-24", "2027-04-26", "2027-04-27"],
    }
    write(folder, {"was.json": json.dumps({"schema": "fieldplan/season/1", "bookings": [booking]})})
    return f"season rain small/season.toml --was was.json {arguments}"


RAINS = {
    "rain-done-not-said": "--today 2027-04-26",
    "rain-done-twice": '--today 2027-04-26 --done "R05=40 %" --done "R05=50 %"',
    "rain-done-unknown": '--today 2027-04-19 --done "R08=50 %"',
    "rain-lost-outside": '--today 2027-04-26 --done "R05=40 %" --lost 2026-01-01',
}
"""What is wrong in the words about a rain."""

REFUSALS: tuple[Refusal, ...] = (
    *_faults(),
    *_of_slips(),
    *_of_records_of_weather(),
    *_of_records(),
    *_of_mixes(),
    *(Refusal(name=name, makes=(partial(_usage, line),)) for name, line in USAGE.items()),
    *(Refusal(name=name, makes=(make,), in_both=True) for name, make in JOBS.items()),
    *(Refusal(name=name, makes=(partial(_card, change),), in_both=True) for name, change in CARDS.items()),
    *(
        Refusal(
            name=name,
            makes=(make,),
            in_both=name not in ("column-like", "request-twice", "request-too-long"),
        )
        for name, make in SEASONS.items()
    ),
    *(Refusal(name=name, makes=(partial(_bookings, line),)) for name, line in RAINS.items()),
)
