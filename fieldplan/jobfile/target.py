"""Targets of mixes: what a mix is to be, and the lots it may be made of."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Any

from fieldplan.errors import JobFileError
from fieldplan.jobfile.check import Checker, Table, made
from fieldplan.jobfile.drill import drill_of
from fieldplan.jobfile.load import placed_tables, read_toml
from fieldplan.jobfile.mix import component_of
from fieldplan.jobfile.plausible import MEANT
from fieldplan.jobfile.schema import SCHEMA
from fieldplan.jobfile.spans import Span
from fieldplan.jobfile.stock import lots_at_hand
from fieldplan.model.machine import Drill
from fieldplan.model.mix_design import Measured, Offer, Target
from fieldplan.tables.names import species_name

_LISTS = ("group", "species", "lot")
_MEASURED: tuple[Measured, ...] = ("seeds", "share", "pls")
Spans = dict[tuple[Measured, str], Span]
_ONE_SEED = "1 seeds/ft2"


def load_targets(path: Path) -> tuple[Target, ...]:
    """The targets of a job file, or of a file of nothing else.

    Parameters
    ----------
    path
        A TOML file with ``[[target]]``; of its other tables only ``[drill]`` is looked at, for the boxes.

    Raises
    ------
    JobFileError
        With every problem found.
    """
    return targets_of(read_toml(path), path)


def targets_of(document: Table, path: Path) -> tuple[Target, ...]:
    """The targets that the tables of a file describe.

    Parameters
    ----------
    document
        Tables by their names, as TOML gives them.
    path
        Where they stand: a stock file that they name lies beside it.

    Raises
    ------
    JobFileError
        As `load_targets`.
    """
    checker = Checker()
    drill_tables = placed_tables(document, "drill", path, checker)
    drill = drill_of(drill_tables, path, checker) if drill_tables else None
    given = placed_tables(document, "target", path, checker)
    if not given:
        checker.problem("table-missing/target", file=str(path))
    targets = [
        target
        for number, (table, source) in enumerate(given, start=1)
        if (target := _target(table, source, number, drill, checker)) is not None
    ]
    if checker.problems:
        raise JobFileError(tuple(checker.problems))
    return tuple(targets)


def _target(table: Table, path: Path, number: int, drill: Drill | None, checker: Checker) -> Target | None:
    of_drill = len(checker.notes)
    label = f"target {table.get('name', number)}"
    about = {"file": str(path), "about": f"[{label}]"}
    before = len(checker.problems)
    v = checker.values("target", {k: x for k, x in table.items() if k not in _LISTS}, path, label)
    lists = {key: _list(table, key, label, path, checker) for key in _LISTS}
    offers = _offers(lists["lot"], v, table, label, path, drill, checker)
    if len(checker.problems) > before:
        return None
    spans: Spans = {("seeds", ""): v["seeds"]} if "seeds" in v else {}
    known = {
        "group": tuple(dict.fromkeys(offer.group for offer in offers if offer.group)),
        "species": tuple(dict.fromkeys(offer.component.species for offer in offers)),
    }
    for key, name_key in (("group", "name"), ("species", "species")):
        for row in lists[key]:
            _add_spans(spans, row, key, name_key, known[key], label, path, checker)
    _check_prices(offers, v, checker, about)
    if len(checker.problems) > before:
        return None
    currencies = {offer.component.price.currency for offer in offers if offer.component.price}
    money, currency = v.get("budget", (None, next(iter(currencies), "")))
    return made(
        checker,
        {"file": str(path), "about": f"[{label}]"},
        partial(
            Target,
            name=v["name"],
            offers=tuple(offers),
            spans=spans,
            overage_frac=v["overage"],
            aim=v["aim"],
            ground_m2=v.get("ground"),
            budget_per_m2=money,
            currency=currency,
            notes=tuple(checker.notes[of_drill:]),
        ),
    )


def _offers(
    rows: list[Table],
    v: dict[str, Any],
    table: Table,
    label: str,
    path: Path,
    drill: Drill | None,
    checker: Checker,
) -> list[Offer]:
    """The lots named, then those of the stock file; each at hand, to be bought, or both."""
    del table
    rows = list(rows)
    if "stock" in v:
        rows += lots_at_hand(path.parent / v["stock"])
    offers = []
    for place, row in enumerate(rows, start=1):
        row_label = f"{label}, lot {row.get('lot', row.get('species', place))}"
        own = {key: value for key, value in row.items() if key in SCHEMA["target.lot"]}
        of_lot = checker.values("target.lot", own, path, row_label)
        tag = {key: value for key, value in row.items() if key not in own}
        if "rate" in tag:
            checker.problem("target-rate", key="rate", file=str(path), about=f"[{row_label}]")
            continue
        meant = tag.get(MEANT, [])
        tag |= {"rate": _ONE_SEED, MEANT: [*(meant if isinstance(meant, list) else [meant]), "rate"]}
        component = component_of(tag, path, row_label, drill, checker, alone=False)
        if component is None:
            continue
        at_hand = of_lot.get("at_hand")
        if at_hand is not None:
            if "ground" not in v:
                checker.problem("target-ground", key="at_hand", file=str(path), about=f"[{row_label}]")
            offers.append(Offer(component=component, group=of_lot.get("group", ""), at_hand_kg=at_hand))
        if at_hand is None or component.price is not None:
            offers.append(Offer(component=component, group=of_lot.get("group", "")))
    return offers


def _add_spans(
    spans: Spans,
    row: Table,
    key: str,
    name_key: str,
    known: tuple[str, ...],
    label: str,
    path: Path,
    checker: Checker,
) -> None:
    """Add what a row asks of a group or a species that some lot is of."""
    row_label = f"{label}, {key} {row.get(name_key, '')}"
    about = f"[{row_label}]"
    v = checker.values(f"target.{key}", row, path, row_label)
    if name_key not in v:
        return
    name = species_name(v[name_key]) if key == "species" else v[name_key].casefold()
    if name not in known:
        checker.problem(
            "target-of-none", key=name_key, given=name, known=known, file=str(path), about=about
        )
        return
    for measured in _MEASURED:
        if measured in v:
            spans[measured, name] = v[measured]
            low, high = v[measured]
            if measured == "share" and max(low or 0.0, high or 0.0) > 1:
                checker.problem("target-share", key="share", file=str(path), about=about)


def _check_prices(offers: list[Offer], v: dict[str, Any], checker: Checker, about: dict[str, str]) -> None:
    """Prices are given for all seed to be bought or for none, in one currency; a budget needs them."""
    bought = [offer for offer in offers if offer.at_hand_kg is None]
    lacking = tuple(
        f"{offer.component.species} {offer.component.lot}".strip()
        for offer in bought
        if offer.component.price is None
    )
    if lacking and (len(lacking) < len(bought) or "budget" in v):
        checker.problem(
            "target-prices", key="price", lots=lacking, file=about["file"], about=about["about"]
        )
    currencies = {offer.component.price.currency for offer in bought if offer.component.price}
    if "budget" in v:
        currencies.add(v["budget"][1])
    if len(currencies) > 1:
        checker.problem(
            "currencies", currencies=tuple(sorted(currencies)), file=about["file"], about=about["about"]
        )


def _list(table: Table, key: str, label: str, path: Path, checker: Checker) -> list[Table]:
    rows = table.get(key, [])
    if isinstance(rows, list) and all(isinstance(row, dict) for row in rows):
        return rows
    checker.problem(
        "not-a-table/list",
        key=key,
        head=f"[[target.{key}]]",
        each=key,
        file=str(path),
        about=f"[{label}]",
    )
    return []
