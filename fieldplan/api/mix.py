"""A mix designed from a target, for a notebook."""

from __future__ import annotations

from collections.abc import Mapping
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fieldplan.api.reader import hints
from fieldplan.api.result import Result
from fieldplan.api.tables import as_toml
from fieldplan.errors import UsageError
from fieldplan.jobfile.target import load_targets, targets_of
from fieldplan.model.mix_design import Design
from fieldplan.report.data.mix import mix_object, mix_toml
from fieldplan.report.documents.mix import mix_document
from fieldplan.report.files import write_files
from fieldplan.report.output import MixAsked
from fieldplan.report.outputs import MIX, writers_of
from fieldplan.report.text.document import document_text
from fieldplan.report.typeset import Paper
from fieldplan.report.words.quantities import System
from fieldplan.seed.mix_design import design

if TYPE_CHECKING:
    from pandas import DataFrame

TargetSource = str | PathLike[str] | Mapping[str, Any]


class DesignedMix(Result):
    """A mix that meets a target; made by `design_mix`.

    Attributes
    ----------
    model
        Rates, costs and limits as data in SI; ``model.mix`` is a `Mix` for a job.
    """

    def __init__(self, model: Design, units: System = "us") -> None:
        super().__init__(model.notes, units)
        self.model = model

    def lots(self) -> DataFrame:
        """A row a lot: live seeds/m², rates in kg/m², cost a m², need and what to buy in kg."""
        import pandas

        return pandas.DataFrame(self.to_dict()["lots"])

    def to_dict(self) -> dict[str, Any]:
        """What ``fieldplan mix --json`` prints: nested dicts and lists, in SI."""
        return mix_object(self.model)

    def toml(self) -> str:
        """The mix as ``[[mix]]`` of a job file, ready to plan with."""
        return mix_toml(self.model)

    def text(self) -> str:
        """The whole page that ``fieldplan mix`` prints."""
        return document_text(mix_document(self.model, self._q))

    def write(
        self,
        folder: str | PathLike[str],
        *,
        units: System | None = None,
        paper: Paper = "us-letter",
        force: bool = False,
    ) -> list[Path]:
        """Write the files that ``fieldplan mix --out`` writes: all of them, or none.

        Parameters
        ----------
        folder
            Made if it is not there.
        units
            "us" or "metric", if other than those of the mix.
        paper
            "us-letter" or "a4".
        force
            Overwrite files that are there.

        Returns
        -------
        list of Path
            The files written.

        Raises
        ------
        UsageError
            If a file is there already and ``force`` is not set.
        MissingExtra
            If a library that is needed is not installed.
        """
        with self._on_paper(paper, units) as q:
            asked = MixAsked(design=self.model, q=q, paper=paper)
            return write_files(Path(folder), writers_of(MIX, asked), force=force)

    def __repr__(self) -> str:
        return "\n".join(self.text().splitlines()[:2])


def design_mix(target: TargetSource, name: str | None = None, *, units: System = "us") -> DesignedMix:
    """Design a mix: the cheapest that meets a target, or the one with the most seeds.

    Parameters
    ----------
    target
        The path of a file with ``[[target]]``, such as ``sample_fields/target.toml``, or a mapping with the same
        tables and keys.
    name
        Which target, if there are several.
    units
        "us" or "metric": the units in which the result describes itself.

    Raises
    ------
    JobFileError
        With every problem of the target and its lots.
    PlanError
        If no mix meets it, with demands that contradict each other.
    UsageError
        If there are several targets and none, or no such one, is named.
    MissingExtra
        If the solver is not installed.

    Examples
    --------
    >>> import fieldplan
    >>> mix = fieldplan.design_mix("target.toml")
    >>> round(mix.model.seeds_per_m2 * 0.3048**2, 1)
    40.0
    """
    with hints():
        if isinstance(target, Mapping):
            path, targets = Path("target"), targets_of(as_toml(target), Path("target"))
        else:
            path = Path(target)
            targets = load_targets(path)
        names = tuple(one.name for one in targets)
        if name is None and len(targets) > 1:
            raise UsageError.of("target-not-said", file=str(path), known=names)
        found = next((one for one in targets if name in (None, one.name)), None)
        if found is None:
            raise UsageError.of("target-unknown", file=str(path), target=str(name), known=names)
        return DesignedMix(design(found), units)
