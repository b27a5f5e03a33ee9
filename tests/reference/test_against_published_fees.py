"""Fees derived from the published terms of rental programmes, to the cent: eighteen shapes at 8, 25 and 60
acres.

Two days, no delivery unless said. Programmes are named by state; the terms are theirs, the sums were
derived from them.
"""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from fieldplan.errors import InputError, JobFileError
from fieldplan.jobfile.rate_card import load_rate_card
from fieldplan.model.fee import JobFacts
from fieldplan.work.fee import fee_of

R3 = """
[[charge]]
name = "rent"
tiers = [{ to = "20 ac", rate = "$12/ac" }, { to = "40 ac", rate = "$11/ac" }, { rate = "$10/ac" }]
tiers_apply = "%s"
fraction = "next tier"
least = "$150"
"""
PER_DAY = '\n[[charge]]\nname = "days"\nrate = "%s/day"\n'


def rent(rate: str, extra: str = "") -> str:
    """A card with a charge an acre."""
    return f'[[charge]]\nname = "rent"\nrate = "{rate}/ac"\n{extra}\n'


SHAPES = {
    "Minnesota: $14, least $140": (rent("$14", 'least = "$140"'), {}, (140, 350, 840)),
    "Virginia, tiers for the whole job": (R3 % "whole job", {}, (150, 275, 600)),
    "Virginia, tiers for the extra acres": (R3 % "extra acres", {}, (150, 295, 660)),
    "Maryland: $10 and $25 a day": (rent("$10") + PER_DAY % "$25", {}, (130, 300, 650)),
    "Maryland: $7 and $25 a day": (rent("$7") + PER_DAY % "$25", {}, (106, 225, 470)),
    "Oregon: $13, least $150, delivery $100 to 70 miles": (
        rent("$13", 'least = "$150"')
        + '[[charge]]\nname = "delivery"\ntiers = [{ to = "70 mi", flat = "$100" }, { rate = "$0.60/mi" }]\ntiers_apply = "extra acres"\n'
        'when = { delivered = "yes" }\n',
        {"miles": 55, "conditions": {"delivered": "yes"}},
        (250, 425, 880),
    ),
    "Wisconsin: $11, at least 10 acres": (rent("$11", 'least_acres = "10 ac"'), {}, (110, 275, 660)),
    "Wisconsin: $50 a use and $8.50": (
        rent("$8.50") + '[[charge]]\nname = "use"\nrate = "$50"\n',
        {},
        (118, Decimal("262.50"), 560),
    ),
    "Ohio: $18, least $150, $20 a day after two, kept four": (
        rent("$18", 'least = "$150"')
        + '[[charge]]\nname = "extra days"\nrate = "$20/day"\nfree = "2 days"\n',
        {"days": 4},
        (190, 490, 1120),
    ),
    "Ohio: $11, at least 8 acres": (rent("$11", 'least_acres = "8 ac"'), {}, (88, 275, 660)),
    "Ohio: $15, half of the first 30 acres refunded": (
        rent("$15") + '[[charge]]\nname = "refund"\nshare = "-50 %"\nof = "rent"\nup_to = "30 ac"\n',
        {},
        (60, Decimal("187.50"), 675),
    ),
    "Michigan in county: $15, least $100": (
        rent("$15", 'least = "$100"\nwhen = { area = "inside" }')
        + rent("$15", 'least = "$175"\nwhen = { area = "outside" }'),
        {"conditions": {"area": "inside"}},
        (120, 375, 900),
    ),
    "Michigan out of county: least $175": (
        rent("$15", 'least = "$100"\nwhen = { area = "inside" }')
        + rent("$15", 'least = "$175"\nwhen = { area = "outside" }'),
        {"conditions": {"area": "outside"}},
        (175, 375, 900),
    ),
    "Michigan native package: $135 to 10 acres, then $6": (
        '[[charge]]\nname = "package"\ntiers = [{ to = "10 ac", flat = "$135" }, { rate = "$6/ac" }]\ntiers_apply = "extra acres"\n',
        {},
        (135, 225, 435),
    ),
    "Michigan 15 ft: $15, $1 off if paid in 30 days": (
        rent("$15", 'least = "$100"')
        + '[[charge]]\nname = "prompt"\nrate = "-$1/ac"\npaid_within = "30 days"\n',
        {"paid_after_days": 12},
        (112, 350, 840),
    ),
    "Pennsylvania, grain: $12": (
        rent("$12", 'when = { practice = "grain" }') + rent("$7", 'when = { practice = "cover crop" }'),
        {"conditions": {"practice": "grain"}},
        (96, 300, 720),
    ),
    "Pennsylvania, cover crop: $7": (
        rent("$12", 'when = { practice = "grain" }') + rent("$7", 'when = { practice = "cover crop" }'),
        {"conditions": {"practice": "cover crop"}},
        (56, 175, 420),
    ),
    "New Hampshire: $250 a day": ('[[charge]]\nname = "days"\nrate = "$250/day"\n', {}, (500, 500, 500)),
    "Massachusetts: $50 a day and $15": (rent("$15") + PER_DAY % "$50", {}, (220, 475, 1000)),
    "North Dakota 15 ft, tiers for the whole job": (
        '[[charge]]\nname = "rent"\ntiers = [{ to = "10 ac", rate = "$25/ac" }, { to = "39 ac", rate = "$20/ac" }, { rate = "$15/ac" }]\n'
        'tiers_apply = "whole job"\nfraction = "next tier"\nleast = "$75"\n',
        {},
        (200, 500, 900),
    ),
}


