"""What a weather record says of fieldwork days, as a document."""

from __future__ import annotations

import calendar
from collections.abc import Iterator
from pathlib import Path

from fieldplan.model.notes import Note
from fieldplan.model.record_study import METHOD_DAYS, METHOD_NEEDED, Methods, RecordStudy
from fieldplan.report.documents.document import Document, Part
from fieldplan.report.words.notes import note_sentences, warning_sentences
from fieldplan.report.words.numbers import counted, odds_text, percent
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.sources import sources_of
from fieldplan.report.words.years import range_text

LAYOUTS = {
    "dly": "GHCN-Daily, fixed columns",
    "long": "GHCN-Daily, a value a row",
    "wide": "GHCN-Daily, a day a row, in tenths",
    "ordered": "GHCN-Daily as ordered, a day a row",
    "plain": "a table with named columns",
}


def weather_document(study: RecordStudy, notes: tuple[Note, ...], q: Quantities) -> Document:
    """The record, fieldwork days by month and rule, how reliable odds are, three ways to make them, and notes.

    Parameters
    ----------
    notes
        Notes on the record, its rules and the survey that sets the level.
    """
    record = study.record
    station = f" (station {record.station})" if record.station else ""
    return Document(
        title=f"{Path(record.name).name}: fieldwork days",
        about=(
            f"{LAYOUTS[record.layout]}{station}: {record.first:%d %b %Y} to {record.last:%d %b %Y}, "
            f"{counted(record.n_days, 'day')}, {study.n_missing:,} of them not known.",
        ),
        parts=(
            _months(study),
            _reliability(study),
            _methods(study),
            Part(
                name="Notes",
                lines=(*warning_sentences(notes, q), *note_sentences(notes, q)),
                listed=True,
            ),
        ),
        sources=tuple(sources_of(notes)),
    )


def _months(study: RecordStudy) -> Part:
    rows = tuple(
        (one.rule.name, *("–" if share is None else f"{share * 100:.0f}" for share in one.by_month))
        for one in study.rules
    )
    lines = ["Percent of days that are fieldwork days."]
    lines += [
        f"{one.rule.name}: {one.level_days[0]:.1f} days in the survey's window, with the wait {one.level_days[1]:.1f}."
        for one in study.rules
        if one.level_days is not None
    ]
    return Part(
        name="Fieldwork days by month",
        header=("rule", *calendar.month_abbr[1:]),
        rows=rows,
        lines=tuple(lines),
    )


def _reliability(study: RecordStudy) -> Part:
    rows = tuple(
        (
            one.rule,
            f"{one.n_cases:,}",
            f"{one.brier:.3f}",
            percent(one.off_prob, 1),
            percent(one.stated_prob),
            percent(one.true_frac),
        )
        for one in study.reliability
    )
    return Part(
        name="How often stated odds came true",
        header=("rule", "cases", "Brier score", "odds off by", "odds of 70–90 %", "came true"),
        rows=rows,
        lines=(
            "Each year predicted from the others: the odds stated for it against what it was. A plan takes the first rule unless you choose one.",
        ),
    )


def _methods(study: RecordStudy) -> Part:
    return Part(
        name="Three ways to make odds",
        header=("from", "fit days", "persistence", "years", "", "by years", "chain", "independent days"),
        rows=tuple(tuple(_row(one)) for one in study.methods),
        left=1,
        lines=(
            f"Odds of {METHOD_NEEDED} fieldwork days within {METHOD_DAYS}, by the first rule above. Years are counted; chain and independent days are given the same share of fieldwork days.",
        ),
    )


def _row(one: Methods) -> Iterator[str]:
    yield f"{one.start:%d %b}"
    yield percent(one.fit_frac)
    yield f"{one.persistence_frac:.2f}"
    yield f"{one.n_met} of {one.n_years}"
    yield range_text(one.range_prob)
    yield odds_text(min(0.999, one.n_met / one.n_years))
    yield odds_text(min(0.999, one.chain_prob))
    yield odds_text(min(0.999, one.independent_prob))
