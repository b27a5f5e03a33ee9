"""Read a rate card file into a checked `RateCard`."""

from __future__ import annotations

import calendar
import re
from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any, TypeGuard, cast, get_args

from fieldplan.errors import InputError, JobFileError, Problem, problem
from fieldplan.facts import Value, fact
from fieldplan.files import Purpose, content_of
from fieldplan.jobfile.toml_faults import parsed
from fieldplan.jobfile.values import LONGEST_TEXT, choice, short, text, texts
from fieldplan.model.fee import (
    UNIT_WORDS,
    Acres,
    Charge,
    ChargeKind,
    FreeDays,
    Price,
    Rate,
    RateCard,
    Share,
    Tier,
    Tiers,
    Unit,
)
from fieldplan.model.spelling import nearest

CARD_FILE = Purpose(what=fact("called/card"), code="card", max_bytes=1_000_000, error=JobFileError)
CARD_KEYS = ("name", "currency", "acres", "usual", "one_of", "due", "terms", "days_free")
CHARGE_KEYS = (
    "name",
    "rate",
    "tiers",
    "tiers_apply",
    "fraction",
    "least",
    "least_acres",
    "least_days",
    "free",
    "up_to",
    "share",
    "of",
    "each",
    "paid_within",
    "when",
    "one_of",
    "kind",
)
_ALIKE = 0.85
"""How similar, 0 to 1, two words for one condition must be to be taken for the same."""
_AMOUNT = r"\d{1,3}(?:,\d{3})+(?:\.\d{1,4})?|\d{1,9}(?:\.\d{1,4})?"
_SIGN = r"[^\d\s.,/+\-−()%]{1,3}"
_MONEY = re.compile(
    rf"(?P<sign>[+\-−]?)\s*(?P<before>{_SIGN})?\s*(?P<amount>{_AMOUNT})\s*(?P<after>{_SIGN})?\s*"
    r"(?:(?:/|\bper\s)\s*(?P<unit>[a-z]+))?",
    re.IGNORECASE,
)
_QUANTITY = re.compile(r"\s*(?P<amount>\d{1,7}(?:\.\d{1,4})?)\s*(?P<unit>[a-z]+)\s*", re.IGNORECASE)
_KEYS_OF = {
    "rate": ("least", "least_acres", "least_days", "free", "paid_within", "when", "one_of", "kind"),
    "tiers": (
        "tiers_apply",
        "fraction",
        "least",
        "least_acres",
        "least_days",
        "paid_within",
        "when",
        "one_of",
        "kind",
    ),
    "share": ("of", "up_to", "each", "paid_within", "when"),
}
_UNITS: dict[str, Unit] = {word: unit for unit, words in UNIT_WORDS.items() for word in words}


def load_rate_card(path: Path) -> RateCard:
    """Return the rate card that a TOML file describes.

    Parameters
    ----------
    path
        The rate card file.

    Raises
    ------
    JobFileError
        With every problem found: an unknown key, money that cannot be read, tiers without a declared meaning.
    """
    document = parsed(content_of(path, CARD_FILE), path, CARD_FILE)
    reader = _Reader(path)
    card = reader.card(document)
    if reader.problems or card is None:
        raise JobFileError(tuple(reader.problems))
    return card


