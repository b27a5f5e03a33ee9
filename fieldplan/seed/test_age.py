"""How old the tests of seed are when it is sown, and until when the law lets it be sold by them."""

from __future__ import annotations

import calendar
from collections.abc import Iterator
from datetime import date

from fieldplan.facts import Value, fact
from fieldplan.model.notes import Note
from fieldplan.model.seed import Component, Mix
from fieldplan.model.seed_law import SeedLaw
from fieldplan.tables.seed_law import FEDERAL, AgeLimit, age_limit, months_of_states


def sold_through(tested: date, max_months: int) -> date:
    """The last day on which seed may be sold by a test: the end of the month of the test + ``max_months``.

    The month of the test is not counted. A state that counts it and allows a month more means the same day.

    Examples
    --------
    >>> sold_through(date(2026, 1, 1), 9)
    datetime.date(2026, 10, 31)
    """
    years, month = divmod(tested.month - 1 + max_months, 12)
    year, month = tested.year + years, month + 1
    return date(year, month, calendar.monthrange(year, month)[1])


def age_months(tested: date, on: date) -> int:
    """Months from the month of a test to that of a day.

    Examples
    --------
    >>> age_months(date(2026, 1, 20), date(2026, 12, 1))
    11
    """
    return (on.year - tested.year) * 12 + on.month - tested.month


def limit_for(law: SeedLaw) -> AgeLimit | None:
    """The limit that counts for a job: its own, else that of its state; ``None`` if neither is known."""
    if law.max_months is not None:
        return AgeLimit(state=law.state, months=law.max_months, of_some=(), remark=law.source, source="")
    return age_limit(law.state) if law.state else None


def test_age_notes(mix: Mix, law: SeedLaw, on: date | None) -> Iterator[Note]:
    """Notes on tests that are too old to be sold by on a day, that are dated later, or not at all.

    Each is a warning at most: the limits are on sale, and seed that one has may be sown.

    Parameters
    ----------
    on
        The day it is to be sown, or today; ``None`` to leave out notes on ages.
    """
    dated = [(one, one.last_test) for one in mix.components if one.last_test is not None]
    undated = tuple(lot_name(one) for one in mix.components if one.last_test is None)
    if undated:
        yield Note(code="test-unsaid", values={"mix": mix.name, "lots": undated})
    if on is None or not dated:
        return
    crosses = bool(law.from_state) and law.from_state.casefold() != law.state.casefold()
    own = limit_for(law)
    if own is not None and own.months is not None:
        yield from _too_old(mix, dated, own, on, "limit" if law.max_months is not None else "state")
    if crosses or own is None or own.months is None:
        federal = age_limit(FEDERAL)
        assert federal is not None
        assert federal.months is not None
        yield from _too_old(mix, dated, federal, on, "crosses" if crosses else "")
    if own is not None and own.months is None:
        values: dict[str, Value] = {"mix": mix.name, "state": own.state, "remark": own.remark}
        yield Note(code="test-limit-unknown", values=values, sources=(own.source,))
    elif own is None and law.state:
        yield Note(code="test-limit-unknown", values={"mix": mix.name, "state": law.state, "remark": ""})
    ahead = tuple(lot_name(one) for one, tested in dated if tested > on)
    if ahead:
        yield Note(code="test-ahead", values={"mix": mix.name, "on": on, "lots": ahead})


def _too_old(
    mix: Mix, dated: list[tuple[Component, date]], limit: AgeLimit, on: date, case: str
) -> Iterator[Note]:
    assert limit.months is not None
    lots = tuple(
        fact(
            "months-since-test",
            lot=lot_name(one),
            n_months=age_months(tested, on),
            through=sold_through(tested, limit.months),
        )
        for one, tested in dated
        if age_months(tested, on) > limit.months
    )
    if not lots:
        return
    low, high = months_of_states()
    yield Note(
        code="test-old",
        case=case,
        warning=case in ("state", "limit", "crosses"),
        values={
            "mix": mix.name,
            "n_most_months": limit.months,
            "on": on,
            "lots": lots,
            "state": limit.state,
            "remark": limit.remark,
            "of_some": tuple(
                fact("age-limit-of", seed=seed, n_months=months) for seed, months in limit.of_some
            ),
            "n_low_months": low,
            "n_high_months": high,
        },
        sources=(limit.source,) if limit.source else (),
    )


def lot_name(component: Component) -> str:
    """A lot as notes name it: its species, with the number of the lot if there is one."""
    return f"{component.species} ({component.lot})" if component.lot else component.species
