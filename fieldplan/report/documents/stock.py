"""Seed in stock, and what a job needs of it, as documents."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from fieldplan.model.stock import LotOnShelf, Stock, Turn
from fieldplan.model.stock import Sequence as LotSequence
from fieldplan.report.documents.document import Document, Part
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import lot_name

SOON_DAYS = 60
"""A retest due within so many days is said (common practice, no source)."""


def stock_document(stock: Stock, today: date, q: Quantities) -> Document:
    """What is left of each lot, what is to be retested, sums in and out, and what jobs hold."""
    parts = (
        _lots(stock, q),
        Part(name="Retest", lines=tuple(_retests(stock, today)), listed=True),
        _sums(stock, q),
        _held(stock, q),
    )
    return Document(
        title=f"Seed in stock, {stock.path.name}",
        about=(f"On {today:%a %d %b %Y}.",),
        parts=tuple(part for part in parts if part.rows or part.lines),
    )


def _lots(stock: Stock, q: Quantities) -> Part:
    rows = tuple(
        (
            lot_name(lot.species, lot.lot),
            lot.kept or "–",
            _day(lot.opened) if lot.opened else "closed",
            _day(lot.tested),
            _day(lot.retest_by),
            _left(lot, q),
        )
        for lot in stock.lots
    )
    return Part(
        name="Lots", header=("seed", "kept", "opened", "tested", "retest by", "left"), rows=rows, left=2
    )


def _left(lot: LotOnShelf, q: Quantities) -> str:
    return _exact(q, max(0.0, lot.left_kg))


def _exact(q: Quantities, kg: float) -> str:
    """A weight to a hundredth of a pound or ten grams, so that columns close to the ounce."""
    return f"{q.count(kg / q.mass_unit_kg + 0.0, 2)} {q.mass_unit}"


def _day(day: date | None) -> str:
    return "–" if day is None else day.isoformat()


def _retests(stock: Stock, today: date) -> Iterator[str]:
    for lot in stock.lots:
        if lot.left_kg <= 0:
            continue
        name = lot_name(lot.species, lot.lot)
        if lot.retest_by is None:
            yield f"{name}: the file has no day of its test; look on the tag."
        elif lot.retest_by < today:
            yield f"{name}: the test of {lot.tested} was good until {lot.retest_by}; have it tested again."
        elif (lot.retest_by - today).days <= SOON_DAYS:
            yield f"{name}: to be tested again by {lot.retest_by}."
    if any(lot.retest_by for lot in stock.lots):
        yield "How long a test holds for sale is a matter of each state's seed law; old seed may be sown, at what it still germinates."


def _sums(stock: Stock, q: Quantities) -> Part:
    rows = tuple(
        (
            lot_name(lot.species, lot.lot),
            *(_exact(q, kg) for kg in (lot.bought_kg, lot.returned_kg, lot.drawn_kg, lot.discarded_kg)),
            f"{'−' if lot.counted_kg < 0 else ''}{_exact(q, abs(lot.counted_kg))}",
            _left(lot, q),
        )
        for lot in stock.lots
    )
    return Part(
        name="In and out",
        header=("seed", "bought", "returned", "drawn", "discarded", "by counting", "left"),
        rows=rows,
        lines=("Bought + returned − drawn − discarded + what counting changed = left.",),
    )


def _held(stock: Stock, q: Quantities) -> Part:
    rows = tuple(
        (job, lot_name(lot.species, lot.lot), _exact(q, kg))
        for lot in stock.lots
        for job, kg in lot.by_job.items()
    )
    return Part(name="Drawn by jobs, less returned", header=("job", "seed", "weight"), rows=rows, left=2)


def need_document(
    needed: Sequence[LotSequence], job: str, q: Quantities, entry: int | None = None
) -> Document:
    """What a job needs, lot by lot in sequence, and what must be bought.

    Parameters
    ----------
    entry
        The number of the write by which the seed was drawn; ``None`` if nothing was drawn.
    """
    drawn = (
        ""
        if entry is None
        else f" Drawn from the stock (entry {entry}; fieldplan stock undo takes it back)."
    )
    parts = (
        Part(name="In sequence", lines=tuple(sequence_text(one, q) for one in needed), listed=True),
        _turns(needed, q),
        _to_buy(needed, q),
        Part(name="Left aside", lines=tuple(_passed(needed)), listed=True),
    )
    return Document(
        title=f"Seed for {job}",
        about=(f"Each lot in the order in which it is sown, at one rate of live seed.{drawn}",),
        parts=tuple(part for part in parts if part.rows or part.lines),
    )


def sequence_text(one: LotSequence, q: Quantities) -> str:
    """Lots in sequence in one sentence: "little bluestem: LB-1, then LB-2 at 8.0 lb/ac bulk (8 % more)."."""
    each = ", then ".join(_turn(turn, q) for turn in one.turns)
    return f"{one.species}: {each}."


def _turn(turn: Turn, q: Quantities) -> str:
    name = (turn.lot or "the lot without a number") if turn.on_shelf else "seed to be bought"
    rate = f" at {q.mass_rate(turn.bulk_kg_per_m2)} bulk"
    return f"{name}{rate}{change_text(turn.change_frac)}"


def change_text(change_frac: float) -> str:
    """By how much a rate differs from the planned one, in brackets; empty if it does not."""
    if abs(change_frac) < 5e-4:
        return ""
    return f" ({abs(change_frac) * 100:.1f} % {'more' if change_frac > 0 else 'less'} than planned)"


def _turns(needed: Sequence[LotSequence], q: Quantities) -> Part:
    rows = tuple(
        (
            one.species if k == 0 else "",
            turn.lot or "–" if turn.on_shelf else "buy",
            _exact(q, turn.bulk_kg),
            q.mass_rate(turn.bulk_kg_per_m2),
            f"{turn.change_frac * 100:+.1f} %",
            q.area(turn.ground_m2, 1),
        )
        for one in needed
        for k, turn in enumerate(one.turns)
    )
    header = ("seed", "lot", "weight", "bulk rate", "over planned", f"for, {q.area_unit}")
    return Part(name="Lots", header=header, rows=rows, left=2)


def _to_buy(needed: Sequence[LotSequence], q: Quantities) -> Part:
    rows = tuple(
        (
            lot_name(one.species, one.lot),
            _exact(q, turn.bulk_kg),
            f"{counted(turn.bags, 'bag')} of {q.mass(turn.bag_kg)} {q.mass_unit}",
        )
        for one in needed
        for turn in one.turns
        if not turn.on_shelf
    )
    if not rows:
        return Part(name="To buy", lines=("Nothing.",))
    return Part(name="To buy", header=("seed", "missing", "in whole bags"), rows=rows)


def _passed(needed: Sequence[LotSequence]) -> Iterator[str]:
    for one in needed:
        if one.passed_over:
            yield f"{one.species}, {', '.join(one.passed_over)}: the stock file lacks purity or germination."
