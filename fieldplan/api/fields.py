"""Fields of a boundary file or a GeoDataFrame, for a notebook."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from fieldplan.api.reader import hints, quantities_in
from fieldplan.boundary.exclusions import ExclusionFile, exclusions_of_job, load_exclusions
from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import LARGEST_SET_BACK_M, Axes, ReadingTerms
from fieldplan.errors import QuantityError, UsageError
from fieldplan.model.boundary import BoundaryFile
from fieldplan.model.field import Field
from fieldplan.model.job import Job
from fieldplan.report.gis.boundary import boundary_frame
from fieldplan.report.html.cell import fields_cell
from fieldplan.report.text.fields import fields_in_short
from fieldplan.report.words.notes import note_sentences, warning_sentences
from fieldplan.report.words.quantities import System
from fieldplan.typed_quantity import parse_quantity

if TYPE_CHECKING:
    from geopandas import GeoDataFrame

    from fieldplan.boundary.source import Source

    Exclusions = Source | Sequence[Source]


class Fields:
    """Fields ready to plan: repaired, measured, and with ground that is not to be sown taken out.

    Made by `read_fields`. Iterating gives `Field` values, in the order in which they are drilled.

    Attributes
    ----------
    model
        The fields and the notes on them, as data.
    """

    def __init__(
        self,
        source: Source,
        terms: ReadingTerms,
        exclusions: Sequence[ExclusionFile],
        set_back_m: float,
        units: System,
    ) -> None:
        self._source, self._terms, self._exclusions = source, terms, tuple(exclusions)
        self._set_back_m, self._q = set_back_m, quantities_in(units)
        self.model = load_fields(source, terms, exclusions)

    @property
    def name(self) -> str:
        """The name of the file; "fields", if they come from a GeoDataFrame."""
        return self.model.path.name

    @property
    def notes(self) -> list[str]:
        """What was repaired, assumed or left out, as sentences."""
        return note_sentences(self.model.notes, self._q)

    @property
    def warnings(self) -> list[str]:
        """What to look at before using any number, as sentences."""
        return warning_sentences(self.model.notes, self._q)

    def to_frame(self) -> GeoDataFrame:
        """The fields as a GeoDataFrame in EPSG:4326 with ``field_id`` as its index, areas in m²."""
        return boundary_frame(self.model.fields)

    def for_job(self, job: Job) -> BoundaryFile:
        """The fields without the ground that the job file says is not to be sown."""
        own = exclusions_of_job(job, self._terms, self._set_back_m)
        return load_fields(self._source, self._terms, [*self._exclusions, *own]) if own else self.model

    def __len__(self) -> int:
        return len(self.model.fields)

    def __iter__(self) -> Iterator[Field]:
        return iter(self.model.fields)

    def __getitem__(self, field_id: str) -> Field:
        """The field with an id."""
        return {field.field_id: field for field in self}[field_id]

    def __repr__(self) -> str:
        return fields_in_short(self.model, self._q)

    def _repr_html_(self) -> str:
        return fields_cell(self.model, self._q)


def read_fields(
    fields: Source,
    *,
    exclusions: Exclusions = (),
    set_back: str = "0 ft",
    crs: str | None = None,
    axes: Axes | None = None,
    near: tuple[float, float] | None = None,
    place_is_right: bool = False,
    layers: Sequence[str] = (),
    where: Sequence[str] = (),
    id_field: str | None = None,
    name_field: str | None = None,
    mix_field: str | None = None,
    encoding: str | None = None,
    repair: bool = False,
    skip_bad: bool = False,
    units: System = "us",
) -> Fields:
    """Read fields from a boundary file or a GeoDataFrame, and check, repair and measure them.

    Options that an error message names, such as ``--skip-bad``, are the keywords here: ``skip_bad=True``.

    Parameters
    ----------
    fields
        A file of any format that ``fieldplan check`` reads, or a GeoDataFrame in any reference system. A
        named index of it gives the ids of the fields, unless ``id_field`` names a column. Columns ``name``,
        ``mix``, ``priority``, ``gate`` and ``exclusions`` mean the same as in a file.
    exclusions
        Ground that is not to be sown, each feature with a ``reason``: a file, a GeoDataFrame or several.
    set_back
        Distance to keep from exclusions that do not give their own, such as "30 ft".
    crs
        Reference system, such as "EPSG:32615": needed if none is declared, and taken instead of what is.
    axes
        "lon-lat" or "lat-lon", where the file leaves in doubt which number comes first.
    near
        Longitude and latitude of a place near the fields: one over 500 km away is asked about.
    place_is_right
        The fields lie where they should, though far apart or outside where their reference system is used.
    layers, where
        Layers to read, and conditions such as "crop = oats" that features must meet; all if empty.
    id_field, name_field, mix_field
        Columns or attributes that hold a field's id, name and mix.
    encoding
        Character set of a Shapefile's or table's text.
    repair
        Mend outlines even where that changes a field's area by over 0.5 %.
    skip_bad
        Leave out features that cannot be used instead of stopping.
    units
        "us" or "metric": the units in which the result describes itself.

    Raises
    ------
    BoundaryError
        With every problem found, each naming the feature.
    TypeError
        If ``fields`` is neither a path nor a GeoDataFrame.

    Examples
    --------
    >>> import fieldplan
    >>> fields = fieldplan.read_fields("farm.geojson")
    >>> fields
    3 fields of farm.geojson, 264.94 acres
      quarter  Frost Quarter      160.00
      ell      Bergamot Ell        45.00
      creek    Cordgrass Meander   59.94
    >>> round(fields["ell"].mapped_m2)
    182108
    """
    terms = ReadingTerms(
        crs=crs,
        axes=axes,
        near=near,
        place_is_right=place_is_right,
        layers=_several(layers),
        where=_several(where),
        id_field=id_field,
        name_field=name_field,
        mix_field=mix_field,
        encoding=encoding,
        repair=repair,
        skip_bad=skip_bad,
    )
    with hints():
        set_back_m = _set_back_m(set_back)
        excluded = [
            load_exclusions(source, terms, set_back_m=set_back_m) for source in _several(exclusions)
        ]
        return Fields(fields, terms, excluded, set_back_m, units)


def as_fields(fields: Source | Fields, units: System, **choices: Any) -> Fields:
    """Fields as they are if they were read already, or else read with the choices made.

    Raises
    ------
    TypeError
        If they were read already and choices are made of how to read them.
    """
    made = {name: choice for name, choice in choices.items() if choice is not None}
    if not isinstance(fields, Fields):
        return read_fields(fields, units=units, **made)
    if made:
        raise TypeError(f"{', '.join(made)}: give this to read_fields, for the fields are read already")
    return fields


def _several(given: Any) -> tuple[Any, ...]:
    """Given things as a tuple, also where there is one."""
    return tuple(given) if isinstance(given, list | tuple) else (given,)


def _set_back_m(text: str) -> float:
    try:
        value = parse_quantity(text, "length")
    except QuantityError as error:
        raise UsageError.from_other(error, about="set_back") from None
    if not 0 <= value <= LARGEST_SET_BACK_M:
        raise UsageError.of(
            "set-back-unreadable/option-range", about="set_back", given=text, most_m=LARGEST_SET_BACK_M
        )
    return value
