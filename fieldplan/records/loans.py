"""Loans: a drill out with a renter, from one meter reading to the next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fieldplan.model.records import Entry, Loan


def loans_of(entries: Sequence[Entry]) -> Mapping[str, Sequence[Loan]]:
    """The loans of each request, in order; one that is still out comes last.

    Parameters
    ----------
    entries
        Those that hold.
    """
    loans: dict[str, list[Loan]] = {}
    for entry in entries:
        own = loans.setdefault(entry.request, [])
        if entry.kind == "out":
            own.append(Loan(request=entry.request, drill=str(entry.facts["drill"]), out=entry, back=None))
        elif entry.kind == "in" and own and own[-1].back is None:
            own[-1] = Loan(request=entry.request, drill=own[-1].drill, out=own[-1].out, back=entry)
    return loans


def loan_at(sown: Entry, loans: Sequence[Loan]) -> Loan | None:
    """The loan under which ground was sown, by the day; where one ended and the next began on it, the one it was written down in."""
    there = [one for one in loans if one.out.day <= sown.day and (one.back is None or sown.day <= one.back.day)]
    within = [one for one in there if one.out.number < sown.number and (one.back is None or sown.number < one.back.number)]
    best = within or there
    return best[-1] if best else None
