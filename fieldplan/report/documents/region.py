"""A region's sums, and what its file holds, as documents."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fieldplan.model.region import Fleet, Group, Outline, Region
from fieldplan.report.documents.document import Document, Part
from fieldplan.report.words.hours import hours
from fieldplan.report.words.numbers import counted, odds_text, percent
from fieldplan.report.words.plain import cell
from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.years import range_text

MOST_SHOWN = 30
"""Rows of a table that are printed; the files hold all."""
_NO_VALUE = "(none)"
_DRILLS = ("", "job", "drills", "fieldwork days each", "days to book")


def region_document(region: Region, q: Quantities) -> Document:
    """In short, sums, drills, seed, parcels not planned, how sure, and how it was calculated."""
    whole = region.all
    about = f"{counted(region.n_rows, 'parcel')}."
    if region.n_drawn is not None:
        about = f"A sample of {q.count(region.n_drawn)} of {counted(region.n_rows, 'parcel')}: all sums are estimates."
    parts = [
        Part(name="In short", lines=tuple(_short(region, q)), listed=True),
        _sums(region, q),
        _drills(region),
        _seed(whole, q),
        Part(
            name="Not planned",
            header=("why", "parcels"),
            rows=tuple((code, q.count(n)) for code, n in whole.refused.items()),
        ),
        Part(name="How sure", lines=tuple(_how_sure(region, q)), listed=True),
        Part(name="How it was calculated", lines=tuple(_how()), listed=True),
    ]
    return Document(
        title=f"{region.name}: all parcels, one by one",
        about=(about,),
        parts=tuple(part for part in parts if part.rows or part.lines),
    )


def _plus_minus(total: str, error: str) -> str:
    return f"{total}, give or take {error}"


def _short(region: Region, q: Quantities) -> Iterator[str]:
    whole = region.all
    planned = f"{q.count(whole.n_planned)} of {counted(whole.n_rows, 'parcel')} planned"
    not_planned = f"; {q.count(whole.n_refused)} not" if whole.n_refused else ""
    yield f"{planned}{not_planned}."
    area, work = whole.amounts["plantable_m2"], whole.amounts["job_s"]
    ground, time = q.area(area.total, 0), hours(work.total)
    if region.n_drawn is not None:
        ground = _plus_minus(ground, q.area(2 * area.error, 0))
        time = _plus_minus(time, hours(2 * work.error))
    yield f"To sow: {ground} {q.area_word}. Hours of all jobs: {time}, {hours(whole.amounts['field_s'].total)} of them in the fields."
    for fleet in whole.fleets:
        yield _fleet_line(fleet)


def _fleet_line(fleet: Fleet) -> str:
    drills = counted(fleet.n_drills, "drill")
    days = (
        f"done in {counted(fleet.days, 'day')} with {odds_text(fleet.confidence_prob)} confidence"
        if fleet.days is not None
        else "not done within a year"
    )
    each = "each " if fleet.n_drills > 1 else ""
    line = f"{cell(fleet.job)}: {drills}, {each}{counted(fleet.fieldwork_days, 'fieldwork day')}, {days}."
    if fleet.finish_by is None:
        return f"{line} Drills needed for a season: give start and finish_by in [booking]."
    season = f"by {fleet.finish_by:%a %d %b %Y}"
    if fleet.needed is None:
        return f"{line} No number of drills is done {season} with that confidence."
    return f"{line} Needed to be done {season}: {counted(fleet.needed, 'drill')} ({odds_text(fleet.needed_prob or 0.0)})."


def _sums(region: Region, q: Quantities) -> Part:
    def row(group: Group) -> tuple[str, ...]:
        amounts = group.amounts
        value = f"{group.by}: {group.value or _NO_VALUE}" if group.by else "all"
        return (
            cell(value),
            q.count(group.n_planned),
            q.count(group.n_refused),
            q.area(amounts["plantable_m2"].total, 0),
            q.area(amounts["drilled_m2"].total, 0),
            q.area(amounts["missed_m2"].total, 0),
            q.count(amounts["passes"].total),
            q.count(amounts["field_s"].total / 3600),
            q.count(amounts["job_s"].total / 3600),
        )

    return Part(
        name="Sums",
        header=(
            "",
            "planned",
            "not",
            f"{q.area_word} to sow",
            "drilled",
            "missed",
            "passes",
            "field h",
            "job h",
        ),
        rows=tuple(row(group) for group in region.groups[: MOST_SHOWN + 1]),
        lines=_more(len(region.groups) - MOST_SHOWN - 1, "summary.csv"),
    )


def _more(n: int, file: str) -> tuple[str, ...]:
    return (f"And {n:,} more in {file}.",) if n > 0 else ()


def _drills(region: Region) -> Part:
    fleets = [(group, fleet) for group in region.groups for fleet in group.fleets]
    with_season = any(fleet.finish_by is not None for _, fleet in fleets)

    def row(group: Group, fleet: Fleet) -> tuple[str, ...]:
        cells = (
            cell(f"{group.by}: {group.value or _NO_VALUE}" if group.by else "all"),
            cell(fleet.job),
            f"{fleet.n_drills:,}",
            f"{fleet.fieldwork_days:,}",
            "over a year" if fleet.days is None else f"{fleet.days:,}",
        )
        odds = "" if fleet.season_prob is None else odds_text(fleet.season_prob)
        needed = "" if fleet.needed is None else f"{fleet.needed:,}"
        return (*cells, odds, needed) if with_season else cells

    return Part(
        name="Days and drills",
        header=(*_DRILLS, "odds by the end", "drills needed") if with_season else _DRILLS,
        left=2,
        rows=tuple(row(group, fleet) for group, fleet in fleets[: MOST_SHOWN + 1]),
        lines=_more(len(fleets) - MOST_SHOWN - 1, "drills.csv"),
    )


def _seed(whole: Group, q: Quantities) -> Part:
    return Part(
        name="Seed to order",
        header=("species", "lot", f"sown, {q.mass_unit}", f"needed, {q.mass_unit}", "bags"),
        left=2,
        rows=tuple(
            (
                cell(line.species),
                cell(line.lot),
                q.mass(line.sown_kg, 0),
                q.mass(line.need_kg, 0),
                q.count(line.bags),
            )
            for line in whole.seed
        ),
        lines=tuple(
            f"Carrier: {q.mass(kg, 0)} {q.mass_unit} of {cell(name)}."
            for name, kg in whole.carriers_kg.items()
        ),
    )


def _how_sure(region: Region, q: Quantities) -> Iterator[str]:
    whole = region.all
    if region.n_drawn is not None:
        yield (
            "Of the sample, a quarter are the largest outlines of the file; the others are drawn by size, and each stands for others of its "
            "size. What is given or taken is twice the standard error: in a trial on 2,000 parcels 18 to 19 of 20 samples of 100 rows or "
            "more came that close to the acres and hours of all, of 40 rows 15 to 16, of 20 rows 11. Bags, days and drills are of the "
            "middle estimate."
        )
    if whole.n_refused:
        more_s = whole.if_refused_too_s - whole.amounts["job_s"].total
        yield (
            f"The {counted(whole.n_refused, 'parcel')} not planned {'has' if whole.n_refused == 1 else 'have'} {q.area(whole.refused_m2, 0)} "
            f"{q.area_word} as far as their outlines tell; at the pace of the others that is {hours(more_s)} more."
        )
    for fleet in whole.fleets:
        if fleet.season_prob is not None and fleet.range_prob is not None:
            yield (
                f"{cell(fleet.job)}: the odds by the end of the season, {odds_text(fleet.season_prob)}, are counted over years of weather; "
                f"{range_text(fleet.range_prob)}."
            )
    missed = whole.amounts["missed_m2"].total
    if whole.amounts["plantable_m2"].total:
        yield f"Missed ground is {percent(missed / whole.amounts['plantable_m2'].total, 1)} of the ground to sow."


def _how() -> Iterator[str]:
    yield "Each parcel is planned by itself: it is a job from pick-up to return of the drill, with seed of its own."
    yield "Who rents for several parcels at once needs fewer hours, down to those in the fields, and less seed is left in the boxes."
    yield "Drills share the work evenly and have the same weather. Moves of drills between renters do not count."
    yield "Overlaps between parcels are not looked for."


def dry_run_document(outline: Outline, q: Quantities) -> Document:
    """What a file holds and what is left to plan."""
    in_groups = f" in {counted(outline.n_groups, 'row group')}" if outline.kind == "GeoParquet" else ""
    lines = [
        f"{outline.kind}, {counted(outline.n_rows, 'row')}{in_groups}.",
        f"{counted(outline.n_vertices, 'vertex', 'vertices')}; {counted(outline.n_empty, 'row')} without an outline.",
    ]
    if outline.attributes:
        named = ", ".join(cell(name) for name in outline.attributes[:MOST_SHOWN])
        n_more = len(outline.attributes) - MOST_SHOWN
        lines.append(f"Attributes to add up by: {named}{f' and {n_more} more' if n_more > 0 else ''}.")
    if outline.n_drawn is not None:
        lines.append(f"A sample of {counted(outline.n_drawn, 'row')} would be planned.")
    if outline.bounds_deg is not None:
        west, south, east, north = outline.bounds_deg
        lines.append(
            f"From {_side(south, 'N', 'S')} to {_side(north, 'N', 'S')}, from {_side(west, 'E', 'W')} to {_side(east, 'E', 'W')}."
        )
    n_left = outline.n_parts - outline.n_parts_done
    lines.append(
        f"{q.count(outline.n_rows_done)} rows are planned already; {counted(n_left, 'part')} of {q.count(outline.n_parts)} {'is' if n_left == 1 else 'are'} left."
    )
    return Document(
        title=f"{outline.name}: what it holds",
        about=(),
        parts=(Part(lines=tuple(lines), listed=True), *_values(outline)),
    )


def _side(degrees: float, positive: str, negative: str) -> str:
    """A latitude or longitude with the side on which it lies."""
    return f"{abs(degrees):.4f}° {positive if degrees >= 0 else negative}"


def _values(outline: Outline) -> Sequence[Part]:
    return [
        Part(
            name=cell(name),
            header=("", "rows"),
            rows=tuple(
                (cell(value or _NO_VALUE), f"{n:,}") for value, n in list(counts.items())[:MOST_SHOWN]
            ),
            lines=_more(len(counts) - MOST_SHOWN, "the file"),
        )
        for name, counts in outline.values.items()
    ]
