"""The page of species: what is published of each, in words and figure by figure, and the sources."""

from __future__ import annotations

from collections.abc import Sequence

from fieldplan.model.species import SpeciesFacts
from fieldplan.report.text.table import paragraph, table
from fieldplan.report.words.plain import plain
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.species import (
    figure_text,
    quantity_name,
    species_lines,
    species_sources,
    species_title,
)


def species_block(facts: SpeciesFacts, q: Quantities, state: str = "") -> list[str]:
    """A species on the seed page: its names, then what is known of it.

    Parameters
    ----------
    state
        The state whose days of sowing to show.
    """
    lines = paragraph(species_title(facts))
    return lines + [
        line for text in species_lines(facts, q, state) for line in paragraph(text, bullet="- ", indent=4)
    ]


def species_page(found: Sequence[SpeciesFacts], q: Quantities) -> str:
    """Species as text: a summary, every figure with its source, and the sources by key."""
    lines: list[str] = []
    for facts in found:
        lines += [plain(species_title(facts)), ""]
        if facts.other_names:
            lines += paragraph(f"Also: {', '.join(facts.other_names)}.")
        lines += [line for text in species_lines(facts, q) for line in paragraph(text)]
        rows = [
            (
                quantity_name(one.quantity),
                figure_text(one, q),
                _about(one.form, one.variety),
                one.source,
                one.place,
                _about(one.note, one.unfit),
            )
            for one in facts.printed
        ]
        if rows:
            lines += ["", *table(("what", "figure", "of", "source", "there", "note"), rows, left=6)]
        lines.append("")
    lines += ["SOURCES"]
    lines += [
        line
        for one in species_sources(found, every=True)
        for line in paragraph(f"{one.key}: {one.title}", bullet="- ")
    ]
    lines += ["", *paragraph("Nothing here replaces the label, the seed supplier or the law of the place.")]
    return "\n".join(lines) + "\n"


def _about(*texts: str) -> str:
    return "; ".join(text for text in texts if text)
