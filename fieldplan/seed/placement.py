"""Whether the boxes of a drill put seed where it belongs: on the surface or under cover, and without bridging."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Literal

from fieldplan.model.machine import Drill, SeedBox
from fieldplan.model.notes import Note
from fieldplan.model.seed import Mix
from fieldplan.tables.species import placement, word_of

Lands = Literal["surface", "cover", "unknown"]
_SURFACE = re.compile(r"surface|\btop\b|broadcast|scatter|on the (?:ground|soil)|behind", re.IGNORECASE)
_COVER = re.compile(r"furrow|trench|slot|opener|dis[ck]|in the (?:ground|soil|row)|under", re.IGNORECASE)


def lands_on(box: SeedBox) -> Lands:
    """Whether the seed of a box falls on the surface or is covered, by what the job file says in words.

    Text that could mean either, or neither, is unknown.
    """
    surface, cover = bool(_SURFACE.search(box.lands)), bool(_COVER.search(box.lands))
    return "unknown" if surface == cover else "surface" if surface else "cover"


def placement_notes(mix: Mix, drill: Drill) -> Iterator[Note]:
    """Notes on species that a box does not put where they belong, and on seed that bridges in it."""
    for box in drill.boxes:
        species = dict.fromkeys(lot.species for lot in mix.components if lot.box == box.name)
        if not species:
            continue
        lands = lands_on(box)
        is_unsure = lands == "unknown"
        for wanted in ("surface", "cover"):
            known = {
                name: found[1] for name in species if (found := placement(name)) and found[0] == wanted
            }
            if not known or wanted == lands or (is_unsure and wanted == "cover"):
                continue
            yield Note(
                code="seed-placement",
                case="cover" if wanted == "cover" else "surface-unknown" if is_unsure else "surface",
                warning=True,
                values={"mix": mix.name, "box": box.name, "species": tuple(known), "lands": box.lands},
                sources=tuple(dict.fromkeys(key for keys in known.values() for key in keys)),
            )
        in_the_dark = {
            name: needs[1] for name in species if (needs := word_of(name, "light")) and lands == "cover"
        }
        if in_the_dark:
            yield Note(
                code="seed-placement",
                case="light",
                warning=True,
                values={
                    "mix": mix.name,
                    "box": box.name,
                    "species": tuple(in_the_dark),
                    "lands": box.lands,
                },
                sources=tuple(dict.fromkeys(in_the_dark.values())),
            )
        bridging = {name: needs[1] for name in species if (needs := word_of(name, "agitator")) is not None}
        if bridging and box.kind != "native":
            yield Note(
                code="seed-bridges",
                warning=True,
                values={"mix": mix.name, "box": box.name, "species": tuple(bridging)},
                sources=tuple(dict.fromkeys(bridging.values())),
            )
