"""A designed mix as a document."""

from __future__ import annotations

from collections.abc import Iterator

from fieldplan.model.mix_design import Design, Limit, Share, said
from fieldplan.report.documents.document import Document, Part
from fieldplan.report.words.money_and_places import money_text
from fieldplan.report.words.notes import note_sentences
from fieldplan.report.words.numbers import counted, percent
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import lot_name
from fieldplan.report.words.sentences import sentence


def mix_document(found: Design, q: Quantities) -> Document:
    """In short, rates of each lot, groups, what limits the mix, lots in sequence, and assumptions."""
    notes = tuple(note_sentences(found.notes, q))
    return Document(
        title=f"Mix {found.target.name}",
        about=(_about(found, q),),
        parts=tuple(
            part
            for part in (
                Part(name="In short", lines=tuple(_short(found, q)), listed=True),
                _rates(found, q),
                _groups(found, q),
                Part(name="What limits it", lines=tuple(_limits(found, q)), listed=True),
                Part(name="Lots in sequence", lines=tuple(_in_turn(found, q)), listed=True),
                Part(name="Notes", lines=notes, listed=True),
            )
            if part.rows or part.lines
        ),
        sources=tuple(dict.fromkeys(key for note in found.notes for key in note.sources)),
    )


def _about(found: Design, q: Quantities) -> str:
    target = found.target
    cheapest = "costs least" if target.priced else "takes the least bulk seed"
    aim = "has the most live seeds" if target.aim == "most seeds" else cheapest
    ground = (
        ""
        if target.ground_m2 is None
        else f" for {q.area(target.ground_m2)} {q.area_unit}, with {percent(target.overage_frac)} overage"
    )
    return f"Of all mixes that meet the target, the one that {aim}{ground}."


def _short(found: Design, q: Quantities) -> Iterator[str]:
    yield f"{q.seeds(found.seeds_per_m2, 1)} of live seed in all."
    pls, bulk = (
        sum(getattr(share, name) for share in found.shares) for name in ("pls_kg_per_m2", "bulk_kg_per_m2")
    )
    yield f"{q.mass_rate(pls)} PLS, {q.mass_rate(bulk)} bulk."
    currency = found.target.currency
    if found.cost_per_m2 is not None:
        yield f"{money_text(found.cost_per_m2 * q.area_unit_m2, currency)} for {_an(q)}, for seed that must be bought."
    ground = found.target.ground_m2
    if ground is not None:
        bags = sum(share.bags or 0 for share in found.shares)
        weight = sum(share.buy_kg or 0.0 for share in found.shares)
        text = f"To buy: {q.mass(weight)} {q.mass_unit}, in {counted(bags, 'whole bag')}"
        if found.cost_per_m2 is not None:
            whole = sum(
                (share.bags or 0) * share.offer.component.bag_kg * share.offer.component.price.per_kg
                for share in found.shares
                if share.offer.component.price is not None
            )
            text += f", {money_text(whole, currency)}"
        yield f"{text}."
    used = [lot_name(share.offer.component.species, share.offer.component.lot) for share in found.shares]
    names = (lot_name(offer.component.species, offer.component.lot) for offer in found.target.offers)
    out = tuple(dict.fromkeys(name for name in names if name not in used))
    if out:
        yield f"Not in the mix: {', '.join(out)}."