def _fee(tmp_path: Path, charges: str, acres: float, **facts: object) -> Decimal:
    path = tmp_path / "card.toml"
    path.write_text(
        f'[rate_card]\nname = "test"\nacres = "meter"\none_of = "greater"\n{charges}', encoding="utf-8"
    )
    return fee_of(load_rate_card(path), JobFacts(acres={"meter": acres}, **({"days": 2} | facts))).total  # type: ignore[arg-type]


@pytest.mark.parametrize("shape", SHAPES)
def test_published_shapes(shape: str, tmp_path: Path) -> None:
    """Eight, twenty-five and sixty acres."""
    charges, facts, sums = SHAPES[shape]
    for acres, wanted in zip((8, 25, 60), sums, strict=True):
        assert _fee(tmp_path, charges, acres, **facts) == Decimal(wanted)


def test_five_acres_pay_for_eight(tmp_path: Path) -> None:
    """Ohio, 8-acre minimum at $11: 5 acres are $88."""
    assert _fee(tmp_path, SHAPES["Ohio: $11, at least 8 acres"][0], 5) == 88


def test_forty_one_acres_can_cost_less_than_forty(tmp_path: Path) -> None:
    """Virginia read as tiers for the whole job: $410 for 41 acres, $440 for 40; North Dakota: $600 for 40,
    $780 for 39.
    """
    assert _fee(tmp_path, R3 % "whole job", 41) == 410
    assert _fee(tmp_path, R3 % "whole job", 40) == 440
    north_dakota = SHAPES["North Dakota 15 ft, tiers for the whole job"][0]
    assert _fee(tmp_path, north_dakota, 40) == 600
    assert _fee(tmp_path, north_dakota, 39) == 780


def test_five_percent_overlap_on_the_meter(tmp_path: Path) -> None:
    """5 % overlap on 40 mapped acres at $14 adds $28 if the meter is billed."""
    card = rent("$14")
    assert _fee(tmp_path, card, 42) - _fee(tmp_path, card, 40) == 28


def test_a_fraction_of_an_acre_falls_where_the_card_says(tmp_path: Path) -> None:
    """20.5 acres: in the tier to 20 at $12, or in the one from 21 at $11."""
    assert _fee(tmp_path, R3 % "whole job", 20.5) == Decimal("225.50")
    assert _fee(tmp_path, (R3 % "whole job").replace("next tier", "lower tier"), 20.5) == Decimal("246.00")


