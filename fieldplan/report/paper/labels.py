"""Seed labels as PDF: one a batch, ten a sheet, on stock that offices sell; before them what each parcel is brought."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from fieldplan.model.budget import Batch, BoxChange, Portion
from fieldplan.model.plan import Plan
from fieldplan.report.output import Output, PlanAsked, of_bytes
from fieldplan.report.text.labels import Label, labels_of
from fieldplan.report.typeset import Paper, compiled
from fieldplan.report.words.numbers import counted
from fieldplan.report.words.plain import head_line, plain
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.seed import lot_name, parcel

_BRING = "Bring this to each parcel. Tick what is packed, then what is returned."
_STOCK = {
    ("us-letter", "us"): "4 by 2 inches",
    ("us-letter", "metric"): "102 by 51 mm",
    ("a4", "us"): "3.9 by 2.2 inches",
    ("a4", "metric"): "99 by 57 mm",
}
"""Sizes of ten-a-sheet stock; how it lies on the sheet is common practice, no source."""


def label_sheets(plan: Plan, q: Quantities, paper: Paper, *, mixed: bool = True) -> bytes:
    """A PDF of a label for every batch that is mixed, or for every other, after what each parcel is brought.

    Parameters
    ----------
    plan
        The plan of the job.
    q
        The reader's units.
    paper
        The size of the pages.
    mixed
        Labels of batches that are mixed from several lots; else of those poured from their own bags, which
        have tags.

    Raises
    ------
    MissingExtra
        If the typesetter is not installed.
    """
    every = labels_of(plan)
    wanted = [one for one in every if is_mixed(one) is mixed]
    scale_kg = plan.job.loading.scale_kg
    labels = [_label(one, f"{n} of {len(wanted)}", q, scale_kg) for n, one in enumerate(wanted, start=1)]
    return compiled(
        "labels",
        {
            "title": plain(f"Seed labels: {', '.join(parcel(field) for field in plan.fields[:MAX_NAMED])}")
            + (f" and {len(plan.fields) - MAX_NAMED} more" if len(plan.fields) > MAX_NAMED else ""),
            "paper": paper,
            "head": head_line(plan.job.drill.letterhead),
            "intro": " ".join((_BRING, *_about(len(wanted), len(every), paper, q, mixed=mixed))),
            "labels": labels,
            "manifest": _manifest(plan, q),
        },
    )


MAX_NAMED = 6
"""Fields that a title names."""


def is_mixed(one: Label) -> bool:
    """Whether a label is of more than one lot poured from its bags: of several lots, a carrier, or an emptied box."""
    return isinstance(one.of, BoxChange) or len(one.of.portions) > 1


def _about(n_labels: int, n_batches: int, paper: Paper, q: Quantities, *, mixed: bool) -> Iterator[str]:
    if n_labels:
        size = _STOCK[paper, q.system]
        yield f"Labels of {size}, two across and five down; print at actual size."
    others = n_batches - n_labels
    if others and mixed:
        yield f"{counted(others, 'batch', 'batches')} of one lot get none: pour from the bags (--write bag-labels)."


def _label(one: Label, number: str, q: Quantities, scale_kg: float) -> dict[str, Any]:
    """What a label says: where, which box, how much, of what."""
    of = one.of
    total_kg, live_kg = (sum(getattr(part, name) for part in of.portions) for name in ("bulk_kg", "pls_kg"))
    rows = [
        [
            q.weight(part.bulk_kg, scale_kg),
            plain(lot_name(part.species, part.lot)),
            _beside(of, part, q, scale_kg),
        ]
        for part in of.portions
    ]
    rows.append([q.weight(total_kg, scale_kg), "total", f"PLS {q.weight(live_kg, scale_kg)}"])
    if isinstance(of, BoxChange):
        rows.append(["", "reckoned; weighed and dated:", "________________"])
        if of.treated:
            rows.append(["", "what to do with it: see the label and local rules", ""])
    return {
        "parcel": plain(one.head),
        "number": number,
        "weight": q.weight(total_kg, scale_kg),
        "box": f"{of.box} box",
        "mix": plain(of.mix),
        "treated": of.treated,
        "which": one.use,
        "portions": rows,
    }


def _beside(of: Batch | BoxChange, part: Portion, q: Quantities, scale_kg: float) -> str:
    """What stands beside a lot: its live seed, or what is done with a carrier."""
    if not part.carrier:
        return f"PLS {q.weight(part.pls_kg, scale_kg)}"
    return "mix in well" if isinstance(of, Batch) else ""


def _manifest(plan: Plan, q: Quantities) -> dict[str, Any]:
    """What to bring to each parcel, lot by lot, with room to tick."""
    rows = [
        [
            plain(parcel(field)) if i == 0 else "",
            plain(field.seed.mix) if i == 0 else "",
            plain(lot_name(part.species, part.lot) + (", TREATED" if part.treated else "")),
            q.weight(part.need_kg, plan.job.loading.scale_kg),
            "",
            "",
        ]
        for field in plan.fields
        for i, part in enumerate(field.deliveries)
    ]
    return {"header": ["parcel", "mix", "seed", "bring", "packed", "returned"], "rows": rows}


LABELS: Output[PlanAsked] = Output(
    name="labels",
    words="PDF, a label for each batch that is mixed",
    make=lambda asked: {
        "seed-labels.pdf": of_bytes(lambda: label_sheets(asked.plan, asked.q, asked.paper))
    },
    extra="sheets",
)
BAG_LABELS: Output[PlanAsked] = Output(
    name="bag-labels",
    words="PDF, a label for each batch of one lot",
    make=lambda asked: {
        "bag-labels.pdf": of_bytes(lambda: label_sheets(asked.plan, asked.q, asked.paper, mixed=False))
    },
    extra="sheets",
)
