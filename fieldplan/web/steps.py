"""The last steps of a job as a file beside it: what undo goes back to after the job was closed and opened again."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import shapely

from fieldplan.errors import FieldplanError
from fieldplan.facts import fact
from fieldplan.files import Purpose, is_there, text_of
from fieldplan.jobfile.load import JOB_FILE
from fieldplan.jobfile.toml_faults import parsed
from fieldplan.web.draft import Draft, Drawn
from fieldplan.web.tables import Spot
from fieldplan.web.written import OF_FILE, job_text

STEPS = "steps.json"
MOST_STEPS = 30
"""Kept in a file, of those before the present draft and of those after it."""
MOST_BYTES = 2_000_000
STEPS_FILE = Purpose(what=fact("called/desk"), code="file", max_bytes=2 * MOST_BYTES, through_links=False)
_LAYERS = tuple(layer for _, layers in OF_FILE for layer in layers)


@dataclass(frozen=True, slots=True)
class Steps:
    """Drafts before the present one, the nearest last, and drafts that were taken back, the nearest last."""

    before: tuple[Draft, ...] = ()
    after: tuple[Draft, ...] = ()


def steps_text(steps: Steps, revision: int) -> str:
    """The steps as text: the nearest ones, as many as the file may hold.

    Parameters
    ----------
    revision
        That of the job when they were taken: they belong to no other.
    """
    n_steps = MOST_STEPS
    while True:
        near = Steps(steps.before[-n_steps:] if n_steps else (), steps.after[-n_steps:] if n_steps else ())
        text = _text(near, revision)
        if len(text) <= MOST_BYTES or n_steps == 0:
            return text
        n_steps //= 2


def _text(steps: Steps, revision: int) -> str:
    """Each feature and each job file once, and drafts by their numbers."""
    features: dict[str, int] = {}
    jobs: dict[str, int] = {}

    def numbered(draft: Draft) -> list[Any]:
        ground = [features.setdefault(_feature_text(one), len(features)) for one in draft.ground]
        return [jobs.setdefault(job_text(draft.tables), len(jobs)), ground, units_listed(draft.units)]

    before, after = ([numbered(draft) for draft in each] for each in (steps.before, steps.after))
    said = {
        "revision": revision,
        "before": before,
        "after": after,
        "features": [json.loads(one) for one in features],
        "jobs": list(jobs),
    }
    return json.dumps(said, ensure_ascii=False) + "\n"


def _feature_text(one: Drawn) -> str:
    return json.dumps([one.key, one.layer, shapely.to_wkb(one.geometry, hex=True), dict(one.attributes)])


def steps_in(folder: Path, revision: int) -> Steps:
    """The steps that a folder has of a revision of its job; none if there are none, or they make no sense."""
    try:
        if not is_there(folder / STEPS, STEPS_FILE):
            return Steps()
        said = json.loads(text_of(folder / STEPS, STEPS_FILE))
        if said["revision"] != revision:
            return Steps()
        features = [_feature(*one) for one in said["features"]]
        jobs = [parsed(text.encode(), folder / STEPS, JOB_FILE) for text in said["jobs"]]
        return Steps(_drafts(said["before"], features, jobs), _drafts(said["after"], features, jobs))
    except (FieldplanError, shapely.errors.GEOSException, *_NO_SENSE):
        return Steps()


_NO_SENSE = (ValueError, TypeError, KeyError, IndexError, AttributeError, RecursionError)
"""What reading raises of a file that somebody else has written."""


def _feature(key: str, layer: str, wkb: str, attributes: dict[str, Any]) -> Drawn:
    if layer not in _LAYERS or any(not isinstance(one, str | int | float) for one in attributes.values()):
        raise ValueError(layer)
    return Drawn(key=str(key), layer=layer, geometry=shapely.from_wkb(wkb), attributes=attributes)


def _drafts(
    listed: Sequence[tuple[int, list[int], Any]], features: Sequence[Drawn], jobs: Sequence[dict[str, Any]]
) -> tuple[Draft, ...]:
    return tuple(
        Draft(
            ground=tuple(features[number] for number in ground), tables=jobs[job], units=units_read(units)
        )
        for job, ground, units in listed[-MOST_STEPS:]
    )


def units_listed(units: Mapping[Spot, str]) -> list[Any]:
    """Units chosen in boxes without a number, as JSON has them: the place of the table, the key and the unit of each."""
    return [[list(place), key, unit] for (place, key), unit in units.items()]


def units_read(listed: object) -> dict[Spot, str]:
    """The reverse of `units_listed`; what makes no sense, as in a file that somebody changed, is left out."""
    found: dict[Spot, str] = {}
    for one in listed if isinstance(listed, list) else ():
        match one:
            case [list() as place, str() as key, str() as unit] if place and all(
                isinstance(part, str | int) for part in place
            ):
                found[tuple(place), key] = unit
    return found