@pytest.mark.parametrize("acres", [33, 37, 41, 45, 49])
def test_bounds_are_met_to_the_digit(acres: int, tmp_path: Path) -> None:
    """A job of exactly the bound stays in the tier below it, whatever the bound is in binary."""
    card = (
        f'[[charge]]\nname = "rent"\ntiers = [{{ to = "{acres} ac", rate = "$12/ac" }}, {{ rate = "$5/ac" }}]\n'
        'tiers_apply = "whole job"\nfraction = "next tier"\n'
    )
    assert _fee(tmp_path, card, acres) == 12 * acres


def test_greater_of_alternatives(tmp_path: Path) -> None:
    """Maryland: $50 a day or $10 an acre; here the greater counts."""
    card = rent("$10", 'one_of = "rent"') + '[[charge]]\nname = "days"\nrate = "$50/day"\none_of = "rent"\n'
    assert _fee(tmp_path, card, 8) == 100
    assert _fee(tmp_path, card, 25) == 250


def test_late_payment_adds_up_and_deposits_are_no_revenue(tmp_path: Path) -> None:
    """Virginia: 10 % is added for every 30 days unpaid; a $200 deposit (Minnesota) is held, not earned."""
    card = rent("$12") + (
        '[[charge]]\nname = "late"\nshare = "10 %"\nof = "all"\neach = "30 days"\n'
        '[[charge]]\nname = "deposit"\nrate = "$200"\nkind = "deposit"\n'
    )
    assert _fee(tmp_path, card, 25, paid_after_days=29) == 300
    assert _fee(tmp_path, card, 25, paid_after_days=61) == 360


@pytest.mark.parametrize(
    ("charges", "sentence"),
    [
        ((R3 % "whole job").replace('tiers_apply = "whole job"\n', ""), "41 acres can cost less than 40"),
        ((R3 % "whole job").replace('fraction = "next tier"\n', ""), "20.5 acres"),
        ('[[charge]]\nname = "x"\n', "exactly one of rate, tiers and share"),
        (rent("$14", 'least = "cheap"'), "not an amount of money"),
        (rent("$14", "minimum = 3"), "has no key"),
        (rent("€14"), "not an amount of money"),
        (rent("14 ac"), "not an amount of money"),
        (rent("$14", 'free = "-10 ac"'), "free is"),
        (rent("$14", 'up_to = "10 ac"'), "have no effect with rate"),
        (
            '[[charge]]\nname = "x"\nrate = "$20/day"\nleast_acres = "10 ac"\n',
            "needs a charge by the acre",
        ),
        (
            '[[charge]]\nname = "x"\ntiers = [{ to = "20 ac", rate = "$120" }, { rate = "$200" }]\ntiers_apply = "extra acres"\n',
            "by one unit",
        ),
        (
            '[[charge]]\nname = "x"\ntiers = [{ to = "20 mi", rate = "$12/ac" }, { rate = "$2/ac" }]\ntiers_apply = "extra acres"\n',
            "20 mi",
        ),
        (rent("$14") + '[[charge]]\nname = "x"\nshare = "10 %"\nof = "x"\n', "not a charge above it"),
        (
            rent("$14") + '[[charge]]\nname = "late"\nshare = "10 %"\nof = "all"\neach = "0 days"\n',
            'each is "0 days"',
        ),
        (rent("$14", 'one_of = "a"'), "two charges or more"),
        (rent("$14") + rent("$15"), "is there twice under the same conditions"),
        ('[[charge]]\nname = "x"\nshare = "10 %"\nof = "y"\n', "which is not a charge"),
        (
            (R3 % "whole job").replace('{ rate = "$10/ac" }', '{ to = "60 ac", rate = "$10/ac" }'),
            "must rise",
        ),
    ],
)
def test_what_a_card_leaves_open_is_refused(charges: str, sentence: str, tmp_path: Path) -> None:
    """An undeclared tier, unreadable money, unknown keys: each with what would be right."""
    with pytest.raises(JobFileError, match=sentence.replace("$", r"\$")):
        _fee(tmp_path, charges, 25)


def test_facts_that_a_card_asks_for_must_be_said(tmp_path: Path) -> None:
    """A card with two areas refuses to guess which one it is."""
    card = SHAPES["Michigan in county: $15, least $100"][0]
    with pytest.raises(InputError, match="depends on area"):
        _fee(tmp_path, card, 25)
