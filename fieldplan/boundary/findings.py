"""What is gathered while a boundary file is read."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from pyproj import CRS
from shapely import MultiPolygon, Polygon

from fieldplan.boundary.layer import Feature, Layer
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import Problem, placed
from fieldplan.facts import Fact, Value
from fieldplan.model.boundary import LayerFound
from fieldplan.model.notes import Note


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """One field's outline, mended, before overlaps are settled."""

    name: str
    ground: MultiPolygon
    feature: Feature
    crs: CRS


class Findings:
    """What is gathered while a file is read: outlines, notes, and problems (with ``skip_bad``, notes about
    what is left out instead).

    Attributes
    ----------
    first
        The polygons of the first outline as drawn, in longitude and latitude.
    """

    def __init__(self, path: Path, terms: ReadingTerms) -> None:
        self.path, self.terms = path, terms
        self.drawn: dict[str, Outline] = {}
        self.first: list[Polygon] = []
        self.layers: list[LayerFound] = []
        self.notes: list[Note] = []
        self.problems: list[Problem] = []
        self.ids: Counter[str] = Counter()
        self.number = 0

    def refuse(self, problems: Sequence[Problem], about: str = "") -> None:
        """Record problems of one feature or field: the file is refused for them, or the feature left out.

        Parameters
        ----------
        about
            Which feature or field, if the problems do not say so themselves.
        """
        if about:
            problems = [placed(problem, file=str(self.path), about=about) for problem in problems]
        if self.terms.skip_bad:
            self.notes += [
                Note(code="feature-left-out", values={"problem": problem}) for problem in problems
            ]
        else:
            self.problems += problems

    def take(
        self, notes: Sequence[Note], problems: Sequence[Problem], layers: Sequence[LayerFound]
    ) -> None:
        """Add what other findings gathered; notes that are here already are not said again."""
        self.notes += [note for note in notes if note not in self.notes]
        self.problems += problems
        self.layers += layers

    def take_layer(
        self, layer: Layer, system: str, n_fields: int, left_out: Counter[Fact], *, alone: bool
    ) -> None:
        """Record what came of a layer, with a note for each reason why features of it are left out.

        Parameters
        ----------
        system
            Its reference system.
        alone
            Whether the file has no other layer.
        """
        self.layers.append(
            LayerFound(
                name=layer.name,
                reference_system=system,
                n_features=len(layer.features),
                n_fields=n_fields,
                left_out=dict(left_out),
            )
        )
        of_which: dict[str, Value] = {} if alone else {"layer": layer.name}
        self.notes += [
            Note(
                code="features-left-out",
                case="" if alone else "layer",
                values={**of_which, "n_features": n, "reason": reason},
            )
            for reason, n in left_out.items()
        ]
