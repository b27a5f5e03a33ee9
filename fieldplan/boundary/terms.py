"""How a boundary file is read: what the user chose."""

from __future__ import annotations

import codecs
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from fieldplan.errors import UsageError

LARGEST_SET_BACK_M = 1_000.0
Axes = Literal["lon-lat", "lat-lon"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingTerms:
    """Choices for reading one boundary file; the defaults leave everything to the file.

    Parameters
    ----------
    crs
        Reference system of the coordinates, such as ``"EPSG:32615"``; needed if the file declares none, and
        used instead of what it declares.
    axes
        Order of the two numbers of each pair, if the file has them swapped or leaves that in doubt.
    near
        Longitude and latitude of a place near the fields; a field over 500 km away is asked about.
    place_is_right
        The fields are in the right place, though far from each other or outside the area where their
        reference system is used.
    layers
        Names of the layers to read; all if empty.
    where
        Conditions on attributes, such as ``"crop = oats"``; a feature is read if all of them hold.
    id_field, name_field, mix_field
        Attributes that hold a field's id, name and mix; ``None`` leaves the choice to fieldplan.
    encoding
        Character set of attribute text in a Shapefile or CSV.
    repair
        Mend outlines even where that changes a field's acres by over 0.5 %.
    skip_bad
        Leave out features that cannot be used instead of refusing the file.
    guides
        Files of lines that passes follow, besides those in a layer "guide" of the boundary file.
    """

    crs: str | None = None
    axes: Axes | None = None
    near: tuple[float, float] | None = None
    place_is_right: bool = False
    layers: tuple[str, ...] = ()
    where: tuple[str, ...] = ()
    id_field: str | None = None
    name_field: str | None = None
    mix_field: str | None = None
    encoding: str | None = None
    repair: bool = False
    skip_bad: bool = False
    guides: tuple[Path, ...] = ()

    def __post_init__(self) -> None:
        """Check that the character set is known.

        Raises
        ------
        UsageError
            If it is not.
        """
        if self.encoding:
            try:
                codecs.lookup(self.encoding)
            except LookupError:
                raise UsageError.of("encoding-unknown", about="--encoding", given=self.encoding) from None
