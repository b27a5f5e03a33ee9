"""What a layer's coordinates are measured in, settled before anything is measured: never guessed, asked where in doubt."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from pyproj import CRS, Transformer
from pyproj.exceptions import CRSError, ProjError
from pyproj.transformer import AreaOfInterest, TransformerGroup
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.edges import any_longer, densified
from fieldplan.boundary.layer import Layer
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.boundary.use import (
    FARTHEST_FIELD_DEG,
    MOST_NAMED,
    SURVEY_FOOT_M,
    Bounds,
    Numbers,
    Points,
    Reading,
    acres,
    area_of_use,
    beyond_m,
    degrees,
    middle,
    near_home,
    neighbours,
    outside,
    said,
    slipped,
    unit_m,
    unit_twins,
    used_there,
    web_mercator,
)  # fmt: skip
from fieldplan.errors import BoundaryError
from fieldplan.model.notes import Note
from fieldplan.units import ACRE_M2, FOOT_M, shown_place

MOST_VERTICES = 2_000_000
MOST_RINGS = 10_000
"""Parts and holes of one feature."""
LONGEST_EDGE_M = 400.0
"""Longer edges of a projected file get extra vertices: straight there is not straight on the ground. In a file of degrees
an edge is taken as the geodesic between its vertices, which is how its acres are measured."""
NOTABLE_ACCURACY_M = 1.0
MOST_OUTSIDE_USE = 1.0
"""Coordinates further outside the area that a projection is made for than that area is wide are not in it."""
MOST_BEYOND_M = 1_000_000.0
"""And of a system for a whole continent, not even so far."""
_PLAUSIBLE_M2 = (0.25 * ACRE_M2, 1_000 * ACRE_M2)
"""What most fields measure: by this alone nothing is refused."""
_ROUND_THE_EARTH_DEG = 359.0
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
            step = LONGEST_EDGE_M / unit_m(self.crs)
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
    in_degrees = west >= -180 and east <= 180 and south >= -90 and north <= 90
    fits_swapped = west >= -90 and east <= 90 and south >= -180 and north <= 180
    numbers = _numbers(layer, swapped=terms.axes == "lat-lon")
    if crs is None:
        raise BoundaryError.of("crs-missing", f"{shown}: {layer.crs_said} (its coordinates run {where}).",
                               f"say what the coordinates are measured in; {_guess(numbers, terms)}")  # fmt: skip
    if not (crs.is_geographic or crs.is_projected):
        raise BoundaryError.of("crs-unsuitable", f"{shown}: {crs.name} places nothing on a map ({where}).",
                               f"say what the coordinates are measured in; {_guess(numbers, terms)}")  # fmt: skip
    if crs.is_geographic and unit_m(crs) > np.radians(0.95):
        _require_degrees(bounds, in_degrees, crs, where, terms, shown, numbers)
    use = area_of_use(crs)
    if crs.is_projected and use is not None and (in_degrees or (fits_swapped and list(degrees(numbers, use)))):
        fits = list(degrees(numbers, use)) or list(degrees(numbers, None))
        raise BoundaryError.of(
            "crs-not-metres", f"{shown}: is labelled as {crs.name}, but its numbers are too small for that ({where}).",
            f"if they are degrees: {said(fits)}" if fits else "say what the numbers are with --crs",
        )  # fmt: skip
    transformer, notes = _transformer(crs, bounds, numbers, where, terms, shown)
    if terms.crs:
        notes.append(Note(code="crs-given", told=f"The coordinates were read as {crs.name}, as you asked."))
    if terms.axes == "lat-lon":
        notes.append(Note(code="axes-given", told="The first number of each pair was read as latitude, as you asked."))
    if use is not None:
        notes += _in_use(crs, use, transformer, numbers, where, terms, shown)
    return Reference(crs=crs, name=crs.name, transformer=transformer, swapped=terms.axes == "lat-lon", notes=tuple(notes))


def _asked(text: str) -> CRS:
    try:
        return CRS.from_user_input(text)
    except CRSError:
        raise BoundaryError.of("crs-unknown", f'--crs "{text}" is no reference system.', "such as --crs EPSG:4326") from None


def _numbers(layer: Layer, *, swapped: bool) -> Numbers:
    """One point of each feature, of outlines and lines if there are any."""
    drawn = [f for f in layer.features if f.geometry is not None and shapely.get_dimensions(f.geometry) > 0]
    drawn = drawn or [f for f in layer.features if f.geometry is not None]
    points, of = shapely.get_coordinates([f.geometry for f in drawn], return_index=True)
    points = points[np.unique(of, return_index=True)[1]]
    points = points[np.isfinite(points).all(axis=1)]
    return Numbers(points=points[:, ::-1] if swapped else points, features=drawn, swapped=swapped)


def _guess(numbers: Numbers, terms: ReadingTerms) -> str:
    """What numbers without a reference system may be: a code only where it follows from them."""
    if fits := list(degrees(numbers, None)):
        return f"the numbers look like longitude and latitude: {fits[0].option} puts it at {shown_place(fits[0].place)}{acres(fits[0].area_m2)}"
    fits = web_mercator(numbers)
    if terms.near is not None:
        fits += near_home(numbers, terms.near)
    if fits:
        return f"what would fit: {said(fits)}"
    looks = "metres or feet of a projection"
    if ((numbers.points > (1e5, 0)) & (numbers.points < (9e5, 1e7))).all():
        looks = "metres of a UTM zone, or metres or feet of a state's zone"
    ask = "" if terms.near else "; --near LAT,LON names those zones that would put it near a place you know"
    return f"the numbers look like {looks}: the zone stands in the .prj file, in the export dialog or with whoever made the file{ask}"


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
    bounds: tuple[float, float, float, float],
    in_degrees: bool,
    crs: CRS,
    where: str,
    terms: ReadingTerms,
    shown: str,
    numbers: Numbers,
) -> None:
    """Stop if numbers labelled as degrees are none, or look swapped and nobody said which is which."""
    west, south, east, north = bounds
    fits_swapped = west >= -90 and east <= 90 and south >= -180 and north <= 180
    if not in_degrees and fits_swapped:
        raise BoundaryError.of("axes-in-doubt", f"{shown}: latitude and longitude look swapped ({where}).", _ASK_AXES)
    if not in_degrees and west >= -360 and east <= 360 and south >= -90 and north <= 90:
        raise BoundaryError.of("crs-not-degrees", f"{shown}: has longitudes past 180 ({where}).",
                               "write longitudes from -180 to 180, and cut what crosses at longitude 180")  # fmt: skip
    if not in_degrees:
        raise BoundaryError.of(
            "crs-not-degrees", f"{shown}: is labelled as degrees ({crs.name}) but runs {where}.",
            f"say what the numbers are with --crs; {_guess(numbers, terms)}",
        )  # fmt: skip
    if terms.axes is None and max(abs(south), abs(north)) > FARTHEST_FIELD_DEG and fits_swapped:
        raise BoundaryError.of(
            "axes-in-doubt",
            f"{shown}: nobody drills at latitude {south:.1f} to {north:.1f}; latitude and longitude may be swapped ({where}).",
            _ASK_AXES,
        )


def _transformer(
    crs: CRS, bounds: tuple[float, float, float, float], numbers: Numbers, where: str, terms: ReadingTerms, shown: str
) -> tuple[Transformer | None, list[Note]]:
    """The best operation at hand for these bounds, with a note if it is good to a metre or worse."""
    notes = []
    if crs.is_projected and abs(unit_m(crs) - FOOT_M) < 1e-5:
        survey = abs(unit_m(crs) - SURVEY_FOOT_M) < 1e-9
        name = "US survey feet (1200/3937 m each)" if survey else "international feet (0.3048 m each)"
        notes.append(Note(code="feet", told=f"Coordinates are in {name}."))
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
        fits = _offered(crs, numbers, terms, *_others(crs, numbers, far=True))
        raise BoundaryError.of(
            "coordinates-off-earth", f"{shown}: lies outside what {crs.name} covers ({where}).",
            fits or "say what the coordinates are measured in with --crs") from None  # fmt: skip
    best = group.transformers[0] if group.transformers else Transformer.from_crs(crs, _WGS84, always_xy=True)
    if not 0 <= best.accuracy < NOTABLE_ACCURACY_M:
        how_good = "good to about {accuracy_m:0}" if best.accuracy >= 0 else "of unknown accuracy"
        grid = "" if group.best_available else " A better one needs a grid file that is not installed."
        notes.append(Note(code="datum-accuracy", values={"accuracy_m": best.accuracy} if best.accuracy >= 0 else {}, told=(
            f"Places are turned into WGS 84 {how_good} (from {crs.name}).{grid} Areas are not touched by that; guidance in another "
            "system may lie that far beside them.")))  # fmt: skip
    return best, notes


def _others(crs: CRS, numbers: Numbers, *, far: bool) -> tuple[list[Reading], list[Reading]]:
    """Other readings that fit: the twin in metres or feet, a neighbouring zone and the web map; then other systems of the area."""
    if not crs.is_projected:
        return [], []
    kin = sorted(
        [*unit_twins(crs, numbers), *neighbours(crs, numbers), *web_mercator(numbers)], key=lambda one: not one.registered
    )
    return kin, used_there(crs, numbers, everywhere=far)


def _offered(crs: CRS, numbers: Numbers, terms: ReadingTerms, kin: list[Reading], strangers: list[Reading]) -> str:
    """What would fit; of many systems that have nothing to do with the one named, only that a place would tell which."""
    if terms.near is not None and crs.is_projected and (home := near_home(numbers, terms.near)):
        return f"what would fit near the place you gave: {said(home)}"
    if len(kin) + len(strangers) <= MOST_NAMED:
        return f"what would fit: {said([*kin, *strangers])}" if kin or strangers else ""
    many = f"{len(strangers)} other systems used in that area would fit; --near LAT,LON names those that put it near a place you know"
    return f"what would fit: {said(kin)}; {many}" if kin else many


def _in_use(
    crs: CRS, use: Bounds, transformer: Transformer | None, numbers: Numbers, where: str, terms: ReadingTerms, shown: str
) -> list[Note]:
    """Stop if coordinates land far from where their reference system is used, or outside it where another reading would fit;
    else what is to be said of it.

    Counties use one zone for a whole state, so that up to a width beyond the edge is possible.
    """

    def place(xy: Points) -> Points:
        return xy if transformer is None else np.column_stack(transformer.transform(xy[:, 0], xy[:, 1]))

    lonlat = place(numbers.points)
    off = outside(use, lonlat)
    if not off.any() and crs.is_projected and use[2] - use[0] >= _ROUND_THE_EARTH_DEG:
        return [] if web_mercator(numbers) else [_anywhere(crs, lonlat)]
    if not off.any():
        return _twin_inside(crs, numbers, place)
    worst = (float(lonlat[off.argmax()][0]), float(lonlat[off.argmax()][1]))
    placed = bool(np.isfinite(lonlat).all())
    far = float(np.median(off)) > MOST_OUTSIDE_USE or (placed and beyond_m(use, middle(lonlat)) > MOST_BEYOND_M)
    if terms.place_is_right and placed:
        return [Note(code="outside-use", values={"beyond_m": beyond_m(use, worst)}, told=(
            f"{shown_place(worst)} lies {{beyond_m}} outside where {crs.name} is used, and was taken as it is, as you asked."))]  # fmt: skip
    kin, strangers = _others(crs, numbers, far=far)
    kin = [one for one in kin if far or one.registered]
    slip = slipped(use, numbers) if crs.is_geographic else ""
    if not (far or kin or strangers or slip):
        return [Note(code="outside-use", values={"beyond_m": beyond_m(use, worst)}, told=(
            f"{shown_place(worst)} lies {{beyond_m}} outside where {crs.name} is used. No neighboring zone and no other unit would "
            "fit the coordinates, so they were taken as they are."))]  # fmt: skip
    at = f", at {shown_place(middle(lonlat))}{acres(numbers.area_m2(place))}" if placed else ""
    what = slip or _offered(crs, numbers, terms, kin, strangers)
    raise BoundaryError.of(
        "crs-elsewhere",
        f"{shown}: {crs.name} puts its coordinates ({where}) {'far from' if far else 'outside'} where it is used{at}.",
        f"{what or 'say what the coordinates are measured in with --crs'}; --place-is-right if it is right as it is",
    )


def _anywhere(crs: CRS, lonlat: Points) -> Note:
    """That nothing speaks against a system which is used everywhere, and the place that hangs on it."""
    return Note(code="anywhere", places={"first": middle(lonlat)}, told=(
        f"{crs.name} is used everywhere, so that metres or feet of another system would pass for it with wrong acres: check that the fields "
        "lie at {first}."))  # fmt: skip


def _twin_inside(crs: CRS, numbers: Numbers, place: Callable[[Points], Points]) -> list[Note]:
    """That the numbers would lie in the same zone read in the other unit too: the file's own word is taken, and acres hang on it."""
    twins = [twin for twin in unit_twins(crs, numbers) if twin.registered]
    if not twins:
        return []
    own_m2 = numbers.area_m2(place)
    n = max(1, len(numbers.points))
    odd = not _PLAUSIBLE_M2[0] <= own_m2 / n <= _PLAUSIBLE_M2[1] and _PLAUSIBLE_M2[0] <= twins[0].area_m2 / n <= _PLAUSIBLE_M2[1]
    in_feet = unit_m(crs) < 1.0  # few fields that are in feet lie in their zone read in metres too; the other way round many do
    return [Note(
        code="unit-in-doubt", values={"own_m2": own_m2, "other_m2": twins[0].area_m2}, warning=own_m2 > 0 and (odd or in_feet),
        told=f"All outlines measure {{own_m2}} in the unit that the file names; read as {twins[0].name} they would lie at "
             f"{shown_place(twins[0].place)}, in the same zone, and measure {{other_m2}}.")]  # fmt: skip
