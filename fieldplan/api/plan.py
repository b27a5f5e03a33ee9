"""The plan of a job, for a notebook."""

from __future__ import annotations

import warnings
from collections.abc import Mapping
from datetime import date
from os import PathLike
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from fieldplan.api.fields import Fields, as_fields
from fieldplan.api.job import JobSource, read_job
from fieldplan.api.reader import hints, quantities_in
from fieldplan.api.result import Result
from fieldplan.errors import InputError
from fieldplan.jobfile.days import day
from fieldplan.kernels.ahead import make_ready
from fieldplan.model.plan import FieldPlan
from fieldplan.model.plan import Plan as PlanModel
from fieldplan.planner import Progress, plan_job, setup_cards
from fieldplan.report.data.plan_json import plan_object
from fieldplan.report.files import write_files
from fieldplan.report.gis.layers import layers_of
from fieldplan.report.html.cell import plan_cell
from fieldplan.report.output import PlanAsked
from fieldplan.report.outputs import USUAL, writers_asked
from fieldplan.report.text.plan_page import short_answer, title_of, whole_page
from fieldplan.report.typeset import Paper
from fieldplan.report.words.quantities import System
from fieldplan.report.words.sentences import sentence

if TYPE_CHECKING:
    from geopandas import GeoDataFrame

    from fieldplan.api.fields import Exclusions
    from fieldplan.boundary.source import Source


class Plan(Result):
    """A finished plan; made by `plan`.

    Attributes
    ----------
    model
        Everything that was calculated, as data in SI.
    """

    def __init__(self, model: PlanModel, boundary_name: str, units: System = "us") -> None:
        super().__init__(model.notes, units)
        self.model, self._boundary_name = model, boundary_name

    @property
    def fields(self) -> Mapping[str, FieldPlan]:
        """The plan of each field by its id, in the order in which they are drilled."""
        return MappingProxyType({plan.field.field_id: plan for plan in self.model.fields})

    def layers(self) -> dict[str, GeoDataFrame]:
        """The map layers that ``fieldplan plan --write gpkg`` writes, by name, in EPSG:4326.

        ``fields``, ``headland``, ``passes``, ``turns``, ``refills``, ``missed``, ``excluded``,
        ``drive_line`` and ``gates``; lengths in m, areas in m², times in s. Layers without a feature are there, empty.
        """
        return layers_of(self.model, self._q)

    def to_dict(self, *, legs: bool = False) -> dict[str, Any]:
        """What ``fieldplan plan --json`` prints: nested dicts and lists, in SI.

        Parameters
        ----------
        legs
            Give every leg of every field's route as well.
        """
        return plan_object(self.model, legs=legs)

    def text(self) -> str:
        """The whole page that ``fieldplan plan -v`` prints, with all notes and sources."""
        return whole_page(self.model, self._boundary_name, self._q)

    def write(
        self,
        folder: str | PathLike[str],
        *names: str,
        units: System | None = None,
        paper: Paper = "us-letter",
        legs: bool = False,
        force: bool = False,
    ) -> list[Path]:
        """Write files of the plan into a folder: all of them, or none.

        Parameters
        ----------
        folder
            Made if it is not there.
        names
            What to write, as ``fieldplan plan --write`` names it, such as "page", "sheet" or "gpx"; "json"
            and "gpkg" if none is given. Of "all", what cannot be written is left out with a warning.
        units
            "us" or "metric", if other than those of the plan.
        paper
            "us-letter" or "a4".
        legs
            Give every leg of the route in the JSON.
        force
            Overwrite files that are there.

        Returns
        -------
        list of Path
            The files written, ``manifest.json`` last.

        Raises
        ------
        UsageError
            If a name is unknown, or a file is there already and ``force`` is not set.
        MissingExtra
            If an output needs a library that is not installed.
        """
        with self._on_paper(paper, units) as q:
            asked = PlanAsked(
                plan=self.model,
                cards=setup_cards(self.model),
                boundary_name=self._boundary_name,
                q=q,
                paper=paper,
                legs=legs,
            )
            writers, left_out = writers_asked(names or USUAL, asked)
            for why in left_out:
                warnings.warn(sentence(why, q), stacklevel=2)
            return write_files(Path(folder), writers, force=force)

    def __repr__(self) -> str:
        answer = short_answer(self.model, self._q)
        return f"{title_of(self.model, self._boundary_name)}\n{answer}".rstrip()

    def _repr_html_(self) -> str:
        return plan_cell(self.model, self._boundary_name, self._q)


def plan(
    fields: Source | Fields,
    job: JobSource,
    *,
    id_field: str | None = None,
    name_field: str | None = None,
    mix_field: str | None = None,
    exclusions: Exclusions | None = None,
    today: date | str | None = None,
    progress: Progress = iter,
    units: System = "us",
) -> Plan:
    """Plan a job: acres, passes, seed, refills, hours and days to book.

    Parameters
    ----------
    fields
        A boundary file, a GeoDataFrame, or what `read_fields` gave, which has more choices of how to read.
        A named index of a GeoDataFrame gives the ids of the fields.
    job
        A job file, a mapping of its tables, or a `Job`.
    id_field, name_field, mix_field
        Columns or attributes that hold a field's id, name and mix.
    exclusions
        Ground that is not to be sown, each feature with a ``reason``: a file, a GeoDataFrame or several.
    today
        The day on which the plan is made, on which the age of seed tests depends; the current day if not
        given.
    progress
        Wraps the fields as they are planned, such as a progress bar.
    units
        "us" or "metric": the units in which the plan describes itself.

    Raises
    ------
    FieldplanError
        `BoundaryError` or `JobFileError` with every problem of an input, each naming the feature or key.
    TypeError
        If ``fields`` or ``job`` is of another type.

    Examples
    --------
    >>> import fieldplan
    >>> plan = fieldplan.plan("farm.geojson", "farm.toml", today="2027-04-01")
    >>> plan.model.booking.suggested_days
    19
    >>> sorted(plan.layers())
    ['drive_line', 'excluded', 'fields', 'gates', 'guides', 'headland', 'missed', 'over_grade', 'passes', 'refills', 'slope', 'turns']
    """
    quantities_in(units)
    with hints():
        made_on = _day(today)
        checked = read_job(job)
        ready = as_fields(
            fields,
            units,
            id_field=id_field,
            name_field=name_field,
            mix_field=mix_field,
            exclusions=exclusions,
        )
        make_ready()
        model = plan_job(ready.for_job(checked), checked, progress, today=made_on)
    return Plan(model, ready.name, units)


def _day(today: date | str | None) -> date:
    """The day that was given, or the current one."""
    try:
        return date.today() if today is None else day(today)
    except InputError as error:
        raise InputError.from_other(error, about="today") from None
