"""Lots of the stock that a job is sown with, one after the other: as planned, or for the rest of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from fieldplan.jobfile.schema import SCHEMA
from fieldplan.model.plan import Plan
from fieldplan.model.progress import LotPace
from fieldplan.model.seed import Component
from fieldplan.model.stock import Lot, LotOnShelf, Sequence, Stock
from fieldplan.seed.order import ground_by_lot
from fieldplan.seed.substitution import Tag, in_sequence
from fieldplan.units import POUND_KG

_SAME_FRAC = 1e-6
"""Shares of live seed that differ by less are of the same tag."""


def sequences(stock: Stock, plan: Plan) -> tuple[Sequence, ...]:
    """For each lot that a plan orders, the lots of the stock that it can be sown with, and what must be bought.

    The planned lot comes first. Where it falls short, other lots of the species follow, those opened first, as far
    as no other line of the order needs them.
    """
    components = {(part.species, part.lot): part for mix in plan.job.mixes for part in mix.components}
    ground = ground_by_lot(plan.fields)
    shelf = {lot.key: lot for lot in stock.lots}
    left = {lot.key: max(0.0, lot.left_kg) for lot in stock.lots}
    asked = {(line.species, line.lot) for line in plan.order}
    found = []
    for line in plan.order:
        key = (line.species, line.lot)
        planned = components[key]
        others = [lot for lot in stock.of_species(line.species) if lot.key not in asked]
        own = [shelf[key]] if key in shelf else []
        tags = {lot.key: tag_on_shelf(lot) for lot in (*own, *others)}
        if own and tags[key] is None:  # the job's own tag
            tags[key] = Tag(pls_frac=planned.pls_frac, seeds_per_kg=planned.seeds_per_kg)
        usable = [
            (lot.lot, left[lot.key], tag) for lot in (*own, *others) if (tag := tags[lot.key]) is not None
        ]
        passed = tuple(lot.lot for lot in others if tags[lot.key] is None)
        sequence = in_sequence(planned, line.need_kg, ground[key], usable, passed)
        for turn in sequence.turns:
            if turn.on_shelf:
                left[turn.species, turn.lot] -= turn.bulk_kg
        found.append(sequence)
    return tuple(found)


def for_the_rest(
    lots: Iterable[LotPace], plan: Plan, stock: Stock | None, retested: Mapping[Lot, Tag]
) -> tuple[Sequence, ...]:
    """For each lot that falls short, or whose tag has changed, the lots that the rest of a job is sown with.

    What is left of the lot itself comes first, by its new tag; then other lots of the species in stock; what is then
    missing must be bought.

    Parameters
    ----------
    lots
        Each with what is left of it and what the rest of the job asks for.
    stock
        The stock, without what the job has drawn from it; ``None`` if there is none.
    retested
        New tags by lot; they count before those of the stock file.
    """
    components = {(part.species, part.lot): part for mix in plan.job.mixes for part in mix.components}
    asked = {(line.species, line.lot) for line in plan.order}
    left = {} if stock is None else {lot.key: max(0.0, lot.left_kg) for lot in stock.lots}
    found = []
    for pace in lots:
        key = (pace.species, pace.lot)
        planned = components.get(key)
        if planned is None or pace.asked_kg <= 0:  # a carrier, or nothing is left to sow of it
            continue
        others = [lot for lot in stock.of_species(pace.species) if lot.key not in asked] if stock else []
        now = retested.get(key) or _in_stock(stock, key) or tag_of(planned)
        if pace.short_kg <= 0 and abs(now.pls_frac / planned.pls_frac - 1) < _SAME_FRAC:
            continue
        tags = [(lot, tag_on_shelf(lot)) for lot in others]
        shelf = [
            (pace.lot, pace.left_kg, now),
            *((lot.lot, left[lot.key], tag) for lot, tag in tags if tag is not None),
        ]
        rate_kg_per_m2 = pace.real_kg_per_m2 if pace.begun else pace.planned_kg_per_m2
        passed = tuple(lot.lot for lot, tag in tags if tag is None)
        found.append(in_sequence(planned, pace.asked_kg, pace.asked_kg / rate_kg_per_m2, shelf, passed))
        for turn in found[-1].turns:
            if turn.on_shelf and turn.lot != pace.lot:
                left[turn.species, turn.lot] -= turn.bulk_kg
    return tuple(found)


def _in_stock(stock: Stock | None, key: Lot) -> Tag | None:
    """The tag that the stock file has for a lot."""
    lots = () if stock is None else stock.lots
    return next((tag_on_shelf(lot) for lot in lots if lot.key == key), None)


def tag_of(component: Component) -> Tag:
    """What of a component's tag sets its rate."""
    return Tag(pls_frac=component.pls_frac, seeds_per_kg=component.seeds_per_kg)


def tag_on_shelf(lot: LotOnShelf) -> Tag | None:
    """What the stock file says of a tag; ``None`` without purity or germination, or with no live seed."""
    if not (lot.tag.get("purity") and lot.tag.get("germination")):
        return None
    shares = {
        name: SCHEMA["mix.component"][name].parse(lot.tag[name]) if lot.tag.get(name) else 0.0
        for name in ("purity", "germination", "hard", "dormant")
    }
    live = min(1.0, shares["germination"] + shares["hard"] + shares["dormant"])
    size = lot.tag.get("seeds_per_pound", "")
    seeds = SCHEMA["mix.component"]["seeds_per_pound"].parse(size) / POUND_KG if size else None
    if shares["purity"] * live <= 0:
        return None
    return Tag(pls_frac=shares["purity"] * live, seeds_per_kg=seeds)
