"""The season for the board and whoever funds it: every total is a sum of ledger entries."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from datetime import date
from decimal import Decimal

from fieldplan.errors import FieldplanError, InputError
from fieldplan.facts import Fact
from fieldplan.model.downtime import DownLine
from fieldplan.model.entry import counted_m2
from fieldplan.model.fee import RateCard
from fieldplan.model.records import Account, Bill, Board, BoardLine, DrillLine, Entry, Ground
from fieldplan.model.request import Request
from fieldplan.model.standing import DrillDay
from fieldplan.records.billing import bill_of
from fieldplan.records.downtime import downtimes_of, is_weather, lost_of
from fieldplan.records.rentals import readings_of
from fieldplan.units import ACRE_M2


def board_of(
    entries: Sequence[Entry],
    accounts: Sequence[Account],
    grounds: Mapping[str, Sequence[Ground]],
    drills: Sequence[str],
    card: RateCard | None,
    as_of: date,
    by: Sequence[str] = ("practice",),
    works: Callable[[str, date], bool] = lambda *_: True,
) -> Board:
    """The report to the board from a season's ledger.

    Acres are those of rentals that are over. Income is the sum of the bills and the payments on them. A
    renter counts once, however many drills they had.

    Parameters
    ----------
    entries
        Current entries.
    accounts
        Accounts of the same entries.
    grounds
        Fields on the map, by request.
    drills
        Drills of the season, which are listed even if nobody had them.
    card
        The rate card; without one nothing is billed.
    by
        Columns of the list of requests to group acres by. "practice" takes the practice of each field
        sown, where it was recorded.
    works
        Whether a drill, by its name, works on a day: no other day can be lost.

    Raises
    ------
    InputError
        If the list of requests does not have a column.
    """
    _refuse_unknown(by, accounts)
    returned = [account for account in accounts if any(rental.back for rental in account.rentals)]
    every_lost = {at: why for at, why in lost_of(entries, drills).items() if works(*at)}
    lost = {at for at, why in every_lost.items() if is_weather(why)}
    down = {at for at, why in every_lost.items() if not is_weather(why)}

    def bill(account: Account, card: RateCard) -> Bill:
        return bill_of(account, grounds[account.request.request_id], card, as_of, lost, down, works)

    bills, unbilled = _bills(returned, card, bill)
    repairs = [entry for entry in entries if entry.kind == "repair"]
    names = [
        *drills,
        *(rental.drill for account in accounts for rental in account.rentals),
        *(str(entry.facts["drill"]) for entry in repairs),
        *sorted({drill for drill, _ in every_lost}),
    ]
    listed = {account.request.request_id for account in accounts}
    balances = tuple(_balances(accounts, bills))
    return Board(
        as_of=as_of,
        requests=len(accounts),
        rentals=sum(len(account.rentals) for account in accounts),
        users=len({account.request.who for account in accounts if account.rentals}),
        groups={column: tuple(_groups(returned, column, grounds, bills)) for column in by},
        drills=tuple(_drill(name, accounts, repairs, lost, down) for name in dict.fromkeys(names)),
        total=_line("", [(account, 1.0) for account in returned], grounds, bills),
        charged=sum((bill.fee.total for bill in bills.values()), Decimal(0)),
        paid=sum((paid for _, _, paid in balances), Decimal(0)),
        balances=balances,
        strays=tuple(sorted({entry.request for entry in entries if entry.request} - listed)),
        deposits=sum((account.deposit for account in accounts), Decimal(0)),
        repairs=sum((entry.facts["cost"] for entry in repairs), Decimal(0)),
        rain_days=len(lost),
        down_days=len(down),
        downtimes=tuple(
            DownLine(downtime=one, days=sum(works(one.drill, day) for day in one.days))
            for one in downtimes_of(entries)
        ),
        turned_away=tuple(_turned_away(accounts, grounds)),
        open_requests=tuple(_open(accounts, entries)),
        seed_kg=_seed(accounts),
        unbilled=unbilled,
        unaccounted_m2=_unaccounted(entries),
        remarks=tuple(
            (account.request, str(remark.facts["text"]))
            for account in accounts
            for remark in account.remarks
        ),
        currency=card.currency if card else "",
    )


def _refuse_unknown(by: Sequence[str], accounts: Sequence[Account]) -> None:
    """Stop at a column to group by that the list does not have."""
    known = sorted({column for account in accounts for column in account.request.facts} | {"practice"})
    for column in by:
        if column not in known:
            raise InputError.of("board-column", column=column, columns=tuple(known))


def _bills(
    returned: Sequence[Account], card: RateCard | None, bill: Callable[[Account, RateCard], Bill]
) -> tuple[dict[str, Bill], tuple[tuple[Request, Fact], ...]]:
    """The bill of each request, and the requests that cannot be billed with why; none of both without a card."""
    bills: dict[str, Bill] = {}
    unbilled: list[tuple[Request, Fact]] = []
    for account in returned if card else ():
        assert card is not None
        try:
            bills[account.request.request_id] = bill(account, card)
        except FieldplanError as error:
            unbilled.append((account.request, error.problems[0]))
    return bills, tuple(unbilled)


def _balances(
    accounts: Sequence[Account], bills: Mapping[str, Bill]
) -> Iterator[tuple[Request, Decimal, Decimal]]:
    """What was charged to each request and paid for it, where either is."""
    for account in accounts:
        bill = bills.get(account.request.request_id)
        paid = sum((entry.facts["sum"] for entry in account.paid), Decimal(0))
        if bill is not None or paid:
            yield account.request, Decimal(0) if bill is None else bill.fee.total, paid


def _turned_away(
    accounts: Sequence[Account], grounds: Mapping[str, Sequence[Ground]]
) -> Iterator[tuple[Request, float, str]]:
    """Each request that was turned away, its ground on the map in m², and why."""
    for account in accounts:
        if account.refused:
            ground_m2 = sum(field.mapped_m2 for field in grounds[account.request.request_id])
            yield account.request, ground_m2, str(account.refused.facts["why"])


def _open(accounts: Sequence[Account], entries: Sequence[Entry]) -> Iterator[str]:
    """Ids of requests that were neither served to the end nor turned away nor withdrawn."""
    withdrawn = {entry.request for entry in entries if entry.kind == "withdraw"}
    for account in accounts:
        if not (account.returned or account.refused or account.request.request_id in withdrawn):
            yield account.request.request_id


def _groups(
    accounts: Sequence[Account],
    column: str,
    grounds: Mapping[str, Sequence[Ground]],
    bills: Mapping[str, Bill],
) -> Iterator[BoardLine]:
    """A line for each value of a column, the largest first.

    A request sown under several practices is split by its metered acres.
    """
    members: dict[str, list[tuple[Account, float]]] = {}
    for account in accounts:
        for name, share in _shares(account, column, grounds[account.request.request_id]).items():
            members.setdefault(name, []).append((account, share))
    lines = [_line(name, shares, grounds, bills) for name, shares in members.items()]
    yield from sorted(lines, key=lambda line: (-line.drilled_m2, line.name))


def _shares(account: Account, column: str, ground: Sequence[Ground]) -> dict[str, float]:
    """The groups of a request, with its share in each: one group, but for practices the ground sown to each."""
    if column != "practice":
        return {account.request.facts.get(column, ""): 1.0}
    mapped = {field.field_id: field.mapped_m2 for field in ground}
    sown: dict[str, float] = {}
    for field in account.sown:
        sown[field.practice] = sown.get(field.practice, 0.0) + (
            field.drilled_m2 or mapped.get(field.field_id, 0.0)
        )
    total = sum(sown.values())
    if not total:
        return {account.request.facts.get("practice", ""): 1.0}
    return {name: value / total for name, value in sown.items()}


def _line(
    name: str,
    shares: Sequence[tuple[Account, float]],
    grounds: Mapping[str, Sequence[Ground]],
    bills: Mapping[str, Bill],
) -> BoardLine:
    return BoardLine(
        name=name,
        users=len({account.request.who for account, _ in shares}),
        mapped_m2=sum(
            share * sum(field.mapped_m2 for field in grounds[account.request.request_id])
            for account, share in shares
        ),
        drilled_m2=sum(share * account.drilled_m2 for account, share in shares),
        billed_ac=sum(
            share * bills[account.request.request_id].billed_ac
            for account, share in shares
            if account.request.request_id in bills
        ),
        days=sum(share * account.days for account, share in shares),
        charged=sum(
            (
                Decimal(repr(share)) * bills[account.request.request_id].fee.total
                for account, share in shares
                if account.request.request_id in bills
            ),
            Decimal(0),
        ),
    )


def _drill(
    name: str,
    accounts: Sequence[Account],
    repairs: Sequence[Entry],
    lost: Collection[DrillDay],
    down: Collection[DrillDay],
) -> DrillLine:
    rentals = [rental for account in accounts for rental in account.rentals if rental.drill == name]
    return DrillLine(
        name=name,
        rentals=len(rentals),
        days_out=sum(rental.days or 0 for rental in rentals),
        drilled_m2=sum(rental.drilled_m2 or 0.0 for rental in rentals),
        rain_days=sum(drill == name for drill, _ in lost),
        down_days=sum(drill == name for drill, _ in down),
        repairs=sum((entry.facts["cost"] for entry in repairs if entry.facts["drill"] == name), Decimal(0)),
    )


def _seed(accounts: Sequence[Account]) -> dict[str, float]:
    """Kilograms by species, under the first spelling of its name."""
    sums: dict[str, tuple[str, float]] = {}
    for account in accounts:
        for seed in account.seed:
            name, so_far = sums.get(seed.species.casefold(), (seed.species, 0.0))
            sums[seed.species.casefold()] = name, so_far + seed.bulk_kg
    return dict(sums[key] for key in sorted(sums))


def _unaccounted(entries: Sequence[Entry]) -> float:
    """Ground in m² that meters counted while no renter had the drill, between a return and the next rental."""
    last: dict[str, Entry] = {}
    total, out = 0.0, set[str]()
    for drill, entry in readings_of(entries):
        fitted = entry.kind == "meter" and not {"old_meter", "turns_at"}.isdisjoint(entry.facts)
        if drill in last and drill not in out and (entry.kind == "out" or fitted):
            total += counted_m2(last[drill], entry)
        last[drill] = entry
        out = out | {drill} if entry.kind == "out" else out - {drill} if entry.kind == "in" else out
    return total if abs(total) > 1e-3 * ACRE_M2 else 0.0
