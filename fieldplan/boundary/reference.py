"""What a layer's coordinates are measured in, settled before anything is measured: never guessed, asked where in doubt."""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from pyproj import CRS, Transformer
from pyproj.exceptions import CRSError, ProjError
from pyproj.transformer import AreaOfInterest, TransformerGroup
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.acreage import distance_m
from fieldplan.boundary.edges import any_longer, densified
from fieldplan.boundary.layer import Layer
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.errors import BoundaryError, Problem
from fieldplan.model.notes import Note
from fieldplan.units import FOOT_M, shown_distance, shown_place

MOST_VERTICES = 2_000_000
MOST_RINGS = 10_000
"""Parts and holes of one feature."""
LONGEST_EDGE_M = 400.0
"""Longer edges of a projected file get extra vertices: straight there is not straight on the ground. In a file of degrees
an edge is taken as the geodesic between its vertices, which is how its acres are measured."""
FARTHEST_FIELD_DEG = 72.0
"""Nothing is drilled nearer to a pole; coordinates that say so have latitude and longitude swapped."""
FAR_M = 500_000.0
NOTABLE_ACCURACY_M = 1.0
MOST_OUTSIDE_USE = 1.0
"""Coordinates further outside the area that a projection is made for than that area is wide are not in it."""
SURVEY_FOOT_M = 1200 / 3937
_WGS84 = CRS("EPSG:4326")
_ASK_AXES = (
    "--axes lat-lon if the first number of each pair is the latitude, --axes lon-lat if the coordinates are right as they are"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reference:
    """A layer's settled reference system and the way from it to longitude and latitude on WGS84."""

    crs: CRS
    name: str
    transformer: Transformer | None
    swapped: bool
    notes: tuple[Note, ...] = ()

    def to_lonlat(self, geometry: BaseGeometry, shown: str) -> BaseGeometry:
        """The geometry, flat, in longitude and latitude on WGS84.

        Raises
        ------
        BoundaryError
            If it has more vertices than `MOST_VERTICES`, those that long edges need included.
        """
        flat = shapely.force_2d(geometry)
        if self.swapped:
            flat = shapely.transform(flat, lambda xy: xy[:, ::-1])
        if self.transformer is None:
            return flat
        transform = self.transformer.transform
        if self.crs.is_projected:
            step = LONGEST_EDGE_M / _unit_m(self.crs)
            if not shapely.get_num_coordinates(flat) + shapely.length(flat) / step <= MOST_VERTICES:
                raise BoundaryError.of("too-many-vertices", f"{shown} is so long that it needs over {MOST_VERTICES:,} vertices.",
                                       "check the reference system with --crs")  # fmt: skip
            if any_longer(flat, step):
                flat = densified(flat, step)
        return shapely.transform(flat, lambda xy: np.column_stack(transform(xy[:, 0], xy[:, 1])))


def settle(layer: Layer, terms: ReadingTerms, shown: str) -> Reference:
    """The reference system of a layer.

    Raises
    ------
    BoundaryError
        If none is declared or asked for, or the coordinates cannot be what is said: with their bounds and the option
        to pass.
    """
    bounds = _bounds(layer, swapped=terms.axes == "lat-lon")
    crs = _asked(terms.crs) if terms.crs else layer.crs
    if bounds is None:
        return Reference(crs=crs or _WGS84, name=crs.name if crs else "none", transformer=None, swapped=False)
    west, south, east, north = bounds
    where = f"x from {west:,.5f} to {east:,.5f}, y from {south:,.5f} to {north:,.5f}"
    degrees = west >= -180 and east <= 180 and south >= -90 and north <= 90
    if crs is None:
        guess = "the numbers look like longitude and latitude: --crs EPSG:4326" if degrees else "such as --crs EPSG:32615"
        raise BoundaryError.of("crs-missing", f"{shown}: {layer.crs_said} (its coordinates run {where}).",
                               f"say what the coordinates are measured in; {guess}")  # fmt: skip
    if not (crs.is_geographic or crs.is_projected):
        raise BoundaryError.of("crs-unsuitable", f"{shown}: {crs.name} places nothing on a map ({where}).",
                               "say what the coordinates are measured in, such as --crs EPSG:32615")  # fmt: skip
    if crs.is_geographic and _unit_m(crs) > np.radians(0.95):
        _require_degrees(bounds, degrees, crs, where, terms, shown)
    if crs.is_projected and degrees and _place_of_use(crs) is not None:
        raise BoundaryError.of(
            "crs-not-metres", f"{shown}: is labelled as {crs.name}, but its numbers are too small for that ({where}).",
            "if they are longitude and latitude: --crs EPSG:4326",
        )  # fmt: skip
    transformer, notes = _transformer(crs, bounds, shown, where)
    if terms.crs:
        notes.append(Note(code="crs-given", text=f"The coordinates were read as {crs.name}, as you asked."))
    if terms.axes == "lat-lon":
        notes.append(Note(code="axes-given", text="The first number of each pair was read as latitude, as you asked."))
    reference = Reference(crs=crs, name=crs.name, transformer=transformer, swapped=terms.axes == "lat-lon", notes=tuple(notes))
    _require_in_use(reference, bounds, where, terms, shown)
    return reference


def _asked(text: str) -> CRS:
    try:
        return CRS.from_user_input(text)
    except CRSError:
        raise BoundaryError.of("crs-unknown", f'--crs "{text}" is no reference system.', "such as --crs EPSG:4326") from None


def _bounds(layer: Layer, *, swapped: bool) -> tuple[float, float, float, float] | None:
    """Of outlines and lines: a stray point at 0, 0 says nothing of the rest."""
    drawn = [f.geometry for f in layer.features if f.geometry is not None and shapely.get_dimensions(f.geometry) > 0]
    points = shapely.get_coordinates(np.array(drawn or [f.geometry for f in layer.features if f.geometry], dtype=object))
    points = points[np.isfinite(points).all(axis=1)]
    if len(points) == 0:
        return None
    if swapped:
        points = points[:, ::-1]
    (west, south), (east, north) = points.min(axis=0), points.max(axis=0)
    return float(west), float(south), float(east), float(north)


def _require_degrees(
    bounds: tuple[float, float, float, float], degrees: bool, crs: CRS, where: str, terms: ReadingTerms, shown: str
) -> None:
    """Stop if numbers labelled as degrees are none, or look swapped and nobody said which is which."""
    west, south, east, north = bounds
    fits_swapped = west >= -90 and east <= 90 and south >= -180 and north <= 180
    if not degrees and fits_swapped:
        raise BoundaryError.of("axes-in-doubt", f"{shown}: latitude and longitude look swapped ({where}).", _ASK_AXES)
    if not degrees:
        raise BoundaryError.of(
            "crs-not-degrees", f"{shown}: is labelled as degrees ({crs.name}) but runs {where}.",
            "say what the numbers are with --crs, such as --crs EPSG:32615",
        )  # fmt: skip
    if terms.axes is None and max(abs(south), abs(north)) > FARTHEST_FIELD_DEG and fits_swapped:
        raise BoundaryError.of(
            "axes-in-doubt",
            f"{shown}: nobody drills at latitude {south:.1f} to {north:.1f}; latitude and longitude may be swapped ({where}).",
            _ASK_AXES,
        )


def _transformer(
    crs: CRS, bounds: tuple[float, float, float, float], shown: str, where: str
) -> tuple[Transformer | None, list[Note]]:
    """The best operation at hand for these bounds, with a note if it is good to a metre or worse."""
    notes = []
    if crs.is_projected and abs(_unit_m(crs) - FOOT_M) < 1e-5:
        survey = abs(_unit_m(crs) - SURVEY_FOOT_M) < 1e-9
        name = "US survey feet (1200/3937 m each)" if survey else "international feet (0.3048 m each)"
        notes.append(Note(code="feet", text=f"Coordinates are in {name}."))
    if crs.is_geographic and crs.to_epsg() in (4326, 4979):
        return None, notes
    try:
        rough = Transformer.from_crs(crs, _WGS84, always_xy=True).transform_bounds(*bounds)
        if not np.isfinite(rough).all():
            raise ProjError("outside the projection")
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            group = TransformerGroup(crs, _WGS84, always_xy=True, area_of_interest=AreaOfInterest(*rough))
    except ProjError:
        raise BoundaryError.of("coordinates-off-earth", f"{shown}: lies outside what {crs.name} covers ({where}).",
                               "check the reference system with --crs") from None  # fmt: skip
    best = group.transformers[0] if group.transformers else Transformer.from_crs(crs, _WGS84, always_xy=True)
    if not 0 <= best.accuracy < NOTABLE_ACCURACY_M:
        how_good = f"good to about {best.accuracy:g} m" if best.accuracy >= 0 else "of unknown accuracy"
        grid = "" if group.best_available else " A better one needs a grid file that is not installed."
        notes.append(Note(code="datum-accuracy", text=(
            f"Places are turned into WGS 84 {how_good} (from {crs.name}).{grid} Acres are not touched by that; guidance in "
            "another system may lie that far beside them.")))  # fmt: skip
    return best, notes


def _require_in_use(
    reference: Reference, bounds: tuple[float, float, float, float], where: str, terms: ReadingTerms, shown: str
) -> None:
    """Stop if projected coordinates land far from where their reference system is made for."""
    use = _place_of_use(reference.crs)
    if use is None or reference.transformer is None or terms.crs:
        return
    west, south, east, north = use
    lon, lat = reference.transformer.transform((bounds[0] + bounds[2]) / 2, (bounds[1] + bounds[3]) / 2)
    off = max(max(west - lon, lon - east) / max(1.0, east - west), max(south - lat, lat - north) / max(1.0, north - south))
    if not np.isfinite(off) or off > MOST_OUTSIDE_USE:
        raise BoundaryError.of(
            "crs-elsewhere", f"{shown}: {reference.name} puts its coordinates ({where}) far from where it is used.",
            "say what the coordinates are measured in with --crs",
        )  # fmt: skip


def _place_of_use(crs: CRS) -> tuple[float, float, float, float] | None:
    """West, south, east and north of where a projected system is used; ``None`` if unknown or across the date line."""
    if not crs.is_projected:
        return None
    use = crs.area_of_use
    if use is None:
        code = crs.to_epsg()
        use = CRS.from_epsg(code).area_of_use if code else None
    return None if use is None or use.west > use.east else use.bounds


def _unit_m(crs: CRS) -> float:
    """Metres (or, of degrees, radians) in one unit of the horizontal axes."""
    horizontal = crs.sub_crs_list[0] if crs.is_compound else crs
    axes = horizontal.axis_info or (horizontal.source_crs.axis_info if horizontal.source_crs else [])
    return float(axes[0].unit_conversion_factor) if axes else 1.0


def places_in_doubt(places: Sequence[tuple[str, tuple[float, float]]], terms: ReadingTerms, shown: str) -> list[Problem]:
    """Questions about fields that lie far from the others, or from the place given, and near it if swapped.

    ``places`` are pairs of a field's id and a point of it (longitude, latitude).
    """
    if not places or (terms.axes is not None and terms.near is None):
        return []
    lonlat = np.array([place for _, place in places])
    home = terms.near or (float(np.median(lonlat[:, 0])), float(np.median(lonlat[:, 1])))
    problems = []
    for field_id, (lon, lat) in places:
        away = distance_m(home, (lon, lat))
        if away <= FAR_M:
            continue
        swapped_near = abs(lon) <= 90 and distance_m(home, (lat, lon)) <= FAR_M
        if terms.near is None and not swapped_near:
            continue
        from_what = "the place you gave" if terms.near else "the other fields"
        swap = ", and near them if latitude and longitude are swapped" if swapped_near else ""
        hint = _ASK_AXES if swapped_near else "check --crs and --near"
        problems.append(Problem(
            code="axes-in-doubt" if swapped_near else "far-from-home",
            text=f'{shown}: field "{field_id}" at {shown_place((lon, lat))} lies {shown_distance(away)} from {from_what}{swap}.',
            hint=hint))  # fmt: skip
    return problems