class _Reader:
    """Reads the tables of one rate card and collects their problems."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.problems: list[Problem] = []
        self.currency = "$"

    def bad(self, code: str, about: str = "", /, **values: Value) -> None:
        self.problems.append(problem(code, file=str(self.path), about=about, cure=None, **values))

    def card(self, document: Mapping[str, Any]) -> RateCard | None:
        for key in document:
            if key not in ("rate_card", "charge"):
                self.bad(
                    "key-unknown/card-table", f"[{key}]", near=nearest(key, ("rate_card", "charge")) or ""
                )
        head = document.get("rate_card")
        rows = document.get("charge")
        if not isinstance(head, dict) or not _is_list_of_tables(rows):
            self.bad("card-value/tables")
            return None
        self.unknown(head, CARD_KEYS, "[rate_card]")
        name = self.parsed(head, "name", text, "[rate_card]", self.path.stem)
        currency = head.get("currency", "$")
        if not isinstance(currency, str) or not re.fullmatch(_SIGN, currency.strip()):
            self.bad("card-value/currency", "[rate_card]", key="currency", given=short(currency))
        else:
            self.currency = currency.strip()
        acres = self.parsed(head, "acres", choice("map", "meter", "to sow"), "[rate_card]", None)
        if "acres" not in head:
            self.bad("key-missing/card-acres", "[rate_card]", key="acres")
        usual = self.words(head.get("usual", {}), "[rate_card] usual")
        charges = [self.charge(row, number) for number, row in enumerate(rows, start=1)]
        names = [charge.name for charge in charges if charge is not None]
        self.words_alike([usual, *(charge.when for charge in charges if charge is not None)])
        self.shares(charges)
        self.alternatives(charges)
        for name_twice in sorted({name for name in names if names.count(name) > 1}):
            if not self.apart(name_twice, charges):
                self.bad("card-value/charge-twice", f'charge "{name_twice}"')
        greater = self.parsed(head, "one_of", choice("greater", "smaller"), "[rate_card]", None)
        if greater is None and any(charge is not None and charge.one_of for charge in charges):
            self.bad("key-missing/card-one-of", "[rate_card]", key="one_of")
        due_days = self.days(head, "due", "[rate_card]")
        terms = self.parsed(head, "terms", texts, "[rate_card]", ())
        free_days = self.free_days(head.get("days_free", []))
        if self.problems:
            return None
        return RateCard(
            name=name,
            currency=self.currency,
            acres=cast(Acres, acres),
            usual=usual,
            charges=tuple(charge for charge in charges if charge is not None),
            greater=greater != "smaller",
            due_days=due_days,
            terms=terms,
            free_weekdays=free_days[0],
            free_dates=free_days[1],
            free_kinds=free_days[2],
        )

    def free_days(self, value: object) -> tuple[frozenset[int], frozenset[date], frozenset[FreeDays]]:
        """Return the weekdays, dates and kinds of days that charges by the day leave out."""
        weekdays, dates, kinds = set[int](), set[date](), set[FreeDays]()
        names = [name.casefold() for name in calendar.day_name]
        for given in value if isinstance(value, list) else [value]:
            word = given.strip().casefold() if isinstance(given, str) else ""
            if isinstance(given, date) and not isinstance(given, datetime):
                dates.add(given)
            elif word in names:
                weekdays.add(names.index(word))
            elif word in get_args(FreeDays):
                kinds.add(cast(FreeDays, word))
            else:
                self.bad(
                    "card-value/days-free",
                    "[rate_card]",
                    key="days_free",
                    given=short(given),
                    near=nearest(word, (*names, *get_args(FreeDays))) or "",
                )
        return frozenset(weekdays), frozenset(dates), frozenset(kinds)

    def shares(self, charges: list[Charge | None]) -> None:
        """Check that each share is of charges above it: of all, or of one by name that is no deposit."""
        above: list[str] = []
        for charge in charges:
            if charge is not None and charge.share is not None and charge.share.of not in (*above, "all"):
                self.bad(
                    "card-value/of-above" if above else "card-value/of",
                    f'charge "{charge.name}"',
                    key="of",
                    of=charge.share.of,
                    above=tuple(above),
                )
            if charge is not None and charge.kind == "charge":
                above.append(charge.name)

    def words_alike(self, conditions: list[Mapping[str, str]]) -> None:
        """Refuse two words for one condition that are spelled almost alike.

        One of them is a slip, and its charge would never be made.
        """
        for name in dict.fromkeys(name for words_by_name in conditions for name in words_by_name):
            given = (words_by_name[name] for words_by_name in conditions if name in words_by_name)
            words = list(dict.fromkeys(given))
            for k, word in enumerate(words):
                near = nearest(word, words[:k], _ALIKE)
                if near is not None and near != word and not re.search(r"\d", word):
                    self.bad("card-value/words-alike", f'when {name} = "{word}"', near=near)

    def alternatives(self, charges: list[Charge | None]) -> None:
        """Check that each group of alternatives has two charges or more, and no deposit."""
        groups: dict[str, list[Charge]] = {}
        for charge in charges:
            if charge is not None and charge.one_of:
                groups.setdefault(charge.one_of, []).append(charge)
        for group, members in groups.items():
            if len(members) < 2 or any(charge.kind == "deposit" for charge in members):
                self.bad("card-value/alternatives", f'one_of "{group}"')

    @staticmethod
    def apart(name: str, charges: list[Charge | None]) -> bool:
        """Whether all charges of one name have different conditions."""
        conditions = [
            tuple(sorted(charge.when.items()))
            for charge in charges
            if charge is not None and charge.name == name
        ]
        return len(set(conditions)) == len(conditions)

    def charge(self, row: Mapping[str, Any], number: int) -> Charge | None:
        label = f'charge "{row.get("name", number)}"'
        before = len(self.problems)
        self.unknown(row, CHARGE_KEYS, label)
        name = self.parsed(row, "name", text, label, f"charge {number}")
        kinds = [key for key in ("rate", "tiers", "share") if key in row]
        if len(kinds) != 1:
            self.bad("key-missing/card-charge", label)
            return None
        idle = [
            key for key in row if key in CHARGE_KEYS and key not in (*_KEYS_OF[kinds[0]], kinds[0], "name")
        ]
        if idle:
            self.bad("card-value/idle", label, idle=tuple(idle), beside=kinds[0], known=_KEYS_OF[kinds[0]])
        rate, unit = self.money(row["rate"], f"{label} rate") if "rate" in row else (None, "use")
        tiers: tuple[Tier, ...] = ()
        if "tiers" in row:
            tiers, unit = self.tiers(row, label)
        share = self.share(row, label) if "share" in row else None
        if "least_acres" in row and unit != "ac":
            self.bad("card-value/least-acres", label, key="least_acres")
        if "least_days" in row and unit != "day":
            self.bad("card-value/least-days", label, key="least_days")
        if "free" in row and unit == "use":
            self.bad("card-value/free", label, key="free")
        each = self.days(row, "each", label)
        if len(self.problems) > before:
            return None
        price: Price
        if share is not None:
            up_to = self.amount(row["up_to"], "ac", f"{label} up_to") if "up_to" in row else None
            price = Share(share_frac=share, of=str(row.get("of", "")), up_to=up_to, each_days=each)
        elif rate is not None:
            free = self.amount(row["free"], unit, f"{label} free") if "free" in row else 0.0
            price = Rate(rate=rate, free=free)
        else:
            price = Tiers(
                tiers=tiers,
                whole_job=row.get("tiers_apply") != "extra acres",
                fraction_next=row.get("fraction") != "lower tier",
            )
        return Charge(
            name=name,
            unit=unit,
            kind=cast(ChargeKind, self.parsed(row, "kind", choice("charge", "deposit"), label, "charge")),
            price=price,
            minimum=self.sum_of(row["least"], f"{label} least") if "least" in row else None,
            min_quantity=self.amount(row["least_acres"], "ac", f"{label} least_acres")
            if "least_acres" in row
            else self.amount(row["least_days"], "day", f"{label} least_days")
            if "least_days" in row
            else 0.0,
            paid_within_days=self.days(row, "paid_within", label),
            when=self.words(row.get("when", {}), f"{label} when"),
            one_of=str(row.get("one_of", "")),
        )

    def tiers(self, row: Mapping[str, Any], label: str) -> tuple[tuple[Tier, ...], Unit]:
        """Return the tiers in order, and their unit.

        What a tier's rate applies to, and which tier a fraction falls in, must be declared: cards are read
        both ways.
        """
        given = row["tiers"]
        if not _is_list_of_tables(given):
            self.bad("card-value/tiers", label, key="tiers")
            return (), "ac"
        if row.get("tiers_apply") not in ("whole job", "extra acres"):
            self.bad("tier-ambiguous", label, key="tiers_apply")
        if row.get("tiers_apply") == "whole job" and row.get("fraction") not in ("next tier", "lower tier"):
            self.bad("tier-ambiguous/fraction", label, key="fraction")
        labels = [f"{label} tier {number}" for number in range(1, len(given) + 1)]
        for table, tier_label in zip(given, labels, strict=True):
            self.unknown(table, ("to", "rate", "flat"), tier_label)
            if ("rate" in table) == ("flat" in table):
                self.bad("card-value/tier-rate", tier_label)
        rates = [
            self.money(table["rate"], tier_label) if "rate" in table else None
            for table, tier_label in zip(given, labels, strict=True)
        ]
        units = {rate[1] for rate in rates if rate is not None}
        unit: Unit = next(iter(units), "ac")
        if len(units) > 1 or unit == "use":
            self.bad("card-value/tier-units", label, key="tiers")
            return (), "ac"
        tiers = tuple(
            Tier(
                to=self.amount(table["to"], unit, f"{tier_label} to") if "to" in table else None,
                rate=None if rate is None else rate[0],
                flat=self.sum_of(table["flat"], f"{tier_label} flat") if "flat" in table else None,
            )
            for table, rate, tier_label in zip(given, rates, labels, strict=True)
        )
        *bounds, last = (tier.to for tier in tiers)
        known = [bound for bound in bounds if bound is not None]
        if last is not None or len(known) < len(bounds) or known != sorted(set(known)):
            self.bad("card-value/tier-bounds", label, key="tiers")
        return tiers, unit

    def money(self, value: object, where: str) -> tuple[Decimal | None, Unit]:
        """Return an amount of money and what it is charged by; "use" if no unit follows it."""
        readable = isinstance(value, str) and len(value) <= LONGEST_TEXT
        match = _MONEY.fullmatch(str(value).strip()) if readable else None
        unit = _UNITS.get((match["unit"] or "use").lower()) if match else None
        if match is None or unit is None or {match["before"], match["after"]} - {None, self.currency}:
            self.bad("card-value/money", where, given=short(value), currency=self.currency)
            return None, "use"
        amount = Decimal(match["amount"].replace(",", ""))
        return (-amount if match["sign"] in ("-", "−") else amount), unit

    def sum_of(self, value: object, where: str) -> Decimal | None:
        """Return an amount of money without a unit, not below zero."""
        amount, unit = self.money(value, where)
        if amount is not None and (unit != "use" or amount < 0):
            self.bad("card-value/sum", where, given=short(value), currency=self.currency)
        return amount

    def share(self, row: Mapping[str, Any], label: str) -> Decimal | None:
        """Return a share as a fraction; negative for a discount."""
        match = re.fullmatch(r"\s*([+-]?\d{1,3}(?:\.\d{1,4})?)\s*%\s*", str(row["share"]))
        if match is None or "of" not in row:
            self.bad("card-value/share", label)
            return None
        share = Decimal(match[1]) / 100
        if not -1 <= share <= 10:
            self.bad("card-value/share-range", label, key="share", given=short(row["share"]))
        return share

    def amount(self, value: object, unit: Unit, where: str) -> float:
        """Return a quantity in the unit it is written in, unconverted: bounds must be exact to the digit."""
        match = _QUANTITY.fullmatch(value) if isinstance(value, str) else None
        if match is None or _UNITS.get(match["unit"].lower()) != unit:
            example = {"ac": "20 ac", "day": "3 days", "hour": "8 h", "mile": "70 mi", "use": "1 use"}[unit]
            self.bad("card-value/amount", where, given=short(value), example=example)
            return 0.0
        return float(match["amount"])

    def days(self, row: Mapping[str, Any], key: str, label: str) -> int | None:
        """Return a number of whole days, one or more; ``None`` if it is not given."""
        if key not in row:
            return None
        days = self.amount(row[key], "day", f"{label} {key}")
        if days < 1 or days != int(days):
            self.bad("card-value/days", label, key=key, given=short(row[key]))
            return None
        return int(days)

    def words(self, value: object, where: str) -> dict[str, str]:
        if not isinstance(value, dict) or not all(isinstance(word, str) for word in value.values()):
            self.bad("card-value/words", where)
            return {}
        return dict(value)

    def parsed(self, row: Mapping[str, Any], key: str, parse: Any, where: str, default: Any) -> Any:
        if key not in row:
            return default
        try:
            return parse(row[key])
        except InputError as error:
            (fault,) = error.problems
            right = {name: fault.values.get(name, "") for name in ("right", "near", "choices")}
            self.bad("card-value/unreadable", where, key=key, why=fault.as_fact(), **right)
            return default

    def unknown(self, row: Mapping[str, Any], known: tuple[str, ...], where: str) -> None:
        for key in row:
            if key not in known:
                self.bad("key-unknown/card", where, name=key, near=nearest(key, known) or "", known=known)


def _is_list_of_tables(value: object) -> TypeGuard[list[dict[str, Any]]]:
    return isinstance(value, list) and bool(value) and all(isinstance(row, dict) for row in value)
