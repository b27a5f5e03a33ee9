"""Rates of seed, prices and carriers in a job file."""

from __future__ import annotations

import re

from fieldplan.errors import InputError, QuantityError
from fieldplan.jobfile.values import LONGEST_TEXT, Parser, short
from fieldplan.model.seed import Rate
from fieldplan.model.spelling import nearest
from fieldplan.units import Kind, number_in, parse_quantity, unit_meant

_RATE = re.compile(r"(?P<amount>.*?)\s*\b(?P<basis>pls|bulk|of\s+(?:a\s+)?(?:full\s+)?stand)\s*", re.IGNORECASE)


def rate(value: object) -> Rate:
    """A seeding rate: pure live or bulk mass, live seeds, or a share of a full stand."""
    examples = '"3.4 lb/ac PLS", "90 lb/ac bulk", "12 seeds/ft2" (live seeds) or "25 % of stand"'
    if not isinstance(value, str) or len(value) > LONGEST_TEXT:
        raise QuantityError.of("rate-unreadable", f"is {short(value)}, no rate", _rates_meant(value) or examples)
    match = _RATE.fullmatch(_BASIS_FIRST.sub(r"\2 \1", value.strip().rstrip(".")))
    if special := _another_measure(value):
        raise InputError.of("rate-unreadable", f'"{value}" {special[0]}', special[1])
    try:
        if match is None:
            if _OF_SEEDS.search(value):
                return Rate(value=parse_quantity(value, "count rate"), basis="live seeds")
            parse_quantity(value, "mass rate")
            raise InputError.of("rate-basis-missing", f'"{value}" does not say whether it is pure live seed or bulk',
                                f'"{value} PLS" or "{value} bulk"')  # fmt: skip
        basis = match["basis"].lower()
        if basis in ("pls", "bulk"):
            return Rate(value=parse_quantity(match["amount"], "mass rate"), basis="pls" if basis == "pls" else "bulk")
        return Rate(value=parse_quantity(match["amount"], "share"), basis="stand")
    except QuantityError as error:
        raise QuantityError.of("rate-unreadable", error.problems[0].text, _rates_meant(value) or examples) from None


def _another_measure(value: str) -> tuple[str, str] | None:
    """What a rate by a measure that is none of a rate's is, and what to write: bushels, bags, plants, a bare percentage, a range."""
    number = number_in(value)
    shown = "" if number is None else f"{number:.10g}"
    if shown and re.fullmatch(
        r"\s*[\d.,]+\s*(?:%|percent|pct)\s*(?:of)?\s*(?:a|full|the|of)?\s*(?:rate)?\s*", value, re.IGNORECASE
    ):
        return "does not say of what", f'"{shown} % of stand"'
    if re.search(r"\d\s*(?:bu|bushels?|gal|gallons?|l|ft3)\b\s*(?:/|per\b|an?\b)", value, re.IGNORECASE):
        return "is a volume, and a rate is a weight", f'{shown or "bushels"} × what a bushel weighs, such as "56 lb/ac bulk"'
    if re.search(r"\d\s*(?:bags?|sacks?|totes?|units?)\b", value, re.IGNORECASE):
        return "is a number of bags, and a rate is a weight", f'{shown or "bags"} × what a bag weighs, such as "75 lb/ac bulk"'
    if shown and re.search(r"\d\s*plants?\b", value, re.IGNORECASE):
        return "is a number of plants, and a rate is of live seeds", f'"{shown} seeds/ft2", with the seeds that die added'
    if span := re.match(r"\s*(\d+(?:\.\d+)?)\s*(?:-|–|to|or)\s*(\d+(?:\.\d+)?)\s+(\S.*)", value):
        return "is a range, and one number is looked for", f'"{span[1]} {span[3]}" or "{span[2]} {span[3]}"'
    return None


_OF_SEEDS = re.compile(r"\d\s*seeds?\b|\bseeds?\s*(?:/|per\b)", re.IGNORECASE)
_BASIS_FIRST = re.compile(r"(PLS|bulk)\s+(\d.*|[\d.,]+\s*\w+/\w+)", re.IGNORECASE)


