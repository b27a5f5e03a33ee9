"""Slips of the hand in job files, one row a slip: each is named with what would be right; and odd input
that is right, without a word.
"""

from __future__ import annotations

import re
import shutil
import time
from pathlib import Path

import pytest
from conftest import SAMPLES

from fieldplan.cli.main import exit_code
from fieldplan.errors import Problem
from fieldplan.jobfile.hints import line_of, right_form
from fieldplan.jobfile.load import load_job
from fieldplan.jobfile.schema import SCHEMA
from fieldplan.jobfile.values import Quantity
from fieldplan.tables import read as tables
from fieldplan.tables.bands import band_of
from fieldplan.tables.species import published_bushel

FARM = (SAMPLES / "farm.toml").read_text(encoding="utf-8")
SQUARE = (
    '{"type": "Feature", "properties": {%s}, "geometry": {"type": "Polygon", "coordinates": '
    "[[[-95.75, 44.25], [-95.747, 44.25], [-95.747, 44.2522], [-95.75, 44.2522], [-95.75, 44.25]]]}}"
)
SPACING, RADIUS, ROWS, HOURS = (
    'row_spacing = "7.5 in"',
    'turning_radius = "20 ft"',
    "rows = 16 ",
    'hours_per_day = "8 h"',
)
SPEED, GERMINATION, PURITY, RATE = (
    'field_speed = "4.5 mph"',
    'germination = "82 %"',
    'purity = "99 %"',
    'rate = "12 lb/ac PLS"',
)
WEIGHT, SPECIES, START = 'bulk_weight = "32 lb/bu"', 'species = "alfalfa"', "[booking]"


_DOUBT = "If it is right, say so"
"""What every doubt of a value ends in; findings on the tractor are no doubts."""


def _answer(
    changes: tuple[tuple[str, str], ...],
    folder: Path,
    capsys: pytest.CaptureFixture[str],
    properties: str = "",
) -> tuple[int, str]:
    """Exit code and all that is said of the short answer for the farm's job with some text changed."""
    text = FARM
    for right, slip in changes:
        assert right in text
        text = text.replace(right, slip, 1)
    shutil.copy(SAMPLES / "rates.toml", folder)
    (folder / "job.toml").write_text(text, encoding="utf-8")
    (folder / "field.geojson").write_text(SQUARE % properties, encoding="utf-8")
    code = exit_code(
        [
            "plan",
            str(folder / "field.geojson"),
            "--job",
            str(folder / "job.toml"),
            "--today",
            "2027-04-01",
            "-q",
        ]
    )
    sentence = capsys.readouterr()
    assert "Traceback" not in sentence.err
    return code, re.sub(r"\s+", " ", sentence.out + sentence.err)


