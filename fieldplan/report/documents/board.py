"""The report on a season for the board and whoever funds it."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from fieldplan.model.records import Board, BoardLine
from fieldplan.report.documents.annual_acres import years
from fieldplan.report.documents.document import Document, Part
from fieldplan.report.words.money_and_places import money_text
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sentences import sentence, sources_text
from fieldplan.units import ACRE_M2

ALL, NOT_RECORDED = "all", "not recorded"
"""Names of the line of all groups, and of a group without a name in the list."""


def board_document(board: Board, season: str, q: Quantities) -> Document:
    """Sums over the ledger: in short, acres by group, drills, money, requests turned away, seed, remarks.

    Parameters
    ----------
    season
        Name of the season.
    """
    return Document(
        title=f"{season}: report to the board",
        about=(
            f"From the ledger as it stood on {board.as_of:%a %d %b %Y}; every total is a sum of its entries.",
        ),
        parts=(
            Part(name="In short", lines=tuple(_short(board, q)), listed=True),
            *_groups(board, q),
            _drills(board, q),
            *_downtimes(board),
            _money(board, q),
            *_rest(board, q),
        ),
        last=_yardstick(q),
        sources=tuple(key for year in years(q) for key in year.sources),
    )


def _short(board: Board, q: Quantities) -> Iterator[str]:
    yield f"{counted(board.rentals, 'rental')} to {counted(board.users, 'renter')}, of {counted(board.requests, 'request')}."
    yield (
        f"{q.area(board.total.drilled_m2, 1)} {q.area_word} drilled by the meters, on {q.area(board.total.mapped_m2, 1)} {q.area_word} on the map."
    )
    yield f"{counted(board.rain_days, 'drill-day')} lost to weather."
    if board.down_days:
        yield f"{counted(board.down_days, 'drill-day')} lost to breakdowns and repairs."
    away = sum(ground for _, ground, _ in board.turned_away)
    yield f"{counted(len(board.turned_away), 'request')} turned away, {q.area(away, 1)} {q.area_word}."
    if board.strays:
        yield f"Entries name {', '.join(board.strays)}, not in the list of requests: no total here includes them."
    if board.open_requests:
        yield f"{counted(len(board.open_requests), 'request')} neither returned nor turned away: {', '.join(board.open_requests)}."
    if board.unaccounted_m2:
        yield f"{q.area(board.unaccounted_m2, 1)} {q.area_word} were metered while no renter had the drill."


def _groups(board: Board, q: Quantities) -> Iterator[Part]:
    header = ("", "renters", f"{q.area_word} on the map", f"{q.area_word} drilled", f"{q.area_word} billed")
    for column, lines in board.groups.items():
        rows = (*(_row(line.name or NOT_RECORDED, line, q) for line in lines), _row(ALL, board.total, q))
        yield Part(name=f"By {column}", header=(column, *header[1:]), rows=rows)


def _row(name: str, line: BoardLine, q: Quantities) -> tuple[str, ...]:
    return (
        name,
        str(line.users),
        q.area(line.mapped_m2),
        q.area(line.drilled_m2),
        q.area(line.billed_ac * ACRE_M2),
    )


def _drills(board: Board, q: Quantities) -> Part:
    rows = [
        (
            drill.name,
            str(drill.rentals),
            str(drill.days_out),
            q.area(drill.drilled_m2),
            str(drill.rain_days),
            money_text(drill.repairs, board.currency),
        )
        for drill in board.drills
    ]
    rows.append(
        (
            ALL,
            str(sum(drill.rentals for drill in board.drills)),
            str(sum(drill.days_out for drill in board.drills)),
            q.area(sum(drill.drilled_m2 for drill in board.drills)),
            str(board.rain_days),
            money_text(board.repairs, board.currency),
        )
    )
    return Part(
        name="By drill",
        header=("drill", "rentals", "days out", f"{q.area_word} drilled", "days lost", "repairs"),
        rows=tuple(rows),
    )


def _downtimes(board: Board) -> Iterator[Part]:
    """Each breakdown: how long the drill was out of work, what its repairs cost, and in which rows that stands."""
    if not board.downtimes:
        return
    rows = []
    for line in board.downtimes:
        down = line.downtime
        entries = (down.entry, *down.repairs)
        rows.append(
            (
                down.drill,
                down.what,
                f"{down.entry.day:%a %d %b}",
                f"{down.works:%a %d %b}" if down.works else f"not by {down.last:%a %d %b}",
                ", ".join(str(entry.number) for entry in entries),
                str(line.days),
                money_text(down.cost, board.currency),
            )
        )
    yield Part(
        name="Breakdowns",
        header=("drill", "what", "broke", "works again", "rows", "working days", "repairs"),
        rows=tuple(rows),
        left=5,
    )


def _money(board: Board, q: Quantities) -> Part:
    owed = sum((max(Decimal(0), charged - paid) for _, charged, paid in board.balances), Decimal(0))
    overpaid = sum((max(Decimal(0), paid - charged) for _, charged, paid in board.balances), Decimal(0))
    rows = (
        ("charged", money_text(board.charged, board.currency)),
        ("paid", money_text(board.paid, board.currency)),
        ("owed", money_text(owed, board.currency)),
        *((("to be paid back", money_text(overpaid, board.currency)),) if overpaid else ()),
        ("repairs", money_text(board.repairs, board.currency)),
        ("charged less repairs", money_text(board.charged - board.repairs, board.currency)),
    )
    deposits = (
        [f"Deposits of {money_text(board.deposits, board.currency)} are held; they are not income."]
        if board.deposits
        else []
    )
    lines = (*deposits, *(f"Not billed: {text}" for text in _unbilled(board, q)))
    return Part(name="Income and repairs", header=("", "sum"), rows=rows, lines=lines)


def _rest(board: Board, q: Quantities) -> Iterator[Part]:
    unsettled = [(request, charged, paid) for request, charged, paid in board.balances if charged != paid]
    if unsettled:
        rows = tuple(
            (
                request.renter,
                request.request_id,
                *(money_text(sum_, board.currency) for sum_ in (charged, paid, charged - paid)),
            )
            for request, charged, paid in unsettled
        )
        yield Part(
            name="Not settled", header=("renter", "request", "charged", "paid", "owed"), rows=rows, left=2
        )
    if board.turned_away:
        rows = tuple(
            (request.renter, request.request_id, why, q.area(ground, 1))
            for request, ground, why in board.turned_away
        )
        yield Part(name="Turned away", header=("renter", "request", "why", q.area_word), rows=rows, left=3)
    if board.seed_kg:
        yield Part(
            name="Seed sown",
            header=("seed", q.mass_unit),
            rows=tuple((name, q.mass(kg, 1)) for name, kg in board.seed_kg.items()),
        )
    if board.remarks:
        yield Part(name="What renters said", lines=tuple(_remarks(board)), listed=True)


def _unbilled(board: Board, q: Quantities) -> Iterator[str]:
    """Who could not be billed, and why."""
    return (
        f"{request.renter} ({request.request_id}): {sentence(why, q)}" for request, why in board.unbilled
    )


def _remarks(board: Board) -> Iterator[str]:
    return (f"{request.renter}: {text}" for request, text in board.remarks)


def _yardstick(q: Quantities) -> str:
    first, wider = years(q)
    return (
        f"For comparison: one published drill of {first.width} sowed {first.ground} {q.area_word} and more in a year ({sources_text(first.sources)}), "
        f"one of {wider.width} about {wider.ground} ({sources_text(wider.sources)})."
    )
