"""Seed labels as PDF: one a batch, ten a sheet, on stock that offices sell; before them what each parcel is brought."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from fieldplan.model.budget import Batch
from fieldplan.model.plan import FieldPlan, Plan
from fieldplan.report.output import Output, PlanAsked, of_bytes
from fieldplan.report.text.seed_page import lot_name, parcel
from fieldplan.report.typeset import Paper, compiled
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities, counted

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
    every = [(field, batch) for field in plan.fields for batch in field.batches]
    wanted = [(field, batch) for field, batch in every if is_mixed(batch) is mixed]
    labels = [
        _label(field, batch, f"{n} of {len(wanted)}", q) for n, (field, batch) in enumerate(wanted, start=1)
    ]
    return compiled(
        "labels",
        {
            "title": plain(f"Seed labels: {', '.join(parcel(field) for field in plan.fields[:MAX_NAMED])}")
            + (f" and {len(plan.fields) - MAX_NAMED} more" if len(plan.fields) > MAX_NAMED else ""),
            "paper": paper,
            "intro": " ".join((_BRING, *_about(len(wanted), len(every), paper, q, mixed=mixed))),
            "labels": labels,
            "manifest": _manifest(plan, q),
        },
    )


MAX_NAMED = 6
"""Fields that a title names."""


def is_mixed(batch: Batch) -> bool:
    """Whether a batch is more than one lot poured from its bags: several lots, or a carrier."""
    return len(batch.portions) > 1


def _about(n_labels: int, n_batches: int, paper: Paper, q: Quantities, *, mixed: bool) -> Iterator[str]:
    if n_labels:
        size = _STOCK[paper, q.system]
        yield f"Labels of {size}, two across and five down; print at actual size."
    others = n_batches - n_labels
    if others and mixed:
        yield f"{counted(others, 'batch', 'batches')} of one lot get none: pour from the bags (--write bag-labels)."


def _label(field: FieldPlan, batch: Batch, number: str, q: Quantities) -> dict[str, Any]:
    """What a label says: where, which box, how much, of what."""
    unit = q.mass_unit
    return {
        "parcel": plain(parcel(field)),
        "number": number,
        "weight": f"{q.mass(batch.load_kg)} {unit}",
        "box": f"{batch.box} box",
        "mix": plain(batch.mix),
        "treated": batch.treated,
        "which": "spare, keep dry"
        if batch.spare
        else f"{_when(batch)} (batch {batch.number} of {batch.of})",
        "portions": [
            [
                f"{q.mass(part.bulk_kg, 2)} {unit}",
                plain(lot_name(part.species, part.lot)),
                "mix in well" if part.carrier else f"PLS {q.mass(part.pls_kg, 2)}",
            ]
            for part in batch.portions
        ]
        + [[f"{q.mass(batch.load_kg, 2)} {unit}", "total", f"PLS {q.mass(batch.pls_kg, 2)}"]],
    }


def _when(batch: Batch) -> str:
    return "start" if batch.number == 1 else f"stop {batch.number - 1}"


def _manifest(plan: Plan, q: Quantities) -> dict[str, Any]:
    """What to bring to each parcel, lot by lot, with room to tick."""
    rows = [
        [
            plain(parcel(field)) if i == 0 else "",
            plain(field.seed.mix) if i == 0 else "",
            plain(lot_name(part.species, part.lot)),
            f"{q.mass(part.need_kg, 2)} {q.mass_unit}",
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
