"""What must be in order before a drill goes out, as the season's file names it.

``deposit``, ``tractor``, ``mix`` and ``standing`` are looked up; every other name is a paper or a course that a renter
shows, which an entry "met" records.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from fieldplan.errors import InputError, JobFileError, placed, problem
from fieldplan.facts import Fact, fact
from fieldplan.model.records import Entry
from fieldplan.model.standing import Checked
from fieldplan.records import reading
from fieldplan.records.meters import Found

Fit = Callable[[str, str], Mapping[str, Fact | None]]
"""Why tractor and mix of a request do not fit a drill, by requirement; ``None`` where they do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Requirement:
    """A requirement: its name, and the least deposit where it is one."""

    name: str
    least: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Required:
    """What is required, and what is known besides the entries of the season.

    Parameters
    ----------
    renters
        Ids of renters by request.
    fit
        Whether tractor and mix of a request fit a drill.
    earlier
        Entries "met" and "standing" of earlier seasons, each with the id of the renter, in their order.
    """

    rules: tuple[Requirement, ...] = ()
    renters: Mapping[str, str] = field(default_factory=dict)
    fit: Fit = lambda *_: {}
    earlier: tuple[tuple[str, Entry], ...] = ()


def requirements_of(texts: Sequence[str], file: str) -> tuple[Requirement, ...]:
    """The requirements that a season's file names.

    Raises
    ------
    JobFileError
        If a deposit has no sum, or something else has one.
    """
    found, problems = [], []
    for text in texts:
        name, equals, given = (part.strip() for part in text.partition("="))
        name = name.casefold()
        try:
            least = reading.cost(given) if equals else None
        except InputError:
            least = Decimal(-1)
        if not name or (least is None) == (name == "deposit") or (least is not None and least <= 0):
            problems.append(problem("requirement-unreadable", file=file, about="[season]", given=text))
        found.append(Requirement(name=name, least=least))
    if problems:
        raise JobFileError(tuple(problems))
    return tuple(found)


def checked(
    required: Required, request: str, drill: str, day: date, entries: Sequence[Entry]
) -> Iterator[Checked]:
    """Each requirement for a drill going out to a request on a day.

    Parameters
    ----------
    entries
        Current entries.
    """
    renter = required.renters.get(request, request)
    own = [*((who, entry) for who, entry in required.earlier if who == renter)]
    own += [
        (renter, entry) for entry in entries if required.renters.get(entry.request, entry.request) == renter
    ]
    fits = (
        required.fit(request, drill)
        if any(rule.name in ("tractor", "mix") for rule in required.rules)
        else {}
    )
    for rule in required.rules:
        if rule.least is not None:
            taken = (entry for entry in entries if entry.kind == "deposit" and entry.request == request)
            yield _deposit(rule.least, [entry for entry in taken if entry.day <= day])
        elif rule.name in fits:
            why = fits[rule.name]
            yield Checked(name=rule.name, open=why, met=None if why else fact("met-fits"))
        elif rule.name == "standing":
            yield _standing([entry for _, entry in own if entry.kind == "standing" and entry.day <= day])
        else:
            yield _paper(rule.name, [entry for _, entry in own if entry.kind == "met"], day)


def _deposit(least: Decimal, taken: Sequence[Entry]) -> Checked:
    held = sum((entry.facts["sum"] for entry in taken), Decimal(0))
    if held < least:
        return Checked(name="deposit", open=fact("open-deposit", held=str(held), least=str(least)))
    return Checked(name="deposit", open=None, met=fact("met-deposit", held=str(held)))


def _standing(said: Sequence[Entry]) -> Checked:
    bad = bool(said) and said[-1].facts["good"] == "no"
    return Checked(
        name="standing",
        open=fact("open-standing", why=said[-1].facts["why"], since_typed_day=said[-1].day)
        if bad
        else None,
        met=None if bad else fact("met-standing"),
    )


def _paper(name: str, shown: Sequence[Entry], day: date) -> Checked:
    of_it = [entry for entry in shown if str(entry.facts["what"]).casefold() == name and entry.day <= day]
    valid = [entry for entry in of_it if entry.facts.get("until", day) >= day]
    if valid:
        return Checked(name=name, open=None, met=fact("met-shown", met_typed_day=valid[-1].day))
    if of_it:
        return Checked(name=name, open=fact("open-over", until_typed_day=of_it[-1].facts["until"]))
    return Checked(name=name, open=fact("open-not-shown"))


def requirement_conflicts(entries: Sequence[Entry], required: Required) -> Iterator[Found]:
    """Drills that went out although something was not in order, and nobody let it pass with a reason.

    Parameters
    ----------
    entries
        Current entries.
    """
    names = {rule.name for rule in required.rules}
    for entry in entries:
        if entry.kind != "out":
            continue
        waived = {name.casefold() for name in entry.facts.get("waive", ())}
        if waived and "why" not in entry.facts:
            yield entry.number, problem("waive-why", request=entry.request)
        for name in sorted(waived - names):
            yield entry.number, problem("waive-unknown", given=name, known=tuple(sorted(names)))
        drill = str(entry.facts["drill"])
        for one in checked(required, entry.request, drill, entry.day, entries):
            if one.open is not None and one.name not in waived:
                yield (
                    entry.number,
                    placed(
                        problem("requirement-open", request=entry.request, name=one.name, why=one.open),
                        cure=_cure(entry.request, one, required),
                    ),
                )


def _cure(request: str, one: Checked, required: Required) -> Fact:
    """What to enter where a requirement is open."""
    least = next((rule.least for rule in required.rules if rule.name == one.name), None)
    if least is not None:
        return fact("requirement-cure/deposit", request=request, least=str(least))
    if one.name == "standing":
        return fact("requirement-cure/standing", request=request)
    if one.name in ("tractor", "mix"):
        return fact("requirement-cure/fit", name=one.name)
    return fact("requirement-cure/met", request=request, name=one.name)