REFUSED = [
    (
        'box = "small"',
        'box = "small"\ncarrier = "rice hulls at 90 lb/bu to 20 bu/ac"',
        "weighs 10 times the published weight",
    ),
    (
        SPACING,
        'row_spacing = "7.5 ft"',
        'Did you mean "7.5 in"? If it is right, say so with the line meant = ["row_spacing"] below [drill]',
    ),
    (SPACING, 'row_spacing = "75 in"', 'Did you mean "7.5 in" or "75 cm"?'),
    (SPACING, 'row_spacing = "7,500 in"', 'Did you mean "7.5 in"?'),
    (SPACING, 'row_spacing = "0.75 in"', 'Did you mean "7.5 in" or'),
    (RADIUS, 'turning_radius = "20 in"', 'Did you mean "20 ft"?'),
    (SPEED, 'field_speed = "45 mph"', 'Did you mean "4.5 mph"?'),
    ('turn_speed = "3 mph"', 'turn_speed = "30 mph"', 'Did you mean "3 mph"?'),
    ('set_up = "30 min"', 'set_up = "30 h"', 'Did you mean "30 min" or'),
    ('refill_time = "15 min"', 'refill_time = "15 h"', 'Did you mean "15 min"?'),
    (HOURS, 'hours_per_day = "8 min"', 'meant = ["hours_per_day"]'),
    (PURITY, 'purity = "0.99 %"', 'Did you mean "99 %"?'),
    (RATE, 'rate = "300 lb/ac PLS"', "is 15 times the published full seeding rate"),
    (RATE, 'rate = "3,000 seeds/ft2"', "can hardly be right"),
    (
        PURITY,
        f"{PURITY}\nseeds_per_pound = 2270",
        "is 0.011 times the published number of seeds by weight",
    ),
    (WEIGHT, 'bulk_weight = "3.2 lb/bu"', "is 0.1 times the published bulk weight"),
    ('volume = "24 ft3"', 'volume = "24 l"', "0.085 ft3 per foot of the drill's width"),
    ('confidence = "80 %"', 'confidence = "8 %"', 'Did you mean "80 %"?'),
    (
        'pto_power = "75 hp"',
        'pto_power = "75 hp"\n[field.field-1]\nslope = "800 %"',
        "slope is out of range",
    ),
    ("remotes = 1", "remotes = 1\n[drill.x]", 'has no key "x"'),
    (RADIUS, f'{RADIUS}\nlender = "district office"', "without a telephone number"),
]
WARNED = [
    (ROWS, "rows = 142\n#", "the drill is 89 ft wide"),
    (ROWS, "rows = 160\n#", "Did you mean 16?"),
    (SPACING, 'row_spacing = "7.5 cm"', 'Did you mean "7.5 in"?'),
    (RADIUS, 'turning_radius = "5 ft"', "8.0 ft to 50 ft is likely"),
    (SPEED, 'field_speed = "14 mph"', "1.5 mph to 9 mph is likely"),
    ('refill_time = "15 min"', 'refill_time = "15 s"', 'Did you mean "15 min"?'),
    (HOURS, 'hours_per_day = "20 h"', "a working day is that long"),
    ('fieldwork_day_chance = "55 %"', 'fieldwork_day_chance = "5.5 %"', 'Did you mean "55 %"?'),
    (GERMINATION, 'germination = "0.82 %"', 'Did you mean "82 %"?'),
    ('overage = "5 %"', 'overage = "0.05 %"', 'Did you mean "5 %"?'),
    (GERMINATION, 'germination = "0 %"', "leaves 9 % of the seed alive"),
    (PURITY, 'purity = "4.99 %"', "times as much seed as is alive"),
    (RATE, 'rate = "90 lb/ac PLS"', "bags of alfalfa (QF-3071)"),
    ('rate = "60 lb/ac bulk"', 'rate = "300 lb/ac bulk"', "bags of oats (QF-2214)"),
    (WEIGHT, 'bulk_weight = "60 lb/bu"', "is 1.9 times the published bulk weight"),
    ('volume = "24 ft3"', 'volume = "2.4 ft3"', "is 0.24 ft3 per foot of the drill's width"),
    (
        'bag = "50 lb"',
        'bag = "5 lb"',
        'are rate and bag right? If so, add the line meant = ["bag"]',
    ),
    (SPECIES, 'species = "alfafa"', 'Did you mean "alfalfa"?'),
    (SPECIES, 'species = "alfalpha"', 'Did you mean "alfalfa"?'),
    (SPECIES, 'species = "Canadian wild rye"', 'Did you mean "Canada wildrye"?'),
    ('rate = "60 lb/ac bulk"', 'rate = "0.6 lb/ac bulk"', 'Did you mean "6 lb/ac bulk"?'),
    (RATE, 'rate = "12 g/m2 PLS"', 'or "12 lb/ac PLS"?'),
    ('volume = "3.2 ft3"', 'volume = "32 ft3"', 'Did you mean "3.2 ft3" or "32 gal"?'),
    ('volume = "24 ft3"', 'volume = "240 ft3"', "0.2 ft3 to 200 ft3 is likely"),
    (PURITY, f"{PURITY}\nseeds_per_pound = 2268000", "Did you mean 226800?"),
    ('hard = "9 %"', 'hard = "0.09 %"', "0.5 % to 98 % is likely"),
    (
        PURITY,
        'purity = "9.9 %"',
        'is low for seed of a crop; 60 % to 100 % is likely. Did you mean "99 %"?',
    ),
    (PURITY, f'{PURITY}\nprice = "$52000/bag"', "They cost"),
    (SPECIES, 'species = "swichgrass"', 'Did you mean "switchgrass"?'),
    (SPECIES, 'species = "medicago sativaa"', 'Did you mean "alfalfa"?'),
    (START, "[booking]\nstart = 2021-05-10", "5.9 years before the day of planning"),
    (START, "[booking]\nstart = 2037-05-10", "10.1 years after the day of planning"),
    (START, "[booking]\nstart = 2027-05-10\ndays_off = [2026-05-31]", "days_off has 2026-05-31"),
    (PURITY, f"{PURITY}\ntested = 2029-01-20", "tested = 2029-01-20"),
    (PURITY, f"{PURITY}\ntested = 2017-01-20", "10.2 years before the day of planning"),
    (
        PURITY,
        f"{PURITY}\nseeds_per_pound = 22680",
        "is 0.11 times the published number of seeds by weight",
    ),
    (PURITY, f'{PURITY}\nprice = "$9500/lb"', "price"),
    (
        'fuel_price = "$3.95/gal"',
        'fuel_price = "$39.5/gal"',
        '$1/gal to $15/gal is likely. Did you mean "$3.95/gal"?',
    ),
    ('wage = "$24/h"', 'wage = "$240/h"', "wage"),
    ('overage = "5 %"', 'overage = "50 %"', "that much more seed is bought than is sown"),
]
UNREADABLE = [
    (SPACING, 'row_spacing = "7.5"', 'Try: row_spacing = "7.5 in"'),
    (SPACING, "row_spacing = 7.5", 'Try: row_spacing = "7.5 in"'),
    (SPACING, 'row_spacing = "7,5 in"', 'Try: row_spacing = "7.5 in"'),
    (SPACING, 'row_spacing = "7.5 inchs"', 'Try: row_spacing = "7.5 in"'),
    (SPACING, "row_spacing = 19", 'Try: row_spacing = "19 in"'),
    (SPACING, "row_spacing = 0.19", 'Try: row_spacing = "0.19 m"'),
    (RADIUS, 'turning_radius = "twenty feet"', 'Try: turning_radius = "20 ft"'),
    (RADIUS, 'turning_radius = "18-22 ft"', "exactly one number"),
    (
        RADIUS,
        'turning_radius = "20 ft"\nsowing_radius = "15 ft"',
        "not be less than turning_radius, 20.0 ft",
    ),
    (HOURS, "hours_per_day = 9", 'Try: hours_per_day = "9 h"'),
    (SPEED, 'field_speed = "4.5 mhp"', 'Try: field_speed = "4.5 mph"'),
    (SPEED, "field_speed = 4.5", 'Try: field_speed = "4.5 mph"'),
    (PURITY, "purity = 0.99", 'Try: purity = "99 %"'),
    (PURITY, 'purity = "99"', 'Try: purity = "99 %"'),
    (ROWS, 'rows = "16 rows"\n#', "Try: rows = 16"),
    (ROWS, "rows = 16.5\n#", "rows is 16.5"),
    (RATE, 'rate = "12 lbs/acre PLZ"', 'Try: rate = "12 lb/ac PLS"'),
    (RATE, 'rate = "60 lbs bulk"', 'Try: rate = "60 lb/ac bulk"'),
    (RATE, 'rate = "1 bu/ac"', "is a volume, but a rate is a weight"),
    ('volume = "24 ft3"', 'volume = "24 ft"', 'Try: volume = "24 ft3"'),
    ('volume = "24 ft3"', 'volume = "600 lb"', 'Try: volume = "8 ft3"'),
    (START, '[field.field-1]\ngate = "44.3, -95.8"\n[booking]', "{ lat = 44.3, lon = -95.8 }"),
    (START, '[field]\nmix = "oats and alfalfa"\n[booking]', "such as [field.north]"),
    (SPACING, f'{SPACING}\nwidth = "10 ft"', "rows and row_spacing make the width"),
    (ROWS, "openers = 16 #", 'did you mean "rows"?'),
    (RATE, 'rate = "2 bu/ac bulk"', "2 × what a bushel weighs"),
    (RATE, 'rate = "1.5 bags/ac"', "1.5 × what a bag weighs"),
    (RATE, 'rate = "30 plants/ft2"', 'rate = "30 seeds/ft2"'),
    (RATE, 'rate = "25 %"', 'rate = "25 % of stand"'),
    (RATE, 'rate = "12-15 lb/ac PLS"', 'rate = "12 lb/ac PLS" or "15 lb/ac PLS"'),
    (
        'volume = "24 ft3"',
        'volume = "24 cubic yards"',
        "ft3 per foot of the drill's width; that can hardly be right",
    ),
    (HOURS, 'hours_per_day = "8 am to 5 pm"', 'hours_per_day = "9 h"'),
    ('set_up = "30 min"', 'set_up = "0:30"', 'set_up = "30 min"'),
    ("[working] ", '[working]\nheading = "north" #', 'heading = "0 deg"'),
    ("[working] ", '[working]\nheading = "E-W" #', 'heading = "90 deg"'),
    ("[working] ", '[working]\nroad_factor = "130 %" #', "road_factor = 1.3"),
    (START, "[booking]\nstart = 20270510", "start = 2027-05-10"),
    (START, '[booking]\nstart = "Jan 2027"', "not one day. Try: write year-month-day, such as 2027-01-01"),
    (START, '[booking]\nstart = "10.5.2027"', "start = 2027-05-10"),
    (START, '[booking]\ndays_off = ["5/31/2027"]', "2027-05-31"),
    (SPACING, f'{SPACING}\npass_overlap = "20 %"', 'pass_overlap = "4 in"'),
    (PURITY, 'purity = "ninety-nine %"', 'purity = "98 %"'),
    (WEIGHT, 'bulk_weight = "32 g/cm3"', 'bulk_weight = "32 lb/bu"'),
    ('drive = "left"', 'residual = "0.1"', 'residual = "10 %"'),
    ('drive = "left"', 'metering = ["4 bu/ac", "1 bu/ac"]', 'metering = ["1 bu/ac", "4 bu/ac"]'),
    ('rate_card = "rates.toml"', 'rate_card = ""', "has nothing between its quotes"),
    ('wage = "$24/h"', 'wage = "$2400/h"', 'Did you mean "$24/h"?'),
    ("[working] ", "[drilling] #", 'did you mean "working"?'),
    (RATE, "rate = 12", '"12 lb/ac PLS" or "12 lb/ac bulk"'),
    ('kind = "native"', 'kind = "nativ"', 'did you mean kind = "native"?'),
    ('box = "small"', 'box = "smal"', 'did you mean "small"?'),
    ("[drill]", "[driller]", 'did you mean "drill"?'),
    (SPACING, 'row-spacing = "7.5 in"', 'did you mean "row_spacing"?'),
    (SPACING, 'Row_Spacing = "7.5 in"', 'did you mean "row_spacing"?'),
    (
        'fieldwork_day_chance = "55 %"',
        'fieldwork_day_chance = "nebraska"',
        'did you mean "Nebraska, April to mid-June"?',
    ),
    ('fieldwork_day_chance = "55 %"', "fieldwork_day_chance = 0.55", '"55 %"'),
    (START, '[booking]\nstart = "5/10/2027"', "start = 2027-05-10"),
    (START, '[booking]\nstart = "May 10, 2027"', "start = 2027-05-10"),
    (START, '[booking]\nstart = 2027-05-10\ndays_off = ["Sundey"]', 'did you mean "Sunday"?'),
    (SPACING, f'{SPACING}\nreverse_turns = "yes"', '"where needed", "never", "free"'),
    (SPACING, f'{SPACING}\nmeant = ["row spacing", "speed"]', 'did you mean "row_spacing"?'),
    (START, '[booking]\nconfidense = "80 %"', 'did you mean "confidence"?'),
    (START, '[booking]\nreverse = "free"', "write it under [drill]"),
    (START, '[booking]\nturn-speed = "3 mph"', "write it under [working]"),
    (START, '[booking]\nseed_at = "gate"', "write it under [working] or [field.ID]"),
    (START, '[booking]\nspecies = "oats"', "write it under [[mix.component]]"),
    ("[drill] ", 'pass_overlap = "2 in"\n[drill] ', "write it under [drill]"),
    ('wage = "$24/h"', "wage = 24", '"$24/h"'),
    ('rate_card = "rates.toml"', 'rate_card = "C:\\rates\\new.toml"', "write / instead of"),
    (START, "[field.field-1]\ngate = [44.25, -95.75]\n[booking]", "{ lat = 44.25, lon = -95.75 }"),
    (START, '[field.field-2]\nmix = "oats and alfalfa"\n[booking]', 'did you mean "field-1"?'),
]
BROKEN = [
    (
        SPACING,
        "row_spacing = 7.5 in",
        "line 11 (row_spacing = 7.5 in) has a quantity without quotes",
        'row_spacing = "7.5 in"',
    ),
    (SPACING, "row_spacing = “7.5 in”", "curly quotes", 'row_spacing = "7.5 in"'),
    (SPACING, "row_spacing = (7.5 in)", "without quotes", 'row_spacing = "7.5 in"'),
    (SPACING, 'row_spacing := "7.5 in"', "a colon before its =", 'write row_spacing = "7.5 in"'),
    (SPACING, 'row_spacing = "7.5 in" ft', "text after the closing quote", 'write row_spacing = "7.5 in"'),
    (SPACING, '- row_spacing = "7.5 in"', "a bullet", 'write row_spacing = "7.5 in"'),
    (SPACING, 'row_spacing = {7.5, "in"}', "brackets around its value", 'row_spacing = "7.5 in"'),
    (SPACING, 'row_spacing, "7.5 in"', "no =", 'row_spacing = "7.5 in"'),
    (
        SPACING,
        'row_spacing = "7.5 in" // inches',
        "a comment that does not begin with #",
        'row_spacing = "7.5 in" # inches',
    ),
    (SPACING, "row_spacing = null", "has no value", "# row_spacing ="),
    (SPACING, "row_spacing = 7,5", "decimal comma", 'row_spacing = "7.5 in"'),
    (HOURS, "start = 2027-13-05", "a day that does not exist", "start = 2027-05-13"),
    (START, "booking:", "not a table heading", "[booking]"),
    (START, "[booking]]", "not a table heading", "write [booking]"),
    ("[[mix.component]]", "[[mix component]]", "not a table heading", "[[mix.component]]"),
    (SPACING, 'row_spacing: "7.5 in"', "no =", 'row_spacing = "7.5 in"'),
    (SPACING, 'row_spacing "7.5 in"', "no =", 'row_spacing = "7.5 in"'),
    (SPACING, 'row_spacing = "7.5 in', "not closed", 'row_spacing = "7.5 in"'),
    (SPACING, 'row_spacing = 7.5"', "inches", 'row_spacing = "7.5 in"'),
    (SPACING, 'row_spacing = "7.5""', "inches", 'row_spacing = "7.5 in"'),
    (SPACING, 'row spacing = "7.5 in"', "a key with spaces", 'row_spacing = "7.5 in"'),
    (SPACING, "row_spacing = 7 1/2 in", "without quotes", 'row_spacing = "7 1/2 in"'),
    (SPACING, "row_spacing = 7,5 in", "without quotes", 'row_spacing = "7.5 in"'),
    (SPACING, 'row_spacing\u00a0= "7.5 in"', "special spaces", 'row_spacing = "7.5 in"'),
    (SPACING, f"{SPACING},", "ends in ,", 'row_spacing = "7.5 in"'),
    (SPACING, f"{SPACING}\n{SPACING}", "repeats row_spacing of line 11", "it once"),
    (SPACING, f"the drill of the district\n{SPACING}", "comments begin with #", ""),
    (ROWS, "rows = sixteen #", "words beside its number", "rows = 16"),
    (ROWS, "rows = 1,6 #", "decimal comma", "rows = 1.6"),
    (ROWS, "rows = #", "no value after the =", ""),
    (HOURS, "start = 5/10/2027", "a date that is not year-month-day", "start = 2027-05-10"),
    (HOURS, "start = May 10, 2027", "a date that is not year-month-day", "start = 2027-05-10"),
    (HOURS, "start = 2027-02-30", "a day that does not exist", ""),
    (HOURS, 'days_off = ["Sunday" 2027-05-31]', "commas", 'days_off = ["Sunday", 2027-05-31]'),
    (HOURS, 'days_off = [\n"Sunday"\n"Monday"]', 'line 55 ("Sunday") lacks a comma', '"Sunday",'),
    (HOURS, 'days_off = ["Sunday", 2027-05-31', "not closed with ]", "a ] at its end"),
    (START, "[booking", "not a table heading", "[booking]"),
    ("[[mix]]", "[[mix]", "not a table heading", "[[mix]]"),
    ("[[mix.component]]", "[mix.component]", "double", "[[mix.component]]"),
    (START, "[working]\n[booking]", "repeats [working] of line 34", "one [working] with all its lines"),
    (START, "[field.Frost Quarter]\n[booking]", "not a table heading", '[field."Frost Quarter"]'),
    (
        START,
        "[field.field-1]\ngate = { lat = 44.25 lon = -95.75 }\n[booking]",
        "comma",
        "gate = { lat = 44.25, lon = -95.75 }",
    ),
    (PURITY, "treated = yes", "true or false", "treated = true"),
    (PURITY, "seeds_per_pound = 226,800", "a number with commas", "seeds_per_pound = 226800"),
]
RIGHT = [
    (
        "chaffy native seed",
        (
            (SPECIES, 'species = "little bluestem"'),
            ('box = "small"', 'box = "native"'),
            (PURITY, 'purity = "40 %"'),
            (GERMINATION, 'germination = "30 %"'),
            ('bulk_weight = "60 lb/bu"', 'bulk_weight = "3 lb/bu"'),
            (RATE, 'rate = "3.4 lb/ac PLS"'),
        ),
    ),
    (
        "118 lb/ac of rye",
        (
            ('species = "oats"', 'species = "cereal rye"'),
            ('rate = "60 lb/ac bulk"', 'rate = "118 lb/ac bulk"'),
            (WEIGHT, 'bulk_weight = "56 lb/bu"'),
        ),
    ),
    ("10-inch rows", ((SPACING, 'row_spacing = "10 in"'),)),
    ("15-inch rows", ((SPACING, 'row_spacing = "15 in"'), (ROWS, "rows = 8 "))),
    ("a 6-foot drill", ((ROWS, "rows = 9 "),)),
    ("a 40-foot drill", ((ROWS, "rows = 64 "),)),
    ("rice hulls", (('box = "small"', 'box = "small"\ncarrier = "rice hulls to 2 bu/ac"'),)),
    ("a trace of a mix", ((RATE, 'rate = "0.1 lb/ac PLS"'),)),
    (
        "nothing that sprouts at once",
        ((GERMINATION, 'germination = "0 %"'), ('hard = "9 %"', 'hard = "5 %"\ndormant = "85 %"')),
    ),
    (
        "coated seed",
        (
            (PURITY, 'purity = "65 %"\ncoating = "34 %"'),
            ('bulk_weight = "60 lb/bu"', 'bulk_weight = "70 lb/bu"'),
        ),
    ),
    ("dormant seeding in winter", ((START, "[booking]\nstart = 2027-12-10"),)),
    ("a tetrazolium test for germination", ((GERMINATION, 'germination = "86 %"'),)),
    ("a species in no table", ((SPECIES, 'species = "velvetleaf"'),)),
    ("relatives of known species", ((SPECIES, 'species = "stiff goldenrod"'),)),
    ("a variety as on a tag", ((SPECIES, 'species = "Alfalfa, Vernal"'),)),
    ("a variety in quotes", ((SPACING, SPACING), (SPECIES, "species = \"Medicago sativa 'Vernal'\""))),
    ("a variety before the name", ((SPECIES, 'species = "Alamo switchgrass"'),)),
    (
        "names in two words or with hyphens",
        (
            (SPECIES, 'species = "side-oats grama"'),
            ('box = "small"', 'box = "native"'),
            (RATE, 'rate = "4 lb/ac PLS"'),
        ),
    ),
    (
        "more than one of a kind",
        (
            (SPECIES, 'species = "Austrian winter peas"'),
            ('box = "small"', 'box = "grain"'),
            (RATE, 'rate = "60 lb/ac bulk"'),
        ),
    ),
    (
        "nearly all of it dormant",
        ((GERMINATION, 'germination = "1 %"'), ('hard = "9 %"', 'dormant = "95 %"')),
    ),
    ("a nurse crop", (('rate = "60 lb/ac bulk"', 'rate = "10 lb/ac bulk"'),)),
    ("totes", (('bag = "50 lb"', 'bag = "2000 lb"'),)),
    ("a symbol", ((SPECIES, 'species = "MESA"'),)),
    ("a scientific name", ((SPECIES, 'species = "Medicago  sativa"'),)),
    ("fractions", ((SPACING, 'row_spacing = "7 1/2 in"'),)),
    (
        "marks for feet and inches",
        ((RADIUS, 'turning_radius = "20\'"'), (SPACING, "row_spacing = '7.5\"'")),
    ),
    ("a full stop", ((RADIUS, 'turning_radius = "20 ft."'),)),
    (
        "words for units",
        (
            (RADIUS, 'turning_radius = "20 feet"'),
            (RATE, 'rate = "12 pounds per acre PLS"'),
            (HOURS, 'hours_per_day = "8 hours"'),
        ),
    ),
    ("hours and minutes", (('pick_up = "60 min"', 'pick_up = "1 h 30 min"'),)),
    ("thousands", ((SPACING, f'{SPACING}\nweight = "4,500 lb"'),)),
    ("quoted dates", ((START, '[booking]\nstart = "2027-05-10"'),)),
    ("capitals", (('kind = "native"', 'kind = "Native"'), (RATE, 'rate = "12 lb/ac pls"'))),
    (
        "one bag of a dear seed",
        (
            (RATE, 'rate = "0.1 lb/ac PLS"'),
            (PURITY, f'{PURITY}\nprice = "$250/lb"\nbag = "1 lb"\n#bag'),
            ('bag = "50 lb"\n', ""),
        ),
    ),
    (
        "metric units",
        (
            (SPACING, 'row_spacing = "19 cm"'),
            (RADIUS, 'turning_radius = "6 m"'),
            (RATE, 'rate = "13 kg/ha PLS"'),
        ),
    ),
]


