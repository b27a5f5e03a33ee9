"""What a plan of a draft still needs: all of it from the first, so that the count does not grow while boxes are filled in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from fieldplan.errors import InputError, Problem
from fieldplan.jobfile.load import Examined, examined
from fieldplan.jobfile.rates import rate
from fieldplan.seed.choosing import mix_problem
from fieldplan.web.draft import Draft
from fieldplan.web.tables import Spot, by_spot, rows_at, table_at, value_at
from fieldplan.web.written import FIELDS, JOB

_OF_SPECIES = ("box-not-said", "form-missing", "species-unknown")
"""Codes of what a species asks for besides: as long as it is not settled, the species is one thing to settle."""
_BESIDES = (*_OF_SPECIES, "box-unknown", "carrier-unknown", "carrier-to-what")
"""Codes of what is asked of a lot only once nothing else is missing."""
_SAID_OF_LOT = ("species", "box", "form", "variety", "seeds_per_pound", "carrier")
_A_DRILL = {"name": "drill", "rows": 16, "row_spacing": "7.5 in", "turning_radius": "20 ft"}
_A_LOT = {
    "species": "wheat",
    "rate": "60 lb/ac bulk",
    "purity": "95 %",
    "germination": "90 %",
    "bulk_weight": "60 lb/bu",
}
_A_VOLUME = "20 ft3"
_NO_BOX_YET = {"name": "grain", "kind": "grain"}
"""What the button that adds a box fills in."""


def with_least(tables: Mapping[str, Any]) -> dict[str, Any]:
    """The tables with an empty one of each that a plan cannot do without: a seed box, a mix, a lot in each mix."""
    drill = tables.get("drill", {})
    changed = dict(tables)
    if isinstance(drill, Mapping) and "use" not in drill and not drill.get("box"):
        changed["drill"] = {**drill, "box": [_NO_BOX_YET]}
    mixes = rows_at(tables, ("mix",)) or [{}]
    changed["mix"] = [
        {**mix, "component": [{}]}
        if isinstance(mix, Mapping) and "use" not in mix and not mix.get("component")
        else mix
        for mix in mixes
    ]
    return changed


def examined_whole(draft: Draft, path: Path) -> Examined:
    """What the job file's checker says of a draft's tables, with all that a plan will ask for besides.

    The problems are also those of tables that are still to be added, of lots that are otherwise complete, and of fields
    whose mix is open; their places are those of `with_least`.

    Parameters
    ----------
    draft
        Fields and tables.
    path
        Where the job file stands: files that it names lie beside it.
    """
    found = examined(draft.tables, path)
    problems: tuple[Problem, ...] = found.problems
    if found.job is None:
        whole = with_least(draft.tables)
        problems = problems if whole == draft.tables else examined(whole, path).problems
        problems += tuple(one for one in _besides(draft.tables, path) if one not in problems)
    problems += tuple(_of_fields(draft, path))
    return replace(found, job=None if problems else found.job, problems=problems)


def things(draft: Draft, problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """One problem for each thing that a person has to fill in or to mend.

    Parameters
    ----------
    draft
        What the problems are about.
    problems
        Those of `examined_whole`.
    """
    found: dict[object, Problem] = {}
    of_job = [one for one in problems if one.file.rpartition("/")[2] == JOB or "field" in one.values]
    for spot, each in by_spot(with_least(draft.tables), of_job).items():
        for one in each:
            if isinstance(one, Problem):
                found.setdefault(id(one) if spot == ((), "") else thing(spot, one), one)
    for one in problems:
        if one not in of_job:
            found.setdefault(one.file, one)  # what is wrong in a file is mended in that file
    return tuple(found.values())


def thing(spot: Spot, one: Problem) -> Spot:
    """The box at which a problem is counted."""
    return (spot[0], "species") if one.code in _OF_SPECIES else spot


def _besides(tables: Mapping[str, Any], path: Path) -> list[Problem]:
    """What the lots of a job will be asked for when all else is filled in: found by filling it in for once."""
    filled = {
        "drill": _filled_drill(table_at(tables, ("drill",))),
        "mix": [_filled_mix(mix) for mix in rows_at(tables, ("mix",))],
    }
    return [one for one in examined(filled, path).problems if one.code in _BESIDES]


def _filled_drill(drill: Mapping[str, Any]) -> Mapping[str, Any]:
    """A drill that can be read, with its boxes; while there is none, or its kind is open, nothing is asked of boxes."""
    if "use" in drill:
        return drill
    boxes = [
        {"name": box.get("kind"), "volume": _A_VOLUME, **_kept(box, ("name", "kind", "metering"))}
        for box in rows_at({"drill": drill}, ("drill", "box"))
        if isinstance(box, Mapping)
    ]
    return {**_A_DRILL, "box": boxes}


def _filled_mix(mix: Any) -> Any:
    """A mix with those of its lots whose species is said, each complete but for what that species may need."""
    if not isinstance(mix, Mapping) or "use" in mix:
        return mix
    lots = rows_at({"mix": mix}, ("mix", "component"))
    said = [lot for lot in lots if isinstance(lot, Mapping) and lot.get("species")]
    return {**mix, "component": [{**_A_LOT, **_kept(lot, _SAID_OF_LOT), **_rate_of(lot)} for lot in said]}


def _rate_of(lot: Mapping[str, Any]) -> dict[str, Any]:
    try:
        rate(lot.get("rate"))
    except InputError:
        return {}
    return _kept(lot, ("rate",))


def _kept(table: Mapping[str, Any], keys: Iterable[str]) -> dict[str, Any]:
    return {key: table[key] for key in keys if key in table}


def _of_fields(draft: Draft, path: Path) -> Iterable[Problem]:
    """Fields whose mix is open, or is none of the job's."""
    mixes = [mix for mix in rows_at(draft.tables, ("mix",)) if isinstance(mix, Mapping)]
    known = tuple(str(mix.get("name", "")) for mix in mixes)
    for drawn in draft.of_layer("fields") if mixes and not any("use" in mix for mix in mixes) else ():
        field_id = str(drawn.attributes.get("id", ""))
        named = value_at(draft.tables, ("field", field_id), "mix") or drawn.attributes.get("mix")
        if named and "" in known:
            continue  # the mix that has no name yet may become the one
        found = mix_problem(
            field_id, str(named) if named else None, known, file=path.parent / FIELDS, job=path
        )
        if found is not None:
            yield found
