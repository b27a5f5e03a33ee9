"""From field boundaries to real acres, passes, seed, hours and days to book for a rented no-till drill.

``plan`` plans a job, ``plan_region`` every parcel of a large file by itself, ``read_fields``, ``read_job`` and
``read_season`` read what they take; results are `Plan`, `Region`, `Fields`, `Season` and `SeasonPlan`. ``species`` tells
what is published of a species, ``design_mix`` makes a mix from a target, ``read_stock`` keeps seed lots, ``season_years``
reports several seasons. Beneath them, ``load_fields``, ``load_job``, ``plan_field`` and ``plan_job`` give plain data.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

from fieldplan.facts import Part, spoken_by
from fieldplan.version import VERSION

if TYPE_CHECKING:
    from fieldplan.api.fields import Fields, read_fields
    from fieldplan.api.job import read_job
    from fieldplan.api.mix import DesignedMix, design_mix
    from fieldplan.api.plan import Plan, plan
    from fieldplan.api.region import Region, plan_region
    from fieldplan.api.season import Season, SeasonPlan, read_season
    from fieldplan.api.species import species
    from fieldplan.api.stock import Stock, read_stock
    from fieldplan.api.years import SeasonYears, season_years
    from fieldplan.boundary.load import load_fields
    from fieldplan.boundary.terms import ReadingTerms
    from fieldplan.errors import (
        BoundaryError,
        FieldplanError,
        InputError,
        JobFileError,
        MissingExtra,
        OutputError,
        PlanError,
        Problem,
        QuantityError,
        UsageError,
    )
    from fieldplan.field_planner import plan_field
    from fieldplan.jobfile.load import load_job
    from fieldplan.model.boundary import BoundaryFile
    from fieldplan.model.coverage import Coverage
    from fieldplan.model.field import Field
    from fieldplan.model.job import BookingTerms, Job, WorkingTerms
    from fieldplan.model.machine import Drill, Tractor
    from fieldplan.model.notes import Note
    from fieldplan.model.plan import FieldPlan
    from fieldplan.model.request import Request
    from fieldplan.model.seed import Mix
    from fieldplan.model.species import SpeciesFacts
    from fieldplan.model.work import Booking
    from fieldplan.planner import plan_job

__version__ = VERSION

__all__ = [
    "Booking",
    "BookingTerms",
    "BoundaryError",
    "BoundaryFile",
    "Coverage",
    "DesignedMix",
    "Drill",
    "Field",
    "FieldPlan",
    "FieldplanError",
    "Fields",
    "InputError",
    "Job",
    "JobFileError",
    "MissingExtra",
    "Mix",
    "Note",
    "OutputError",
    "Plan",
    "PlanError",
    "Problem",
    "QuantityError",
    "ReadingTerms",
    "Region",
    "Request",
    "Season",
    "SeasonPlan",
    "SeasonYears",
    "SpeciesFacts",
    "Stock",
    "Tractor",
    "UsageError",
    "WorkingTerms",
    "__version__",
    "design_mix",
    "load_fields",
    "load_job",
    "plan",
    "plan_field",
    "plan_job",
    "plan_region",
    "read_fields",
    "read_job",
    "read_season",
    "read_stock",
    "season_years",
    "species",
]

_HOMES = {
    "api.fields": ("Fields", "read_fields"),
    "api.job": ("read_job",),
    "api.mix": ("DesignedMix", "design_mix"),
    "api.plan": ("Plan", "plan"),
    "api.region": ("Region", "plan_region"),
    "api.season": ("Season", "SeasonPlan", "read_season"),
    "api.species": ("species",),
    "api.stock": ("Stock", "read_stock"),
    "api.years": ("SeasonYears", "season_years"),
    "boundary.load": ("load_fields",),
    "boundary.terms": ("ReadingTerms",),
    "errors": (
        "BoundaryError",
        "FieldplanError",
        "InputError",
        "JobFileError",
        "MissingExtra",
        "OutputError",
        "PlanError",
        "Problem",
        "QuantityError",
        "UsageError",
    ),
    "field_planner": ("plan_field",),
    "jobfile.load": ("load_job",),
    "model.boundary": ("BoundaryFile",),
    "model.coverage": ("Coverage",),
    "model.field": ("Field",),
    "model.job": ("BookingTerms", "Job", "WorkingTerms"),
    "model.machine": ("Drill", "Tractor"),
    "model.notes": ("Note",),
    "model.plan": ("FieldPlan",),
    "model.request": ("Request",),
    "model.seed": ("Mix",),
    "model.species": ("SpeciesFacts",),
    "model.work": ("Booking",),
    "planner": ("plan_job",),
}
_HOME_OF = {name: module for module, names in _HOMES.items() for name in names}


def _in_words(thing: object, part: Part) -> str:
    """Words are loaded when something is first put into them."""
    from fieldplan.report.words.sentences import in_words

    return in_words(thing, part)


spoken_by(_in_words)


def __getattr__(name: str) -> Any:
    """Load a public name when it is first asked for: help and complaints of the command line need none of
    them.
    """
    if name not in _HOME_OF:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    found = getattr(importlib.import_module(f"{__name__}.{_HOME_OF[name]}"), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    return sorted(__all__)