@pytest.mark.parametrize(("right", "slip", "sentence"), REFUSED)
def test_what_can_hardly_be_right_is_refused(
    right: str, slip: str, sentence: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is planned, and the message says what was likely meant and how to say that it is right."""
    code, answer = _answer(((right, slip),), tmp_path, capsys)
    assert (code, sentence in answer) == (3, True), answer


@pytest.mark.parametrize(("right", "slip", "sentence"), WARNED)
def test_what_is_unlikely_is_said_first(
    right: str, slip: str, sentence: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The plan is made, and its short answer begins with a warning that says what the value would mean."""
    code, answer = _answer(((right, slip),), tmp_path, capsys)
    assert (code, sentence in answer, answer.strip().startswith("Warning:")) == (0, True, True), answer


@pytest.mark.parametrize(("right", "slip", "sentence"), UNREADABLE)
def test_a_hint_shows_the_right_form_of_that_key(
    right: str, slip: str, sentence: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What cannot be read is refused with the form of that key and the person's own number."""
    code, answer = _answer(((right, slip),), tmp_path, capsys)
    assert (code, sentence in answer) == (3, True), answer


@pytest.mark.parametrize(("right", "slip", "why", "hint"), BROKEN)
def test_a_fault_of_the_text_points_at_its_line(
    right: str, slip: str, why: str, hint: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The line, in plain words, and how it should be."""
    code, answer = _answer(((right, slip),), tmp_path, capsys)
    assert (code, why in answer, hint in answer, "job.toml, line " in answer) == (3, True, True, True), (
        answer
    )


@pytest.mark.parametrize(("what", "changes"), RIGHT)
def test_odd_input_that_is_right_passes_without_a_word(
    what: str, changes: tuple[tuple[str, str], ...], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """No warning, no refusal."""
    code, answer = _answer(changes, tmp_path, capsys)
    assert (code, _DOUBT in answer) == (0, False), (what, answer)


MEANT = [
    ((ROWS, 'rows = 142\nmeant = ["rows"]\n#'),),
    ((SPACING, 'row_spacing = "7.5 ft"\nmeant = "row_spacing"'), (ROWS, "rows = 3 ")),
    ((GERMINATION, 'germination = "0 %"\nmeant = ["germination"]'),),
    ((RATE, 'rate = "300 lb/ac PLS"\nmeant = ["rate"]'),),
    ((SPECIES, 'species = "swichgrass"\nmeant = ["species"]'),),
    ((PURITY, 'purity = "0.99 %"\nmeant = ["purity"]'),),
    (('volume = "24 ft3"', 'volume = "2.4 ft3"\nmeant = ["volume"]'),),
    ((START, '[booking]\nmeant = ["start"]\nstart = 2021-05-10'),),
    (('bag = "50 lb"', 'bag = "5 lb"\nmeant = ["bag"]'),),
]


@pytest.mark.parametrize("changes", MEANT)
def test_what_is_said_to_be_meant_passes_without_a_word(
    changes: tuple[tuple[str, str], ...], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The line that refusals and warnings ask for silences both."""
    code, answer = _answer(changes, tmp_path, capsys)
    assert (code, _DOUBT in answer) == (0, False), answer


FORMS = [
    (table, key)
    for table, keys in SCHEMA.items()
    for key, spec in keys.items()
    if isinstance(spec.parse, Quantity)
]


@pytest.mark.parametrize(("table", "key"), FORMS)
def test_the_form_of_every_quantity_can_be_pasted(table: str, key: str) -> None:
    """Of every key: the hint names that key, keeps a number that can be kept, and is read; its unit is a
    likely one.
    """
    parser = SCHEMA[table][key].parse
    band = band_of(f"{table}.{key}")
    number = band.example if band else "5"
    for given in (float(number), number, f"{number} qqq"):
        form = line_of(right_form(table, key, parser, given, Problem(code="quantity-needs-unit")))
        name, _, value = form.partition(" = ")
        assert name == key
        assert value.startswith(f'"{float(number):.10g} ')
        assert parser(value.strip('"')) > 0
        assert band is None or value.strip('"').partition(" ")[2] == band.unit


def test_bands_are_in_order() -> None:
    """What is likely lies within what is possible; the example is likely and its unit known."""
    for row in tables.rows("plausible"):
        band = band_of(row["key"])
        assert band is not None
        low, high = band.likely
        assert low < high, band.key
        assert (
            row["key"].startswith(("plan.", "request."))
            or band.possible[0] <= low < high <= band.possible[1]
        ), band.key
        assert not band.example or low <= float(band.example) <= high, band.key


@pytest.mark.parametrize(
    ("attribute", "known"),
    [("mixx", "mix"), ("priorty", "priority"), ("gate_long", "gate_lon"), ("exclusion", "exclusions")],
)
def test_an_attribute_all_but_named_like_a_known_one_is_said(
    attribute: str, known: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A boundary file's attribute that looks like one that means something warns first."""
    code, answer = _answer((), tmp_path, capsys, properties=f'"{attribute}": "1"')
    assert code == 0
    assert f'fieldplan does not know the attribute "{attribute}": did you mean "{known}"?' in answer


def test_a_stranger_s_attributes_pass_without_a_word(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Attributes of a boundary file that are like nothing known are nobody's business."""
    properties = '"date": "1", "rate": "2", "notes": "3", "acres": 4, "crop": "oats", "mixer": "a", "gated": "yes", "sloped": "no", "owner": "b"'
    assert "Warning" not in _answer((), tmp_path, capsys, properties=properties)[1]


FILES = [
    (b"{\\rtf1\\ansi rows = 16}", "rich text (RTF)"),
    (b"PK\x03\x04\xff\xfe word processor", "word processor"),
    ("[drill]\nrows = 16\n".encode("utf-16"), "UTF-16"),
    (b'{"drill": {"rows": 16}}', "JSON"),
    (b"drill:\n  rows: 16\n", "YAML"),
    (b"<html></html>", "web page"),
]


@pytest.mark.parametrize(("content", "what"), FILES)
@pytest.mark.parametrize("command", ["job", "card", "season"])
def test_a_file_of_another_kind_is_told_by_what_it_is(
    command: str, content: bytes, what: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Job files, rate cards and season files alike."""
    path = tmp_path / "file.toml"
    path.write_bytes(content)
    arguments = {
        "job": ["setup", "--job", str(path)],
        "card": ["fee", str(path)],
        "season": ["season", "plan", str(path)],
    }[command]
    assert exit_code(arguments) == 3
    assert what in capsys.readouterr().err


def test_an_untouched_starter_asks_and_a_filled_one_plans(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One list of all that only the person knows; with exactly that filled in, it plans, and every default
    it used is listed.
    """
    assert exit_code(["init", str(tmp_path)]) == 0
    (tmp_path / "field.geojson").write_text(SQUARE % "", encoding="utf-8")
    plan = [
        "plan",
        str(tmp_path / "field.geojson"),
        "--job",
        str(tmp_path / "job.toml"),
        "--today",
        "2027-04-01",
    ]
    assert exit_code(plan) == 3
    asked = [line.strip() for line in capsys.readouterr().err.splitlines() if line.startswith("  [")]
    text = (tmp_path / "job.toml").read_text(encoding="utf-8")
    fill = re.compile(r"^# (?=(\w+) = .*# FILL IN)", re.MULTILINE)
    assert sorted(line.split("] ")[1].partition(":")[0] for line in asked) == sorted(fill.findall(text))
    (tmp_path / "job.toml").write_text(fill.sub("", text), encoding="utf-8")
    assert exit_code([*plan, "-v"]) == 0
    page = re.sub(r"\s+", " ", capsys.readouterr().out)
    assert (
        page.count("Warning") == 1
    )  # little bluestem is often dormant, and only the tag knows how much of it is
    assert "such seed is often dormant" in page
    of_changes = {"cleaning", "resetting", "field_order"}  # of no use to a job of one mix
    for row in tables.rows("defaults"):
        if row["table"] == "loading" or row["key"] in of_changes:
            continue
        if row["table"] not in ("season", "target", "weather") and row["key"] != "fieldwork_day_chance":
            key = row["key"].replace("usable ", "usable of a ") + (
                " box" if row["key"].startswith("usable") else ""
            )
            key = key.replace("sweep residual assumed", "sweep where no residual is given")
            if key == "sweep residual given":
                continue
            assert f"{row['table']}.{key} = {row['value']} (" in page, row


def test_init_suggests_only_what_it_has(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A second init names --force and another folder, not options of other commands."""
    assert exit_code(["init", str(tmp_path)]) == 0
    assert exit_code(["init", str(tmp_path)]) == 2
    assert "--out" not in capsys.readouterr().err


@pytest.mark.parametrize("arguments", [["setup"], ["calibrate", "--distance", "100 ft"]])
def test_cards_say_what_is_unlikely_too(
    arguments: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Commands that read a job file and plan nothing print its warnings beside the card."""
    shutil.copy(SAMPLES / "rates.toml", tmp_path)
    (tmp_path / "job.toml").write_text(FARM.replace(PURITY, 'purity = "9.9 %"', 1), encoding="utf-8")
    assert exit_code([*arguments, "--job", str(tmp_path / "job.toml")]) == 0
    assert "Warning: mix oats and alfalfa, component alfalfa: purity" in capsys.readouterr().err


SOWN = """[[mix]]
name = "m"
[[mix.component]]
species = "{species}"
box = "native"
rate = "{rate} {basis}"
purity = "95 %"
germination = "85 %"
bulk_weight = "{weight} lb/bu"
"""
WITH_OATS = """[[mix.component]]
species = "black oats"
box = "grain"
rate = "30 lb/ac bulk"
purity = "98 %"
germination = "90 %"
bulk_weight = "32 lb/bu"
"""


EVERY_KEY = """[drill]
name = "d"
rows = 16
row_spacing = "7.5 in"
turning_radius = "20 ft"
pass_overlap = "4 in"
sowing_radius = "40 ft"
pass_radius = "100 ft"
follows_bend = "30 deg"
reverse = "free"
transport_width = "12 ft"
weight = "4500 lb"
min_pto_power = "60 hp"
min_remotes = 1
hitch = "drawbar category 2"
letterhead = ["Flats Soil District", "12 Depot Road"]
lender = "district office, 555-0142"
wheel_circumference = "7.6 ft"
notch_depth = "0.25 in"
[[drill.box]]
name = "grain"
kind = "grain"
volume = "24 ft3"
usable = "90 %"
residual = "10 %"
sweep = false
drive = "left"
lands = "in the furrow"
metering = ["0.5 bu/ac", "6 bu/ac"]
cleaning = "10 min"
resetting = "10 min"
[[drill.chart]]
seed = "oats"
box = "grain"
range = "low"
gate = "half open"
setting = 40
rate = "52 lb/ac"
[tractor]
front_reach = "10 ft"
pto_power = "75 hp"
remotes = 1
hitch = "drawbar category 2"
drive = "MFWD"
[working]
field_speed = "4.5 mph"
turn_speed = "3 mph"
turn_extra = "5 s"
pattern = "best"
elevation = "heights.tif"
elevation_unit = "m"
hill_speed = "3 mph"
hill_slope = "15 %"
row_grade = "2 %"
row_grade_of_slope = "50 %"
outlet_grade = "3 %"
outlet_within = "150 ft"
contour_from = "2 %"
backing_speed = "1.8 mph"
direction_change = "4 s"
backing_saves = "10 s"
headland_rounds = 2
headland = "last"
heading = "90 deg"
blocks = 1
order = "plain"
search = "quick"
sowings = 1
smallest_obstacle = "100 ft2"
lift_over = "30 ft"
edge = "open"
refill_time = "15 min"
tube_check = "5 min"
break = "30 min"
break_every = "4 h"
seed_at = "follows"
pick_up = "1.5 h"
set_up = "1 h"
calibration = "30 min"
clean_out = "2 h"
field_order = "as given"
towing_speed = "20 mph"
road_factor = 1.3
[loading]
payload = "1400 lb"
people = "380 lb"
gear = "100 lb"
tongue = "0 lb"
empty_bag = "0.3 lb"
bale = "50 lb"
scale = "1 g"
[booking]
hours_per_day = "8 h"
fieldwork_day_chance = "55 %"
confidence = "80 %"
start = 2027-05-10
finish_by = 2027-06-10
days_off = ["Sunday", 2027-05-31]
persistence = "30 %"
uncertainty = "20 %"
weather = "station.csv"
state = "Missouri"
[weather]
units = "in, F"
rule = "none on a day with over 0.1 in, nor for 2 days after 0.5 in"
drainage = "medium"
survey = "Iowa"
years = "2005-2018"
rain_day = "as filed"
presumed_zero = "missing"
[field.field-1]
gate = { lat = 44.25, lon = -95.75 }
mix = "m"
slope = "8 %"
seed_at = { lat = 44.251, lon = -95.749 }
move = "25 min"
gate_width = "14 ft"
neighbor = "house at the corner, 555-0117"
edge = "fenced"
open_sides = ["north", "south-east"]
[[mix]]
name = "m"
overage = "5 %"
[[mix.component]]
species = "oats"
box = "grain"
rate = "60 lb/ac bulk"
lot = "A-17"
purity = "62 %"
germination = "85 %"
hard = "2 %"
dormant = "3 %"
seeds_per_pound = 19400
bulk_weight = "32 lb/bu"
bag = "50 lb"
coating = "34 %"
inert = "36 %"
other_crop = "1.5 %"
weed_seed = "0.5 %"
price = "$0.60/lb"
tested = 2027-01-20
tz = "93 %"
tz_tested = "2027-02"
variety = "Early"
form = "hulled"
origin = "Nebraska"
noxious = ["quackgrass 2/lb"]
treated = false
carrier = "rice hulls to 4 bu/ac"
[seed_law]
state = "Iowa"
from_state = "Nebraska"
test_limit_months = 9
test_limit_source = "Iowa Code 199.8 (2026)"
[cost]
rate_card = "rates.toml"
when = { area = "inside" }
miles = 12
fuel_price = "$3.95/gal"
wage = "$24/h"
"""


def _warnings(text: str, folder: Path) -> list[str]:
    """Warnings of a job that is only loaded."""
    (folder / "job.toml").write_text(text, encoding="utf-8")
    return [note.text for note in load_job(folder / "job.toml").notes if note.warning]


def test_every_published_rate_passes_without_a_word(tmp_path: Path) -> None:
    """The low and the high rate of every row of the table of sowing rates, pure live seed or bulk, alone or
    with another.
    """
    shutil.copy(SAMPLES / "rates.toml", tmp_path)
    head = FARM.split("[[mix]]")[0]
    for row in tables.rows("sowing_rates"):
        bushel = published_bushel(row["species"])
        for rate, basis, more in ((row["low"], "lb/ac PLS", ""), (row["high"], "lb/ac bulk", WITH_OATS)):
            mix = SOWN.format(
                species=row["species"], rate=rate, basis=basis, weight=bushel[0] if bushel else 14
            )
            assert _warnings(head + mix + more, tmp_path) == [], row


@pytest.mark.parametrize(
    ("species", "rate"),
    [
        ("alfalfa", "12 oz/ac PLS"),
        ("oats", "5 lb/ac bulk"),
        ("cereal rye", "5 lb/ac bulk"),
        ("turnip", "50 lb/ac bulk"),
    ],
)
def test_a_seed_by_itself_is_held_against_published_rates(species: str, rate: str, tmp_path: Path) -> None:
    """Far too little, and far too much, of a species sown alone."""
    shutil.copy(SAMPLES / "rates.toml", tmp_path)
    weight = (published_bushel(species) or (50,))[0]
    mix = SOWN.format(species=species, rate=rate, basis="", weight=weight).replace(
        ' "\npurity', '"\npurity'
    )
    (sentence,) = _warnings(FARM.split("[[mix]]")[0] + mix, tmp_path)
    assert "times the published full seeding rate" in sentence


def test_samples_and_a_job_with_every_key_pass_without_a_word(tmp_path: Path) -> None:
    """All but a file of exclusions and one of several stations: what is given explicitly in the form of the starter and the examples of
    the table of bands is likely.
    """
    assert [
        note.text
        for name in ("farm.toml", "restoration.toml")
        for note in load_job(SAMPLES / name).notes
        if note.warning
    ] == []
    shutil.copy(SAMPLES / "rates.toml", tmp_path)
    shutil.copy(SAMPLES / "station.csv", tmp_path)
    given = {match[1] for match in re.finditer(r"^(\w+) = ", EVERY_KEY, re.MULTILINE)}
    tables_here = (
        "drill",
        "drill.box",
        "drill.chart",
        "tractor",
        "working",
        "loading",
        "booking",
        "weather",
        "field",
        "mix",
        "mix.component",
        "seed_law",
        "cost",
    )
    assert {key for table in tables_here for key in SCHEMA[table]} - {"exclusions", "station"} <= given
    assert _warnings(EVERY_KEY, tmp_path) == []


def test_a_misnamed_table_is_the_only_fault_of_its_lines(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What stands in it is read, so nothing of it is said to be missing; and faults come in the order of
    the file.
    """
    _, answer = _answer(((START, "[Booking]"),), tmp_path, capsys)
    assert answer.count("Error:") == 1
    _, answer = _answer(
        (('fieldwork_day_chance = "55 %"', ""), (PURITY, ""), (ROWS, "#")), tmp_path, capsys
    )
    assert (
        answer.index("[drill] rows")
        < answer.index("fieldwork_day_chance")
        < answer.index("component alfalfa] purity")
    )


def test_a_file_of_very_many_unknown_keys_is_refused_at_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Sixty thousand of them took a quarter of a minute; the first are still told with what they may be
    slips of.
    """
    path = tmp_path / "job.toml"
    path.write_text(
        "[working]\nfield_sped = 1\n" + "".join(f"k{i} = 1\n" for i in range(60_000)), encoding="utf-8"
    )
    began = time.process_time()
    assert exit_code(["setup", "--job", str(path)]) == 3
    assert time.process_time() - began < 6
    assert 'did you mean "field_speed"?' in capsys.readouterr().err
