"""Tags on the seed page: live seed and rates by lot, age of tests, and the other lines of a tag."""

from __future__ import annotations

from collections.abc import Sequence

from fieldplan.model.budget import SownComponent
from fieldplan.model.plan import Plan
from fieldplan.model.seed import Component
from fieldplan.model.seed_law import age_months, sold_through
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.numbers import counted, percent
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import lot_name
from fieldplan.tables.seed_law import FEDERAL, limit_counted
from fieldplan.tables.seed_sizes import seeds_per_kg_of

_ASK = "not said"


def tag_lines(plan: Plan, q: Quantities) -> list[str]:
    """The tags of a plan: live seed and rates of each lot, then what else its tag says and how old its test is."""
    sowings = plan.job.working.sowings
    sown = {
        (field.seed.mix, part.species, part.lot): part
        for field in plan.fields
        for box in field.seed.boxes
        for part in box.components
    }
    rows: list[tuple[str, ...]] = []
    for mix in plan.job.mixes:
        parts = [
            (component, sown[mix.name, component.species, component.lot])
            for component in mix.components
            if (mix.name, component.species, component.lot) in sown
        ]
        for i, (component, part) in enumerate(parts):
            pls_kg_per_m2, seeds = part.pls_kg_per_m2 * sowings, "–"
            if (seeds_per_kg := seeds_per_kg_of(component)) is not None:
                seeds = f"{pls_kg_per_m2 * seeds_per_kg * q.small_area_m2:.1f}"
            rows.append(
                (
                    mix.name if i == 0 else "",
                    lot_name(component.species, component.lot) + (", TREATED" if component.treated else ""),
                    component.box,
                    percent(component.purity_frac, 1),
                    _live(component),
                    percent(component.pls_frac, 1),
                    q.mass_rate(pls_kg_per_m2),
                    seeds,
                    q.mass_rate(part.bulk_kg_per_m2 * sowings),
                )
            )
        if len(parts) > 1:
            rows.append(_all_of_mix(parts, sowings, q))
    header = (
        "mix",
        "seed",
        "box",
        "pure",
        "germ + hard + dormant",
        "PLS",
        "PLS rate",
        f"seeds/{q.small_area_unit}",
        "bulk rate",
    )
    text = "PLS = pure live seed = pure × (germination + hard + dormant); bulk rate = PLS rate / PLS."
    return [*table(header, rows, left=3), *paragraph(text), "", *_lines(plan)]


def _all_of_mix(
    parts: Sequence[tuple[Component, SownComponent]], sowings: int, q: Quantities
) -> tuple[str, ...]:
    """The sums of a mix; its seeds are those of all lots whose seed size is known."""
    sizes = [seeds_per_kg_of(component) for component, _ in parts]
    seeds = sum(part.pls_kg_per_m2 * size for (_, part), size in zip(parts, sizes, strict=True) if size)
    return (
        "",
        "all, seeds where known" if None in sizes else "all",
        *("",) * 4,
        q.mass_rate(sum(part.pls_kg_per_m2 for _, part in parts) * sowings),
        f"{seeds * sowings * q.small_area_m2:.1f}",
        q.mass_rate(sum(part.bulk_kg_per_m2 for _, part in parts) * sowings),
    )


def _live(component: Component) -> str:
    if component.viability == "TZ":
        return f"{component.tz_frac or 0:.4%}".rstrip("0%").rstrip(".") + " % by TZ"
    shares = (component.germination_frac, component.hard_frac, component.dormant_frac)
    return " + ".join(f"{share * 100:.4g}" for share in shares) + " %"


def _lines(plan: Plan) -> list[str]:
    """Each lot once: its test and until when it may be sold by it, seed form, origin, weeds and other crop."""
    law, on = plan.job.seed_law, plan.job.booking.start or plan.today
    limit = limit_counted(law)
    assert limit.months is not None
    lots = {(lot.species, lot.lot): lot for mix in plan.job.mixes for lot in mix.components}
    rows = []
    for lot in lots.values():
        tested = lot.last_test
        rows.append(
            (
                lot_name(lot.species, lot.lot),
                f"{tested:%b %Y}{' by TZ' if lot.viability == 'TZ' else ''}" if tested else _ASK,
                counted(age_months(tested, on), "month") if tested else "–",
                f"{sold_through(tested, limit.months):%d %b %Y}" if tested else "–",
                lot.form or "–",
                lot.origin or _ASK,
                ", ".join(lot.noxious) or _ASK,
                _share(lot.weed_frac),
                _share(lot.other_crop_frac),
            )
        )
    header = ("tag", "tested", "age", "sold through", "form", "origin", "noxious", "weed", "other crop")
    if limit.state == FEDERAL:
        where = "across state lines; states have limits of their own, see [seed_law]"
    else:
        where = "by the limit of the job file" if law.max_months is not None else f"in {limit.state}"
    text = (
        f"Age = months from the test to {on:%d %b %Y}. Sold through = the last day on which seed may be sold by that test {where}: "
        f"{limit.months} months after the month of the test ({limit.source or limit.remark}). The limit is on sale, not on sowing."
    )
    return [*table(header, rows, left=7), *paragraph(text)]


def _share(share: float | None) -> str:
    return _ASK if share is None else percent(share, 2)
