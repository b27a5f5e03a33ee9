"""Rates of seed, prices and carriers in a job file."""

from __future__ import annotations

import re
from dataclasses import dataclass

from fieldplan.errors import InputError, QuantityError
from fieldplan.jobfile.values import LONGEST_TEXT, Parser, short
from fieldplan.model.seed import RATE_FORMS, Rate, RateBasis
from fieldplan.model.spelling import nearest
from fieldplan.tables.bands import needed_band
from fieldplan.typed_number import number_in
from fieldplan.typed_quantity import kind_of, parse_quantity
from fieldplan.typed_unit import unit_meant
from fieldplan.units import Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """How a job file writes a rate of one basis.

    Parameters
    ----------
    pattern
        Matches such a rate; its groups are ``amount`` and ``basis``, the words that say the basis.
    behind
        The word after the amount that says the basis; empty if the unit says it.
    figure
        The figure of the species table that is needed to turn the rate into a weight; empty if none.
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
"""Every basis of a rate, in the order in which they are tried."""
_KINDS = {form.name: form.kind for form in RATE_FORMS}
_EXAMPLES = tuple(form.example for form in RATE_FORMS)
_NAMED = tuple(written.behind for written in WRITTEN.values() if written.behind)
_ANY_NAMED = "|".join(_NAMED)
_POUNDS = ("lb", "lbs", "pounds", "pound")
"""Words that look like "PLS" and are not meant for it."""
_LIVE_SEEDS = re.compile(
    r"\b(?:pls|pure\s+live)(?:\s+seeds?)?\s*(?:/|per\b)\s*"
    r"(?:(?:sq\.?|square)\s*(?P<side>ft|foot|feet|m|meter|metre)\b\.?|(?P<squared>ft|m)(?:2|²|\^2))",
    re.IGNORECASE,
)
"""Pure live seed by the square foot: it is counted, not weighed."""
_BASIS_FIRST = re.compile(rf"({_ANY_NAMED})\s+(\d.*|[\d.,]+\s*\w+/\w+)", re.IGNORECASE)


def rate(value: object) -> Rate:
    """Return a seeding rate: PLS or bulk weight, live seeds, or a share of the full seeding rate.

    Parameters
    ----------
    value
        For example ``"3.4 lb/ac PLS"``, ``"90 lb/ac bulk"``, ``"12 seeds/ft2"`` or ``"25 % of stand"``.

    Returns
    -------
    Rate
        With its basis, and its value in kg/m², seeds/m² or as a fraction.

    Raises
    ------
    InputError
        If it is no rate, or does not say its basis.

    Examples
    --------
    >>> rate("25 % of stand")
    Rate(value=0.25, basis='stand')
    """
    if not isinstance(value, str) or len(value) > LONGEST_TEXT:
        raise _unreadable(value)
    if another := _another_measure(value):
        raise another
    try:
        if parts := _basis_in(value):
            basis, amount, _ = parts
            return Rate(value=parse_quantity(amount, _KINDS[basis]), basis=basis)
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
    """Return the words of a rate that say its basis, as typed; empty if there are none.

    Examples
    --------
    >>> basis_behind("3.4 lb/ac PLS"), basis_behind("12 seeds/ft2")
    ('PLS', '')
    """
    parts = _basis_in(value) if isinstance(value, str) else None
    return parts[2] if parts else ""


def _basis_in(value: str) -> tuple[RateBasis, str, str] | None:
    """Return the basis of a rate, its amount and the words that say the basis."""
    text = _LIVE_SEEDS.sub(_counted, value.strip().rstrip("."))
    text = _BASIS_FIRST.sub(r"\2 \1", text)
    for basis, written in WRITTEN.items():
        if match := written.pattern.fullmatch(text):
            return basis, match["amount"], match["basis"]
    return None


def _counted(found: re.Match[str]) -> str:
    side = (found["side"] or found["squared"]).casefold()
    return f"seeds/{'m2' if side.startswith('m') else 'ft2'}"


def _unreadable(value: object) -> QuantityError:
    right = _rates_meant(value)
    if right:
        return QuantityError.of("rate-unreadable/meant", given=short(value), right=right)
    return QuantityError.of("rate-unreadable", given=short(value), example=_EXAMPLES)


def _another_measure(value: str) -> InputError | None:
    """Return the error for a rate in bushels, bags or plants, a percentage of nothing, or a range."""
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
            right=tuple(f'"{bound} {span[3]}"' for bound in (span[1], span[2])),
        )
    return None


def _rates_meant(value: object) -> tuple[str, ...]:
    """Return the rates that may have been meant by the number given; empty if it is not one number."""
    number = number_in(value)
    if number is None:
        return ()
    text_given = value if isinstance(value, str) else ""
    if WRITTEN["live seeds"].pattern.fullmatch(text_given):
        if _LARGE_NUMBER.search(text_given):  # a million of them is another number than the one in digits
            return ()
        return (f'"{number:.10g} seeds/ft2"',)
    words = [word for word in re.findall(r"[A-Za-z]+", text_given) if word.casefold() not in _POUNDS]
    basis = next(
        (near for cutoff in (1.0, 0.65) for word in words if (near := nearest(word, _NAMED, cutoff))), None
    )
    per_area = re.sub(rf"\b(?:{_ANY_NAMED})\b|[(),]", " ", text_given, flags=re.IGNORECASE)
    amount = f"{number:.10g} {unit_meant(per_area, 'mass rate') or 'lb/ac'}"
    return tuple(f'"{amount} {named}"' for named in ((basis,) if basis else _NAMED))


_LARGE_NUMBER = re.compile(r"\d\s*(?:million|mio|mill?|thousand|[mk])\b", re.IGNORECASE)
_AMOUNT = r"(?P<amount>\d{1,3}(?:,\d{3})+(?:\.\d{1,4})?|\d{1,9}(?:\.\d{1,4})?)"
_SIGN_FIRST = rf"(?P<before>[^\d\s.,/+-]{{1,3}})\s*{_AMOUNT}"
_SIGN_LAST = rf"{_AMOUNT.replace('amount', 'amount2')}\s*(?P<after>[^\d\s/+-]{{1,3}})"
_PRICE = re.compile(rf"(?:{_SIGN_FIRST}|{_SIGN_LAST})\s*(?:/|per)\s*(?P<unit>\w+)")


def _match(pattern: re.Pattern[str], value: object) -> re.Match[str] | None:
    if not isinstance(value, str) or len(value) > LONGEST_TEXT:
        return None
    return pattern.fullmatch(value.strip())


def price(value: object) -> tuple[float, str, float | None]:
    """Return the price of seed.

    Parameters
    ----------
    value
        For example ``"$5.20/lb"``, ``"$180/bag"`` or ``"11 EUR/kg"``.

    Returns
    -------
    tuple of (float, str, float or None)
        The amount, its currency as written, and the kilograms it buys; ``None`` for a bag.

    Raises
    ------
    InputError
        If it is no such price.

    Examples
    --------
    >>> price("11 EUR/kg"), price("$180/bag")
    ((11.0, 'EUR', 1.0), (180.0, '$', None))
    """
    match = _match(_PRICE, value)
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
    number, _ = _priced(value, "mass")
    if number is None:
        return InputError.of("price-unreadable", given=short(value), example=_PRICES)
    right = tuple(f'"${_cents(number)}/{unit}"' for unit in ("lb", "bag"))
    return InputError.of("price-unreadable/meant", given=short(value), right=right)


_PRICES = ('"$5.20/lb"', '"$180/bag"', '"11 EUR/kg"')
_PRICED: dict[Kind, str] = {"volume": "cost.fuel_price", "time": "cost.wage"}
"""Keys of the bands with the usual price of a quantity of that kind."""
_NO_UNITS = ("per", "a", "an", "bag", "bags")


def _priced(given: object, kind: Kind) -> tuple[float | None, str]:
    """The number of a price and the unit that it names, if any.

    There is no number if it is for something else, such as a day or a ton: with another unit it would be another price.
    """
    number = number_in(given)
    words = re.findall(r"[A-Za-z]+", given) if isinstance(given, str) else []
    units = [
        word for word in words if word.casefold() not in _NO_UNITS and not re.fullmatch("[A-Z]{3}", word)
    ]
    if number is None or number < 0 or any(kind_of(f"1 {unit}") != kind for unit in units):
        return None, ""
    return number, units[0] if units else ""


def _meant(given: object, kind: Kind) -> str:
    """A price as it was meant, or a usual one, in the unit that it names or that is usual."""
    band = needed_band(_PRICED[kind])
    sign, _, usual = band.unit.partition("/")
    number, unit = _priced(given, kind)
    return f'"{sign}{_cents(float(band.example) if number is None else number)}/{unit or usual}"'


def money(kind: Kind) -> Parser:
    """Return what reads a price of fuel or work.

    Parameters
    ----------
    kind
        What is paid for: ``"volume"`` or ``"time"``.

    Returns
    -------
    Parser
        Returns the price of one SI unit, and its currency as written.

    Examples
    --------
    >>> money("time")("$36/h")
    (0.01, '$')
    """

    def parse(value: object) -> tuple[float, str]:
        example = _meant(value, kind)
        match = _match(_PRICE, value)
        if match is None:
            raise InputError.of("price-unreadable", given=short(value), example=example)
        try:
            unit_si = parse_quantity(f"1 {match['unit']}", kind)
        except QuantityError:
            raise InputError.of("price-unreadable", given=short(value), example=example) from None
        amount, currency = _amount_in(match)
        return amount / unit_si, currency

    return parse


def _amount_in(match: re.Match[str]) -> tuple[float, str]:
    return float((match["amount"] or match["amount2"]).replace(",", "")), match["before"] or match["after"]


_CARRIER = re.compile(
    r"(?P<name>[^\d]+?)(?:\s+at\s+(?P<weight>\d[\d.,]*\s*\S+))?(?:\s+to\s+(?P<volume>\d[\d.,]*\s*\S+))?"
)


def carrier(value: object) -> tuple[str, float | None, float | None]:
    """Return a carrier that is mixed with the seed.

    Parameters
    ----------
    value
        For example ``"rice hulls"``, ``"rice hulls to 2 bu/ac"`` or ``"oat hulls at 12 lb/bu to 2 bu/ac"``.

    Returns
    -------
    tuple of (str, float or None, float or None)
        Its name in lower case, its bulk weight in kg/m³ and the volume rate to reach in m³/m²; ``None``
        where the text does not say.

    Raises
    ------
    InputError
        If it is no carrier, or a quantity in it cannot be read.
    """
    match = _match(_CARRIER, value)
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
