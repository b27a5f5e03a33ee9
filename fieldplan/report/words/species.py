"""What is published of a species in a few lines of words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from fieldplan.model.notes import Source
from fieldplan.model.species import Printed, SpeciesFacts, Window
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.quantities import Quantities
from fieldplan.tables.read import source

_TIMES = {"seeding": "", "cover-crop": " as a cover crop", "dormant": " dormant", "frost": " on frost"}
_MAX_WINDOWS = 6
_NOT_SAID = ("full seeding rate", "rate as printed", "rate alone", "test weight")
"""Figures that stand in tables alone."""


def quantity_name(quantity: str) -> str:
    """What a quantity of the tables is called whatever the reader's units."""
    return "count" if quantity == "seeds per pound" else quantity


def species_title(facts: SpeciesFacts) -> str:
    """A species by its names: as it was asked for, its kind, scientific name and plant symbol."""
    if not facts.kind:
        return f"{facts.named}: not in the species table"
    also = [name for name in (facts.kind, facts.scientific_name, facts.symbol) if name]
    also = [name for name in also if name.casefold() != facts.named.casefold()]
    taken = f", taken for {facts.kind}" if facts.taken else ""
    return f"{facts.named}{taken} ({', '.join(also[1:] if facts.taken else also)})"


def species_lines(facts: SpeciesFacts, q: Quantities, state: str = "") -> list[str]:
    """What is known of a species, and what has to be asked for, a sentence a line.

    Parameters
    ----------
    state
        The state whose days of sowing to show; those of all states if it is empty or has none.
    """
    lines = [*_counts(facts, q), *_ground(facts, q), *_seed(facts), *_season(facts, q, state)]
    if facts.asked:
        lines.append(
            f"Asked for, as no source was found: {', '.join(quantity_name(one) for one in facts.asked)}."
        )
    return lines


def species_sources(found: Iterable[SpeciesFacts], *, every: bool = False) -> list[Source]:
    """The published sources of what `species_lines` says of some species, by key.

    Parameters
    ----------
    every
        Whether to give those of all figures, rates and weights too.
    """
    cited = {
        key
        for facts in found
        for key in (
            *(one.source for one in facts.printed if every or one.quantity not in _NOT_SAID),
            *(window.source for window in facts.windows),
        )
    }
    return [source(key) for key in sorted(cited - {"practice"})]


def figure_text(one: Printed, q: Quantities) -> str:
    """What one source prints: a word, a figure or a range, in the reader's units."""
    if not one.ending or one.low is None or one.high is None:
        return one.word
    return _between(q.measured(one.ending, one.low), q.measured(one.ending, one.high))


def _between(low: str, high: str) -> str:
    """A range, with its unit once."""
    number, _, unit = low.partition(" ")
    return low if low == high else f"{number if high.endswith(f' {unit}') else low} to {high}"


def _range(printed: Iterable[Printed], q: Quantities) -> str:
    """The range over several sources."""
    of_all = [one for one in printed if one.low is not None and one.high is not None]
    low = min(one.low for one in of_all if one.low is not None)
    high = max(one.high for one in of_all if one.high is not None)
    whole = Printed(
        quantity=of_all[0].quantity, low=low, high=high, ending=of_all[0].ending, source=of_all[0].source
    )
    return figure_text(whole, q)


def _keys(printed: Iterable[Printed]) -> str:
    keys = dict.fromkeys(one.source for one in printed)
    return ", ".join("common practice, no source" if key == "practice" else key for key in keys)


def _counts(facts: SpeciesFacts, q: Quantities) -> Iterator[str]:
    count = facts.count
    if count is None:
        return
    spread = _between(q.seed_size(count.low_per_kg), q.seed_size(count.high_per_kg))
    used = f"{q.seed_size(count.per_kg)} is used"
    if count.unfit:
        used = f"none is used ({count.unfit})"
    elif count.forms:
        used = "none is used until the form of the seed is known"
    yield f"Count: {used}; {spread}, {counted(count.witnesses, 'independent source')} ({', '.join(count.sources)})."
    if count.forms:
        forms = (
            f"{form} {_between(q.seed_size(low), q.seed_size(high))}" for form, low, high in count.forms
        )
        yield f"The tag's form decides: {'; '.join(forms)}."
    own = [
        f"{one.variety} {figure_text(one, q)}" for one in facts.printed_of("seeds per pound") if one.variety
    ]
    if own:
        yield f"By variety or type: {'; '.join(own)}."
    left_out = [
        f"{figure_text(one, q)} of {one.source}: {one.unfit}"
        for one in facts.printed_of("seeds per pound")
        if one.unfit and not count.unfit
    ]
    if left_out:
        yield f"Not used: {'; '.join(left_out)}."


def _ground(facts: SpeciesFacts, q: Quantities) -> Iterator[str]:
    depth, placement = facts.printed_of("depth"), facts.printed_of("placement")
    if depth:
        yield f"Depth: {_range(depth, q)} ({_keys(depth)})."
    if placement:
        yield f"Placement: {placement[0].word} ({_keys(placement)})."
    parts = []
    for quantity in ("box", "agitator"):
        if found := facts.printed_of(quantity):
            words = " or ".join(dict.fromkeys(one.word for one in found))
            parts.append(f"{quantity} {words} ({_keys(found)})")
    if parts:
        yield f"Drill: {'; '.join(parts)}."


def _seed(facts: SpeciesFacts) -> Iterator[str]:
    parts = [
        f"{quantity}: {found[0].word} ({_keys(found)})"
        for quantity in ("light", "light in the laboratory", "cold stratification", "dormant seed")
        if (found := facts.printed_of(quantity))
    ]
    if parts:
        yield f"Seed: {'; '.join(parts)}."


def _season(facts: SpeciesFacts, q: Quantities, state: str) -> Iterator[str]:
    soil = facts.printed_of("soil temperature")
    if soil:
        yield f"Soil: at least {_range(soil, q)} ({_keys(soil)})."
    own = [one for one in facts.windows if one.state.casefold() == state.casefold()]
    windows = own or list(facts.windows)
    if windows:
        more = len(windows) - _MAX_WINDOWS
        text = "; ".join(_window(one) for one in windows[:_MAX_WINDOWS])
        yield f"Sown: {text}{f'; {more} more' if more > 0 else ''}."
    season = facts.printed_of("season")
    if season:
        yield f"Season as printed: {'; '.join(f'{one.word} ({one.source})' for one in season)}."


def _window(window: Window) -> str:
    days = f"{window.first.day} {window.first:%b} to {window.last.day} {window.last:%b}"
    return f"{window.state} {days}{_TIMES[window.purpose]} ({window.source})"