def _rates(found: Design, q: Quantities) -> Part:
    header = [
        "seed",
        "group",
        f"seeds/{q.small_area_unit}",
        "of seeds",
        "PLS",
        "PLS rate",
        "bulk rate",
        f"cost/{q.area_unit}",
    ]
    with_ground = found.target.ground_m2 is not None
    if with_ground:
        header += [f"need, {q.mass_unit}", f"buy, {q.mass_unit}", "bags"]
    currency = found.target.currency

    def row(share: Share) -> tuple[str, ...]:
        component = share.offer.component
        cost = (
            "–" if share.cost_per_m2 is None else money_text(share.cost_per_m2 * q.area_unit_m2, currency)
        )
        cells = [
            lot_name(component.species, component.lot),
            share.offer.group or "–",
            f"{share.seeds_per_m2 * q.small_area_m2:.1f}",
            percent(share.seeds_per_m2 / found.seeds_per_m2, 1),
            percent(component.pls_frac, 1),
            q.mass_rate(share.pls_kg_per_m2),
            q.mass_rate(share.bulk_kg_per_m2),
            cost,
        ]
        if with_ground:
            cells += [q.mass(share.need_kg or 0.0), q.mass(share.buy_kg or 0.0), str(share.bags or 0)]
        return tuple(cells)

    whole = [
        "all",
        "",
        f"{found.seeds_per_m2 * q.small_area_m2:.1f}",
        "100.0 %",
        "",
        q.mass_rate(sum(share.pls_kg_per_m2 for share in found.shares)),
        q.mass_rate(sum(share.bulk_kg_per_m2 for share in found.shares)),
        "–" if found.cost_per_m2 is None else money_text(found.cost_per_m2 * q.area_unit_m2, currency),
    ]
    if with_ground:
        whole += [
            q.mass(sum(share.need_kg or 0.0 for share in found.shares)),
            q.mass(sum(share.buy_kg or 0.0 for share in found.shares)),
            str(sum(share.bags or 0 for share in found.shares)),
        ]
    return Part(
        name="Rates",
        header=tuple(header),
        rows=(*(row(share) for share in found.shares), tuple(whole)),
        left=2,
    )


def _groups(found: Design, q: Quantities) -> Part:
    groups: dict[str, float] = {}
    for share in found.shares:
        groups[share.offer.group or "other"] = (
            groups.get(share.offer.group or "other", 0.0) + share.seeds_per_m2
        )
    if len(groups) < 2:
        return Part()
    rows = tuple(
        (name, f"{seeds * q.small_area_m2:.1f}", percent(seeds / found.seeds_per_m2, 1))
        for name, seeds in groups.items()
    )
    return Part(name="Groups", header=("group", f"seeds/{q.small_area_unit}", "of seeds"), rows=rows)


def _limits(found: Design, q: Quantities) -> Iterator[str]:
    """Each demand that is just met, with what one unit more or less of it is worth."""
    for limit in found.limits:
        text = sentence(said(found.target, limit.demand), q)
        yield f"{text[0].upper()}{text[1:]}{_worth(found, limit, q)}."


def _worth(found: Design, limit: Limit, q: Quantities) -> str:
    demand, target = limit.demand, found.target
    step, of = {
        "seeds": (1 / q.small_area_m2, f"one seed/{q.small_area_unit}"),
        "share": (0.01, "one percent of all seeds"),
        "pls": (q.mass_unit_kg / q.area_unit_m2, f"one {q.mass_unit}/{q.area_unit}"),
        "at hand": (q.mass_unit_kg, f"one {q.mass_unit} more at hand"),
        "budget": (1 / q.area_unit_m2, f"{money_text(1, target.currency)}/{q.area_unit} more"),
    }[demand.measured]
    worth = limit.saves * step
    if demand.measured not in ("at hand", "budget"):
        of += " less" if demand.sense == "least" else " more"
    if target.aim == "most seeds":
        gain = worth * q.small_area_m2
        return "" if gain < 5e-4 else f"; {of} would allow {gain:.2g} more seeds/{q.small_area_unit}"
    if not target.priced:
        gain = worth * q.area_unit_m2 / q.mass_unit_kg
        return (
            "" if gain < 5e-4 else f"; {of} would save {gain:.2g} {q.mass_unit}/{q.area_unit} of bulk seed"
        )
    gain = worth * q.area_unit_m2
    if gain < 5e-4:
        return ""
    return f"; {of} would save {money_text(gain, target.currency) if gain >= 0.005 else 'under a cent'} {_an(q)}"


def _an(q: Quantities) -> str:
    return f"{'an' if q.area_one[0] in 'aeiou' else 'a'} {q.area_one}"


def _in_turn(found: Design, q: Quantities) -> Iterator[str]:
    """Species of several lots: the ground of each lot if it is sown by itself, one after the other."""
    for species, turns in found.lots_in_turn():
        each = ", then ".join(
            f"{share.offer.component.lot or 'the lot without a number'} on {q.area(ground, 1)} {q.area_unit} at {q.mass_rate(rate)} bulk"
            for share, ground, rate in turns
        )
        yield f"{species}: {each}; or mixed, at the rates above."
