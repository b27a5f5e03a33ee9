"""Several seasons in one document: sums year by year, by group, and whether another drill would pay."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from fieldplan.model.records import BoardLine
from fieldplan.model.years import SeasonYear, Years
from fieldplan.report.documents.board import ALL, NOT_RECORDED
from fieldplan.report.documents.document import Document, Part
from fieldplan.report.words.money_and_places import money_text
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.quantities import Quantities
from fieldplan.units import ACRE_M2


def years_document(found: Years, q: Quantities) -> Document:
    """In short, each season, each group of requests season by season, and one more drill."""
    columns = list(dict.fromkeys(column for one in found.seasons for column in one.by))
    return Document(
        title=f"{counted(len(found.seasons), 'season')}, {found.seasons[0].name} to {found.seasons[-1].name}"
        if len(found.seasons) > 1
        else found.seasons[0].name,
        about=(
            f"From the ledgers as they stood on {found.as_of:%a %d %b %Y}; every total of what happened is a sum of their entries.",
        ),
        parts=(
            _seasons(found, q),
            _money(found),
            *(_groups(found, column, q) for column in columns),
            demand_part(found, q),
            purchase_part(found, q),
        ),
    )


def _names(found: Years) -> list[str]:
    """What tells the seasons apart in a table: the year, or with several in a year the name."""
    years = [str(one.year) for one in found.seasons]
    return years if len(set(years)) == len(years) else [one.name for one in found.seasons]


def _table(
    found: Years, header: Sequence[str], rows: list[tuple[str, ...]], total: tuple[str, ...]
) -> Part:
    named = [(name, *row) for name, row in zip(_names(found), rows, strict=True)]
    every = [(ALL, *total)] if len(rows) > 1 else []
    return Part(header=("season", *header), rows=(*named, *every))


def _seasons(found: Years, q: Quantities) -> Part:
    def row(ones: Sequence[SeasonYear]) -> tuple[str, ...]:
        boards = [one.board for one in ones]
        return (
            str(sum(board.requests for board in boards)),
            str(sum(board.rentals for board in boards)),
            q.area(sum(board.total.mapped_m2 for board in boards)),
            q.area(sum(board.total.drilled_m2 for board in boards)),
            str(sum(one.days_out for one in ones)),
            str(sum(board.rain_days for board in boards)),
            str(sum(board.down_days for board in boards)),
        )

    part = _table(
        found,
        (
            "requests",
            "rentals",
            f"{q.area_word} on the map",
            f"{q.area_word} drilled",
            "days out",
            "days of rain",
            "days down",
        ),
        [row([one]) for one in found.seasons],
        row(found.seasons),
    )
    return Part(
        name="Season by season",
        header=part.header,
        rows=part.rows,
        lines=(
            "Days out are calendar days of drills with renters; days of rain and days down are working days of drills lost to weather, and to breakdowns.",
        ),
    )


def _money(found: Years) -> Part:
    def row(ones: Sequence[SeasonYear]) -> tuple[str, ...]:
        sums = [
            sum((pick for pick in picks), Decimal(0))
            for picks in (
                [one.board.charged for one in ones],
                [one.board.paid for one in ones],
                [one.board.repairs for one in ones],
                [one.board.charged - one.board.repairs for one in ones],
            )
        ]
        return tuple(money_text(each, found.currency) for each in sums)

    part = _table(
        found,
        ("charged", "paid", "repairs", "charged less repairs"),
        [row([one]) for one in found.seasons],
        row(found.seasons),
    )
    unbilled = [
        f"{name}: not billed: {', '.join(request.request_id for request, _ in one.board.unbilled)}."
        for name, one in zip(_names(found), found.seasons, strict=True)
        if one.board.unbilled
    ]
    return Part(name="Income", header=part.header, rows=part.rows, lines=tuple(unbilled))


def _groups(found: Years, column: str, q: Quantities) -> Part:
    """Each group, each season in it, and its sum."""
    names = sorted({line.name for one in found.seasons for line in one.by.get(column, ())})
    rows: list[tuple[str, ...]] = []

    def row(name: str, season: str, lines: Sequence[BoardLine]) -> tuple[str, ...]:
        return (
            name or NOT_RECORDED,
            season,
            q.area(sum(line.mapped_m2 for line in lines)),
            q.area(sum(line.drilled_m2 for line in lines)),
            q.area(sum(line.billed_ac for line in lines) * ACRE_M2),
            f"{sum(line.days for line in lines):.1f}".removesuffix(".0"),
            money_text(sum((line.charged for line in lines), Decimal(0)), found.currency),
        )

    for name in names:
        of_name = [
            (season, [line for line in one.by.get(column, ()) if line.name == name])
            for season, one in zip(_names(found), found.seasons, strict=True)
        ]
        rows += [row(name, season, lines) for season, lines in of_name if lines]
        if len(found.seasons) > 1:
            rows.append(row(name, ALL, [line for _, lines in of_name for line in lines]))
    header = (
        column,
        "season",
        f"{q.area_word} on the map",
        f"{q.area_word} drilled",
        f"{q.area_word} billed",
        "days out",
        "charged",
    )
    return Part(name=f"By {column}", header=header, rows=tuple(rows), left=2)


def demand_part(found: Years, q: Quantities) -> Part:
    """Days asked for against days of the fleet, and what could have been served."""

    def row(ones: Sequence[SeasonYear]) -> tuple[str, ...]:
        return (
            str(sum(len(one.board.turned_away) for one in ones)),
            q.area(sum(one.away_m2 for one in ones), 1),
            str(sum(one.demand.away_days for one in ones)),
            str(sum(one.demand.days for one in ones)),
            str(sum(one.demand.fleet_days for one in ones)),
            f"{sum(one.demand.served for one in ones)} of {sum(one.demand.requests for one in ones)}",
            q.area(sum(one.demand.served_m2 for one in ones), 1),
        )

    part = _table(
        found,
        (
            "turned away",
            f"{q.area_word} turned away",
            "their days",
            "days asked for",
            "days of the fleet",
            "could be served",
            f"{q.area_word}",
        ),
        [row([one]) for one in found.seasons],
        row(found.seasons),
    )
    return Part(
        name="What was asked for and what the drills could have served",
        header=part.header,
        rows=part.rows,
        lines=tuple(_how(found)),
    )


def _how(found: Years) -> Iterator[str]:
    yield (
        "Days asked for are working days to book, each request with the drill that needs the fewest; days of the fleet are working days of all drills. "
        "Could be served: by a plan that knows every request from the start, by the rules of the season, without rain or breakdowns."
    )
    for name, one in zip(_names(found), found.seasons, strict=True):
        if one.demand.unable:
            yield f"{name}: no drill can do {', '.join(one.demand.unable)}; their days are not counted."
        if not one.demand.served_proven:
            yield f"{name}: it is not proven that no plan serves more."


def purchase_part(found: Years, q: Quantities) -> Part:
    """Whether another drill would have served and paid, each figure with where it comes from."""
    rows = tuple(
        (
            name,
            f"like {one.one_more.drill}" if one.one_more.requests or one.one_more.ground_m2 else "",
            f"{one.one_more.requests:+d}" if one.one_more.requests else "0",
            q.area(one.one_more.ground_m2, 1),
        )
        for name, one in zip(_names(found), found.seasons, strict=True)
    )
    return Part(
        name="One more drill",
        header=("season", "which", "requests served", q.area_word),
        rows=rows,
        left=2,
        lines=tuple(_reckoned(found, q)),
    )


def _reckoned(found: Years, q: Quantities) -> Iterator[str]:
    def money(sum_: Decimal) -> str:
        return money_text(sum_, found.currency)

    average = "" if len(found.seasons) == 1 else " on average"
    yield f"Planned again with one more drill, the same requests and rules: {q.area(found.more_m2, 1)} {q.area_word} more a season{average}."
    if found.per_m2 is None or found.more_income is None:
        yield "Nothing was charged by these ledgers, so what that ground would bring is not known."
    else:
        per = money(found.per_m2 * Decimal(repr(q.area_unit_m2)))
        yield f"Charged so far: {per} for each {q.area_unit} on the meter; at that, one more drill would have brought {money(found.more_income)} a season{average}."
    if found.offered is None:
        yield "Whether that pays cannot be said without the price and the life of a drill: give --price and --life."
        return
    offered = found.offered
    upkeep = "upkeep was not given and is not counted"
    if offered.upkeep is not None:
        upkeep = f"with {money(offered.upkeep)} of upkeep"
    yield (
        f"A drill at {money(offered.price)} that lasts {offered.life_years:g} years, as you gave them, costs {money(offered.yearly)} a year ({upkeep}; "
        "no interest, no subsidy, nothing for its sale)."
    )
    if found.pays is None:
        yield "So whether it pays cannot be said."
    elif found.more_income is not None:
        verdict = "Buy" if found.pays else "Do not buy"
        relation = "at least" if found.pays else "less than"
        yield f"{verdict}, by these figures alone: {money(found.more_income)} a season is {relation} {money(offered.yearly)}. Requests served and ground kept are for the board to weigh."
