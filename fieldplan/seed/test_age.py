"""How old the tests of seed are when it is sown, and until when the law lets it be sold by them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from fieldplan.facts import Value, fact
from fieldplan.model.notes import Note
from fieldplan.model.seed import Component, Mix
from fieldplan.model.seed_law import SeedLaw, age_months, sold_through
from fieldplan.tables.seed_law import AgeLimit, limit_counted, limit_for, months_of_states


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
        federal = limit_counted(SeedLaw())
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
                fact("age-limit-of", seed=one.seed, n_months=one.months, remark=one.remark)
                for one in limit.of_some
            ),
            "n_low_months": low,
            "n_high_months": high,
        },
        sources=(limit.source,) if limit.source else (),
    )


def lot_name(component: Component) -> str:
    """A lot as notes name it: its species, with the number of the lot if there is one."""
    return f"{component.species} ({component.lot})" if component.lot else component.species
