"""Rates of seed, prices and carriers in a job file."""

from __future__ import annotations

import re
from dataclasses import dataclass

from fieldplan.errors import InputError, QuantityError
from fieldplan.jobfile.values import LONGEST_TEXT, Parser, short
from fieldplan.model.seed import RATE_FORMS, Rate, RateBasis
from fieldplan.model.spelling import nearest
from fieldplan.tables import read as tables
from fieldplan.units import Kind, number_in, parse_quantity, unit_meant


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """How a job file has a rate of one basis: its ``amount`` and what says the basis.

    Parameters
    ----------
    behind
        The word behind an amount that says the basis, as it is spelled here; empty if the unit says it.
    figure
        The figure of the species table that it takes to know its weight, if any.
    """

    pattern: re.Pattern[str]
    behind: str = ""
    figure: str = ""


WRITTEN: dict[RateBasis, Written] = {
    "pls": Written(
        pattern=re.compile(r"(?P<amount>.*?)\s*\b(?P<basis>pls)\s*", re.IGNORECASE),
        behind="PLS",
    ),
    "bulk": Written(
        pattern=re.compile(r"(?P<amount>.*?)\s*\b(?P<basis>bulk)\s*", re.IGNORECASE),
        behind="bulk",
    ),
    "stand": Written(
        pattern=re.compile(
            r"(?P<amount>.*?)\s*\b(?P<basis>of\s+(?:a\s+)?(?:full\s+)?stand)\s*", re.IGNORECASE
        ),
        figure="full seeding rate",
    ),
    "live seeds": Written(
        pattern=re.compile(
            r"(?P<amount>.*(?:\d\s*seeds?\b|\bseeds?\s*(?:/|per\b)).*)(?P<basis>)", re.IGNORECASE
        ),
        figure="seeds per pound",
    ),
}
"""Every basis of a rate, in the order in which they are looked for."""
_KINDS = {form.name: form.kind for form in RATE_FORMS}
_EXAMPLES = tuple(form.example for form in RATE_FORMS)
_NAMED = tuple(one.behind for one in WRITTEN.values() if one.behind)
_ANY_NAMED = "|".join(_NAMED)
_BASIS_FIRST = re.compile(rf"({_ANY_NAMED})\s+(\d.*|[\d.,]+\s*\w+/\w+)", re.IGNORECASE)


def rate(value: object) -> Rate:
    """A seeding rate: pure live or bulk mass, live seeds, or a share of a full stand."""
    if not isinstance(value, str) or len(value) > LONGEST_TEXT:
        raise _unreadable(value)
    if another := _another_measure(value):
        raise another
    try:
        if found := _basis_in(value):
            return Rate(value=parse_quantity(found[1], _KINDS[found[0]]), basis=found[0])
        parse_quantity(value, "mass rate")
    except QuantityError as error:
        right = _rates_meant(value)
        why = error.problems[0].as_fact()
        if right:
            raise QuantityError.of("rate-unreadable/quantity-meant", why=why, right=right) from None
        raise QuantityError.of("rate-unreadable/quantity", why=why, example=_EXAMPLES) from None
    raise InputError.of(
        "rate-basis-missing", given=value, right=tuple(f'"{value} {basis}"' for basis in _NAMED)
    )


def basis_behind(value: object) -> str:
    """What stands behind the amount of a rate to say its basis, as it was typed; empty if nothing does."""
    found = _basis_in(value) if isinstance(value, str) else None
    return found[2] if found else ""


def _basis_in(value: str) -> tuple[RateBasis, str, str] | None:
    """The basis of a rate, its amount and the words that say the basis."""
    text = _BASIS_FIRST.sub(r"\2 \1", value.strip().rstrip("."))
    for basis, written in WRITTEN.items():
        if match := written.pattern.fullmatch(text):
            return basis, match["amount"], match["basis"]
    return None


def _unreadable(value: object) -> QuantityError:
    right = _rates_meant(value)
    if right:
        return QuantityError.of("rate-unreadable/meant", given=short(value), right=right)
    return QuantityError.of("rate-unreadable", given=short(value), example=_EXAMPLES)


def _another_measure(value: str) -> InputError | None:
    """The error for a rate by a measure that is none of a rate's: bushels, bags, plants, a bare percentage,
    a range.
    """
    number = number_in(value)
    typed = "" if number is None else f"{number:.10g}"
    if typed and re.fullmatch(
        r"\s*[\d.,]+\s*(?:%|percent|pct)\s*(?:of)?\s*(?:a|full|the|of)?\s*(?:rate)?\s*",
        value,
        re.IGNORECASE,
    ):
        return InputError.of("rate-unreadable/of-what", given=value, right=f'"{typed} % of stand"')
    if re.search(r"\d\s*(?:bu|bushels?|gal|gallons?|l|ft3)\b\s*(?:/|per\b|an?\b)", value, re.IGNORECASE):
        return InputError.of("rate-unreadable/volume", given=value, number=typed)
    if re.search(r"\d\s*(?:bags?|sacks?|totes?|units?)\b", value, re.IGNORECASE):
        return InputError.of("rate-unreadable/bags", given=value, number=typed)
    if typed and re.search(r"\d\s*plants?\b", value, re.IGNORECASE):
        return InputError.of("rate-unreadable/plants", given=value, form=f'"{typed} seeds/ft2"')
    if span := re.match(r"\s*(\d+(?:\.\d+)?)\s*(?:-|–|to|or)\s*(\d+(?:\.\d+)?)\s+(\S.*)", value):
        return InputError.of(
            "rate-unreadable/range",
            given=value,
            right=tuple(f'"{one} {span[3]}"' for one in (span[1], span[2])),
        )
    return None


