"""Layers of edges and of guides, beside the outlines: placed once, then looked through for one field after the other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from fieldplan.boundary.edge_lines import EdgeLines, edge_lines, ready_edges, says_edges
from fieldplan.boundary.findings import Findings
from fieldplan.boundary.guide_lines import GUIDE_ELSEWHERE, guide_lines, says_guides
from fieldplan.boundary.layer import Layer
from fieldplan.boundary.line_tree import LineTree, line_tree
from fieldplan.boundary.located import lines_of
from fieldplan.boundary.read import layers_in
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import BoundaryError, Problem
from fieldplan.facts import fact
from fieldplan.model.boundary import LayerFound
from fieldplan.model.notes import Note


@dataclass(frozen=True, slots=True, kw_only=True)
class Aside:
    """What lies beside the outlines of a file, in longitude and latitude.

    Parameters
    ----------
    edges, guides
        Lines along edges, and lines that passes follow.
    notes, problems, layers
        What was found as they were read.
    """

    edges: EdgeLines = field(default_factory=lambda: ready_edges(()))
    guides: LineTree = field(default_factory=lambda: line_tree((), GUIDE_ELSEWHERE))
    notes: tuple[Note, ...] = ()
    problems: tuple[Problem, ...] = ()
    layers: tuple[LayerFound, ...] = ()


def parted(layers: tuple[Layer, ...]) -> tuple[tuple[Layer, ...], tuple[Layer, ...]]:
    """The layers of outlines; and those of edges and guides, if there are others beside them."""
    if len(layers) == 1:
        return layers, ()
    beside = tuple(layer for layer in layers if says_edges(layer) or says_guides(layer))
    return tuple(layer for layer in layers if layer not in beside), beside


def aside_of(path: Path, layers: Sequence[Layer], terms: ReadingTerms) -> Aside:
    """Layers of edges and guides, and the files of guides that ``terms`` name, made ready.

    Parameters
    ----------
    path
        The boundary file.
    layers
        Those of its layers that `parted` puts beside the outlines.
    """
    findings = Findings(path, terms)
    drawn = [
        edge
        for layer in layers
        if says_edges(layer)
        for edge in edge_lines(lines_of(layer, findings), findings.notes)
    ]
    guides = [
        line for layer in layers if says_guides(layer) for line in guide_lines(lines_of(layer, findings))
    ]
    try:
        for file in terms.guides:
            _, in_file = layers_in(file, "guides", terms.encoding, fact("called/guides"))
            for layer in in_file:
                guides += guide_lines(lines_of(layer, findings, file))
    except BoundaryError as error:
        findings.problems += error.problems
    return Aside(
        edges=ready_edges(drawn),
        guides=line_tree(guides, GUIDE_ELSEWHERE),
        notes=tuple(findings.notes),
        problems=tuple(findings.problems),
        layers=tuple(findings.layers),
    )
