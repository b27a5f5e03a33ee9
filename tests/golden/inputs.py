"""What golden pages are about besides the samples: a job with every kind of finding, ground not to sow, a
small season.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

import shapely
from conftest import SAMPLES
from shapely import box
from shapely.geometry.base import BaseGeometry

from fieldplan.plane.frame import Frame

FARM = (SAMPLES / "farm.toml").read_text(encoding="utf-8")
RECORD = (SAMPLES / "station.csv").read_text(encoding="utf-8")
CHART = "".join(
    f'[[drill.chart]]\nseed = "oats"\nrange = "low"\nsetting = {at}\nrate = "{rate} lb/ac"\n'
    for at, rate in ((40, 50), (50, 70))
)
POSTED = (
    '[drill]\nweight = "4800 lb"\nwheel_circumference = "7.5 ft"\ntransport_width = "11 ft"\nreverse_turns = false\n'
    'min_pto_power = "80 hp"\nmin_remotes = 1\nhitch = "drawbar, category 2"\n'
)
RICH = (
    ("[drill]", POSTED),
    (
        "[working]",
        f'{CHART}[working]\ntube_check = "5 min"\nbreak = "20 min"\nbreak_every = "3 h"\nsowings = 2\n',
    ),
    (
        "[booking]",
        '[field.pond]\nslope = "12 %"\ngate_width = "14 ft"\n[booking]\nstart = 2027-05-10\nfinish_by = 2027-05-12\ndays_off = ["Sunday"]\n'
        'persistence = "40 %"\nuncertainty = "10 %"\n',
    ),
    (
        'species = "alfalfa"',
        'species = "alfalfa"\ncarrier = "rice hulls to 1 bu/ac"\nprice = "$4.10/lb"\ntested = 2025-11-02\ntreated = true',
    ),
    ('species = "oats"', 'species = "oats"\nprice = "$21/bag"'),
)
"""A drill with all that its owner posts, a tractor that is too weak for it, an end that is too early, seed with price, carrier and an old test."""
COUNTY = {
    "fields": "county.parquet",
    "n_rows": 900,
    "n_sample": 60,
    "groups": [
        {
            "refused": {"outline-invalid": 2},
            "refused_m2": 300_000.0,
            "job_s": 2_520_000.0,
            "standard_error": {"job_s": 201_600.0},
            "fleets": [
                {
                    "job": job,
                    "drill_width_m": width_m,
                    "boxes": boxes,
                    "parcels": parcels,
                    "plantable_m2": 1e6 * parcels / 50,
                    "work_s": 2_800.0 * parcels,
                }
                for job, width_m, boxes, parcels in (
                    ("hay.toml", 3.048, ["grain", "small"], 700),
                    ("natives.toml", 3.6576, ["native"], 200),
                )
            ],
        }
    ],
}
"""What a region's folder says of its work: hay with the drill of the season, natives with one that it has not."""
NARROW = {
    "wide": box(0, 0, 100, 150),
    "lane": box(300, 0, 302, 150),
    "wet": box(420, 0, 480, 100),
    "astray": box(600, 0, 680, 100),
}


def job_text(*changes: tuple[str, str]) -> str:
    """The sample farm's job with some of its text changed."""
    text = FARM
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return text


def fields_text(shapes: Mapping[str, BaseGeometry], **properties: str) -> str:
    """GeoJSON of shapes in metres about a place, their names as ids."""
    frame = Frame(-95.0, 44.0)
    features = [
        {
            "type": "Feature",
            "properties": {"id": name, **properties},
            "geometry": shapely.geometry.mapping(frame.to_lonlat(shape)),
        }
        for name, shape in shapes.items()
    ]
    return json.dumps({"type": "FeatureCollection", "features": features})


def write(folder: Path, files: Mapping[str, str]) -> None:
    """Texts under their names."""
    for name, text in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")


def lay_out(folder: Path) -> None:
    """Put on the bench what the samples do not have."""
    astray = "[field.astray]\nseed_at = { lat = 0, lon = 0 }\ngate = { lat = -44, lon = 95 }\n[booking]\n"
    hardly = (
        'hours_per_day = "8 h"',
        'hours_per_day = "10 min"\nmeant = ["hours_per_day", "fieldwork_day_chance"]',
    )
    write(
        folder,
        {
            "rates.toml": (SAMPLES / "rates.toml").read_text(encoding="utf-8"),
            "rich.toml": job_text(*RICH),
            "trouble.toml": job_text(
                ("[booking]", astray),
                hardly,
                ('fieldwork_day_chance = "55 %"', 'fieldwork_day_chance = "9 %"'),
            ),
            "trouble.geojson": fields_text(NARROW),
            "wet.geojson": fields_text(
                {"wet": box(410, -10, 490, 110), "ditch": box(20, 60, 60, 62)}, reason="too wet"
            ),
            "small/season.toml": small_season(),
            "small/year.toml": small_season(),
            "small/requests.csv": small_requests(),
            "small/rates.toml": (SAMPLES / "rates.toml").read_text(encoding="utf-8"),
            "small/farm.toml": FARM,
            "weather.toml": with_record("station.csv"),
            "station.csv": RECORD,
            "small/weather.toml": small_season(
                ("[season]", '[weather]\nsurvey = "Iowa"\n[season]\nweather = "station.csv"')
            ),
            "small/station.csv": RECORD,
            "small/county/summary.json": json.dumps(COUNTY),
        },
    )


def with_record(named: str, *weather: str) -> str:
    """The sample farm's job on a weather record, with lines of its table ``[weather]``."""
    lines = "\n".join(('survey = "Iowa"', *weather))
    booking = f'[weather]\n{lines}\n[booking]\nweather = "{named}"\n'
    dates = 'state = "Missouri"\nstart = 2027-05-03\nfinish_by = 2027-06-05\ndays_off = ["Sunday"]\n'
    return job_text(("[booking]", booking + dates), ('fieldwork_day_chance = "55 %"', "# typed by nobody"))


def small_season(*changes: tuple[str, str]) -> str:
    """The sample season with its first drill alone and shared days."""
    text = (SAMPLES / "season.toml").read_text(encoding="utf-8").partition('[[drill]]\nname = "prairie"')[0]
    for old, new in (("longest_booking", "share_days = true\nlongest_booking"), *changes):
        assert old in text
        text = text.replace(old, new, 1)
    return text


def small_requests(*more: str) -> str:
    """A head and the five requests that are soonest planned."""
    head, *rows = (SAMPLES / "requests.csv").read_text(encoding="utf-8").splitlines()
    chosen = [row for row in rows if row[:3] in ("R02", "R05", "R06", "R08", "R10")]
    return "\n".join([head, *chosen, *more]) + "\n"