def _rates_meant(value: object) -> tuple[str, ...]:
    """The same number as a rate of the bases that could be meant; none if there is no one number."""
    number = number_in(value)
    if number is None:
        return ()
    text_given = value if isinstance(value, str) else ""
    if WRITTEN["live seeds"].pattern.fullmatch(text_given):
        return (f'"{number:.10g} seeds/ft2"',)
    words = [
        one
        for one in re.findall(r"[A-Za-z]+", text_given)
        if one.casefold() not in ("lb", "lbs", "pounds", "pound")
    ]
    basis = next(
        (near for cutoff in (1.0, 0.65) for word in words if (near := nearest(word, _NAMED, cutoff))), None
    )
    per_area = re.sub(rf"\b(?:{_ANY_NAMED})\b|[(),]", " ", text_given, flags=re.IGNORECASE)
    amount = f"{number:.10g} {unit_meant(per_area, 'mass rate') or 'lb/ac'}"
    return tuple(f'"{amount} {basi}"' for basi in ((basis,) if basis else _NAMED))


_AMOUNT = r"(?P<amount>\d{1,3}(?:,\d{3})+(?:\.\d{1,4})?|\d{1,9}(?:\.\d{1,4})?)"
_PRICE = re.compile(
    rf"(?:(?P<before>[^\d\s.,/+-]{{1,3}})\s*{_AMOUNT}|{_AMOUNT.replace('amount', 'amount2')}\s*(?P<after>[^\d\s/+-]{{1,3}}))\s*(?:/|per)\s*(?P<unit>\w+)"
)


def price(value: object) -> tuple[float, str, float | None]:
    """Money for seed: the amount, its currency as written, and the kilograms it buys (``None`` for a
    bag).
    """
    match = (
        _PRICE.fullmatch(value.strip()) if isinstance(value, str) and len(value) <= LONGEST_TEXT else None
    )
    if match is None:
        raise _no_price(value)
    unit = match["unit"].lower()
    amount, currency = _amount_in(match)
    if unit in ("bag", "bags"):
        return amount, currency, None
    try:
        return amount, currency, parse_quantity(f"1 {unit}", "mass")
    except QuantityError:
        raise _no_price(value) from None


def _no_price(value: object) -> InputError:
    number = number_in(value)
    if number is None:
        return InputError.of(
            "price-unreadable", given=short(value), example=('"$5.20/lb"', '"$180/bag"', '"11 EUR/kg"')
        )
    right = tuple(f'"${_cents(number)}/{unit}"' for unit in ("lb", "bag"))
    return InputError.of("price-unreadable/meant", given=short(value), right=right)


_PRICED: dict[Kind, str] = {"volume": "cost.fuel_price", "time": "cost.wage"}
"""Whose band says how much of that kind usually costs."""


def _in_the_usual_unit(key: str, number: float | None) -> str:
    band = tables.needed_band(key)
    sign, _, unit = band.unit.partition("/")
    return f"{sign}{_cents(float(band.example) if number is None else number)}/{unit}"


def money(kind: Kind) -> Parser:
    """Money for a quantity of some kind, such as a gallon or an hour: what one SI unit costs, and the
    currency.
    """

    def parse(value: object) -> tuple[float, str]:
        example = f'"{_in_the_usual_unit(_PRICED[kind], number_in(value))}"'
        match = (
            _PRICE.fullmatch(value.strip())
            if isinstance(value, str) and len(value) <= LONGEST_TEXT
            else None
        )
        if match is None:
            raise InputError.of("price-unreadable", given=short(value), example=example)
        try:
            one = parse_quantity(f"1 {match['unit']}", kind)
        except QuantityError:
            raise InputError.of("price-unreadable", given=short(value), example=example) from None
        amount, currency = _amount_in(match)
        return amount / one, currency

    return parse


def _amount_in(match: re.Match[str]) -> tuple[float, str]:
    return float((match["amount"] or match["amount2"]).replace(",", "")), match["before"] or match["after"]


_CARRIER = re.compile(
    r"(?P<name>[^\d]+?)(?:\s+at\s+(?P<weight>\d[\d.,]*\s*\S+))?(?:\s+to\s+(?P<volume>\d[\d.,]*\s*\S+))?"
)


def carrier(value: object) -> tuple[str, float | None, float | None]:
    """A carrier: its name in small letters, its weight by volume and the volume rate to reach, as far as
    they are said.
    """
    match = (
        _CARRIER.fullmatch(value.strip()) if isinstance(value, str) and len(value) <= LONGEST_TEXT else None
    )
    if match is None or re.search(r"(^|\s)(at|to)(\s|$)", match["name"]):
        raise InputError.of("carrier-unreadable", given=short(value))
    try:
        weight = None if match["weight"] is None else parse_quantity(match["weight"], "density")
        volume = None if match["volume"] is None else parse_quantity(match["volume"], "volume rate")
    except QuantityError as error:
        raise InputError.of("carrier-unreadable/quantity", why=error.problems[0].as_fact()) from None
    return match["name"].strip().casefold(), weight, volume


def _cents(amount: float) -> str:
    return f"{amount:.2f}".removesuffix(".00")
