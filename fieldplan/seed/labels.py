"""What the tags of a mix leave out that matters, and what states let be sold."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from fieldplan.facts import Value, case_of, fact
from fieldplan.model.notes import Note
from fieldplan.model.seed import Component, Mix
from fieldplan.model.seed_law import SeedLaw
from fieldplan.seed.test_age import lot_name
from fieldplan.tables import read as tables
from fieldplan.tables.seed_law import SaleLimit, rule_of, sale_limits
from fieldplan.tables.species import word_of

_LINES: dict[str, Callable[[Component], object]] = {
    "noxious": lambda lot: lot.noxious,
    "weed": lambda lot: lot.weed_frac is not None,
    "other-crop": lambda lot: lot.other_crop_frac is not None,
    "origin": lambda lot: lot.origin,
}
"""Lines of a tag that a job file may leave out, and whether a lot has one."""
_MAX_NAMED = 3
"""Lots that lack a line are named up to this number; the seed page shows which they are."""
_NONE = ("none", "0", "none found", "none detected")
_ROUNDING = 1e-9


def label_notes(mix: Mix, law: SeedLaw) -> Iterator[Note]:
    """Notes on lines of the tags that are missing, on noxious weeds, tetrazolium tests and limits of states."""
    yield from _dormant(mix)
    yield from _lacking(mix)
    noxious = tuple(
        fact("noxious-of", lot=lot_name(lot), weeds=lot.noxious)
        for lot in mix.components
        if lot.noxious and not all(line.casefold().strip(" .") in _NONE for line in lot.noxious)
    )
    if noxious:
        rule = rule_of(law.state, "noxious weeds")
        values: dict[str, Value] = {
            "mix": mix.name,
            "lots": noxious,
            "state": law.state,
            "says": rule[0] if rule else "",
        }
        sources = (rule[1],) if rule else ()
        yield Note(code="noxious-named", warning=True, values=values, sources=sources)
    yield from _by_tz(mix, law)
    yield from _other_crop(mix)
    for limit in sale_limits(law.state) if law.state else ():
        yield from _outside(mix, law.state, limit)


def _dormant(mix: Mix) -> Iterator[Note]:
    """Lots of species that are known for dormant or hard seed, whose job file does not say how much is."""
    for kind in ("dormant", "hard"):
        lots, sources = [], []
        for lot in mix.components:
            known = word_of(lot.species, "dormant seed")
            # tags may give both in one figure, under either name
            is_said = kind not in lot.unsaid or lot.hard_frac + lot.dormant_frac > 0
            if known is not None and known[0] == kind and not is_said:
                lots.append(lot_name(lot))
                sources.append(known[1])
        if lots:
            yield Note(
                code="dormant-unsaid",
                case=kind,
                warning=True,
                values={"mix": mix.name, "lots": tuple(lots)},
                sources=tuple(dict.fromkeys(sources)),
            )


def _lacking(mix: Mix) -> Iterator[Note]:
    """The lines that tags must have and the job file does not give, with the lots that lack them."""
    n_lots = len(mix.components)
    lines = []
    for line, has in _LINES.items():
        lots = tuple(lot_name(lot) for lot in mix.components if not has(lot))
        if lots:
            few = lots if len(lots) <= _MAX_NAMED and len(lots) < n_lots else ()
            some = fact("lots-of", n_lots=len(lots), n_all=n_lots) if len(lots) < n_lots and not few else ""
            lines.append(case_of("tag-line", line, lots=few, some=some))
    if lines:
        yield Note(code="tag-unsaid", values={"mix": mix.name, "lines": tuple(lines)})


def _by_tz(mix: Mix, law: SeedLaw) -> Iterator[Note]:
    tested = tuple(
        fact(
            "tz-lot",
            lot=lot_name(lot),
            tz_typed_frac=lot.tz_frac,
            month=f"{lot.tz_tested:%b %Y}" if lot.tz_tested else "",
        )
        for lot in mix.components
        if lot.tz_frac is not None
    )
    if not tested:
        return
    rule = rule_of(law.state, "tetrazolium")
    values: dict[str, Value] = {
        "mix": mix.name,
        "lots": tested,
        "state": law.state if rule else "",
        "says": rule[0] if rule else "",
    }
    yield Note(code="tz-counted", values=values, sources=(rule[1],) if rule else ())
    undated = tuple(
        lot_name(lot) for lot in mix.components if lot.tz_frac is not None and lot.tz_tested is None
    )
    if undated:
        yield Note(code="tz-undated", values={"mix": mix.name, "lots": undated})


def _other_crop(mix: Mix) -> Iterator[Note]:
    most, source = tables.machinery_figure("share of another crop that is named", "%")
    lots = tuple(
        fact("share-of-lot", lot=lot_name(lot), tag_typed_frac=lot.other_crop_frac)
        for lot in mix.components
        if lot.other_crop_frac is not None and lot.other_crop_frac * 100 > most + _ROUNDING
    )
    if lots:
        values: dict[str, Value] = {"mix": mix.name, "lots": lots, "most_typed_frac": most / 100}
        yield Note(code="other-crop-high", warning=True, values=values, sources=(source,))


def _share(lot: Component, what: str) -> float | None:
    if what == "purity":
        return lot.purity_frac
    if what == "weed seed":
        return lot.weed_frac
    return None if lot.viability == "TZ" else lot.germination_frac + lot.hard_frac


def _outside(mix: Mix, state: str, limit: SaleLimit) -> Iterator[Note]:
    """Lots that a state does not let be sold as they are."""
    shares = [(lot, _share(lot, limit.what)) for lot in mix.components]
    lots = tuple(
        fact("share-of-lot", lot=lot_name(lot), tag_typed_frac=share)
        for lot, share in shares
        if share is not None
        and (
            (limit.least_frac is not None and share < limit.least_frac - _ROUNDING)
            or (limit.most_frac is not None and share > limit.most_frac + _ROUNDING)
        )
    )
    if lots:
        case = {"weed seed": "weed", "purity": "purity"}.get(limit.what, "live")
        limits = limit.least_frac if limit.least_frac is not None else limit.most_frac
        assert limits is not None
        yield Note(
            code="not-sold",
            case=case,
            warning=True,
            values={"mix": mix.name, "state": state, "lots": lots, "limit_typed_frac": limits},
            sources=(limit.source,),
        )