def _rates_meant(value: object) -> str:
    """The same number as a rate of the bases that could be meant; empty if there is no one number."""
    number = number_in(value)
    if number is None:
        return ""
    text_given = value if isinstance(value, str) else ""
    if _OF_SEEDS.search(text_given):
        return f'"{number:.10g} seeds/ft2"'
    words = [one for one in re.findall(r"[A-Za-z]+", text_given) if one.casefold() not in ("lb", "lbs", "pounds", "pound")]
    basis = next((near for cutoff in (1.0, 0.65) for word in words if (near := nearest(word, ("PLS", "bulk"), cutoff))), None)
    per_area = re.sub(r"\b(?:bulk|pls)\b|[(),]", " ", text_given, flags=re.IGNORECASE)
    amount = f"{number:.10g} {unit_meant(per_area, 'mass rate') or 'lb/ac'}"
    return f'"{amount} {basis}"' if basis else f'"{amount} PLS" or "{amount} bulk"'


_AMOUNT = r"(?P<amount>\d{1,3}(?:,\d{3})+(?:\.\d{1,4})?|\d{1,9}(?:\.\d{1,4})?)"
_PRICE = re.compile(
    rf"(?:(?P<before>[^\d\s.,/+-]{{1,3}})\s*{_AMOUNT}|{_AMOUNT.replace('amount', 'amount2')}\s*(?P<after>[^\d\s/+-]{{1,3}}))\s*(?:/|per)\s*(?P<unit>\w+)"
)


def price(value: object) -> tuple[float, str, float | None]:
    """Money for seed: the amount, its currency as written, and the kilograms it buys (``None`` for a bag)."""
    number = number_in(value)
    example = (
        'such as "$5.20/lb", "$180/bag" or "11 EUR/kg"'
        if number is None
        else f'"${_cents(number)}/lb" or "${_cents(number)}/bag"'
    )
    match = _PRICE.fullmatch(value.strip()) if isinstance(value, str) and len(value) <= LONGEST_TEXT else None
    if match is None:
        raise InputError.of("price-unreadable", f"is {short(value)}, no price", example)
    unit = match["unit"].lower()
    amount, currency = float((match["amount"] or match["amount2"]).replace(",", "")), match["before"] or match["after"]
    if unit in ("bag", "bags"):
        return amount, currency, None
    try:
        return amount, currency, parse_quantity(f"1 {unit}", "mass")
    except QuantityError:
        raise InputError.of("price-unreadable", f'"{value}" is no price by weight or by the bag', example) from None


def money(kind: Kind) -> Parser:
    """Money for a quantity of some kind, such as a gallon or an hour: what one SI unit costs, and the currency."""
    unit, usual = {"volume": ("gal", 4.10), "time": ("h", 25.0)}.get(kind, ("lb", 5.0))

    def parse(value: object) -> tuple[float, str]:
        number = number_in(value)
        example = f'"${_cents(usual if number is None else number)}/{unit}"'
        match = _PRICE.fullmatch(value.strip()) if isinstance(value, str) and len(value) <= LONGEST_TEXT else None
        try:
            if match is None:
                raise QuantityError.of("", "")
            one = parse_quantity(f"1 {match['unit']}", kind)
        except QuantityError:
            raise InputError.of("price-unreadable", f"is {short(value)}, no price", f"such as {example}") from None
        return float((match["amount"] or match["amount2"]).replace(",", "")) / one, match["before"] or match["after"]

    return parse


_CARRIER = re.compile(r"(?P<name>[^\d]+?)(?:\s+at\s+(?P<weight>\d[\d.,]*\s*\S+))?(?:\s+to\s+(?P<volume>\d[\d.,]*\s*\S+))?")


def carrier(value: object) -> tuple[str, float | None, float | None]:
    """A carrier: its name in small letters, its weight by volume and the volume rate to reach, as far as they are said."""
    example = '"rice hulls" (up to what the box can meter), "rice hulls to 2 bu/ac" or "oat hulls at 12 lb/bu to 2 bu/ac"'
    match = _CARRIER.fullmatch(value.strip()) if isinstance(value, str) and len(value) <= LONGEST_TEXT else None
    if match is None or re.search(r"(^|\s)(at|to)(\s|$)", match["name"]):
        raise InputError.of("carrier-unreadable", f"is {short(value)}, no carrier", example)
    try:
        weight = None if match["weight"] is None else parse_quantity(match["weight"], "density")
        volume = None if match["volume"] is None else parse_quantity(match["volume"], "volume rate")
    except QuantityError as error:
        raise InputError.of("carrier-unreadable", error.problems[0].text, example) from None
    return match["name"].strip().casefold(), weight, volume


def _cents(amount: float) -> str:
    return f"{amount:.2f}".removesuffix(".00")
