"""The reference system of a layer, settled before anything is measured; asked for where in doubt."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from pyproj import CRS, Transformer
from pyproj.exceptions import CRSError, ProjError
from shapely.geometry.base import BaseGeometry

from fieldplan.boundary.area_of_use import (
    FARTHEST_FIELD_DEG,
    Bounds,
    Place,
    Points,
    area_of_use,
    beyond_m,
    outside,
    unit_m,
)
from fieldplan.boundary.conversion import conversion_for, is_wgs84
from fieldplan.boundary.edges import any_longer, densified
from fieldplan.boundary.layer import Layer
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.boundary.use import (
    MAX_NAMED,
    SURVEY_FOOT_M,
    Numbers,
    Reading,
    degrees,
    first_few,
    ground,
    middle,
    near_home,
    neighbors,
    slipped,
    unit_twins,
    used_there,
    web_mercator,
)
from fieldplan.errors import BoundaryError
from fieldplan.facts import Fact, Value, fact
from fieldplan.model.notes import Note
from fieldplan.units import ACRE_M2, FOOT_M

MAX_VERTICES = 2_000_000
MAX_RINGS = 10_000
"""Parts and holes of one feature."""
LONGEST_EDGE_M = 400.0
"""Longer edges of a projected file get extra vertices: straight there is not straight on the ground.

In a file of degrees an edge is the geodesic between its vertices, as its acres are measured.
"""
NOTABLE_ACCURACY_M = 1.0
MAX_OUTSIDE_USE = 1.0
"""Coordinates farther outside the area a projection is made for than that area is wide cannot be in it."""
MAX_BEYOND_M = 1_000_000.0
"""The same limit for systems of whole continents, whose areas are wide."""
_PLAUSIBLE_M2 = (0.25 * ACRE_M2, 1_000 * ACRE_M2)
"""What most fields measure. Nothing is refused by this alone."""
_ROUND_THE_EARTH_DEG = 359.0
_WHOLE_TURN_DEG = 360.0
_WGS84 = CRS("EPSG:4326")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reference:
    """A layer's settled reference system, and how to get from it to longitude and latitude on WGS84.

    Parameters
    ----------
    transformer
        ``None`` if the coordinates are longitude and latitude on WGS84 already.
    swapped
        The file has the second axis first.
    """

    crs: CRS
    name: str
    transformer: Transformer | None
    swapped: bool
    notes: tuple[Note, ...] = ()

    def to_lonlat(self, geometry: BaseGeometry, file_label: str) -> BaseGeometry:
        """The geometry in two dimensions, in degrees of longitude and latitude on WGS84.

        Parameters
        ----------
        geometry
            In the coordinates of the file.
        file_label
            What it is called in errors.

        Raises
        ------
        BoundaryError
            If it has more vertices than `MAX_VERTICES`, counting those added on long edges.
        """
        flat = shapely.force_2d(geometry)
        if self.swapped:
            flat = shapely.transform(flat, lambda xy: xy[:, ::-1])
        if self.transformer is None:
            return flat
        transform = self.transformer.transform
        if self.crs.is_projected:
            step = LONGEST_EDGE_M / unit_m(self.crs)
            if not shapely.get_num_coordinates(flat) + shapely.length(flat) / step <= MAX_VERTICES:
                raise BoundaryError.of("too-many-vertices/long", about=file_label, n_most=MAX_VERTICES)
            if any_longer(flat, step):
                flat = densified(flat, step)
        return shapely.transform(flat, lambda xy: np.column_stack(transform(xy[:, 0], xy[:, 1])))


def settle(layer: Layer, terms: ReadingTerms, file_label: str) -> Reference:
    """The reference system of a layer: given in ``terms``, or else declared by the file.

    Parameters
    ----------
    terms
        ``crs``, ``axes``, ``near`` and ``place_is_right`` are used.
    file_label
        The file as the user knows it, for errors.

    Raises
    ------
    BoundaryError
        If none is declared or given, or the coordinates cannot be in it; with their bounds and the option
        to pass.
    """
    bounds = _bounds(layer, swapped=terms.axes == "lat-lon")
    crs = _given(terms.crs) if terms.crs else layer.crs
    if bounds is None:
        return Reference(
            crs=crs or _WGS84, name=crs.name if crs else "none", transformer=None, swapped=False
        )
    west, south, east, north = bounds
    in_degrees = west >= -180 and east <= 180 and south >= -90 and north <= 90
    fits_swapped = west >= -90 and east <= 90 and south >= -180 and north <= 180
    like_degrees = max(map(abs, bounds)) <= _WHOLE_TURN_DEG
    where = fact(
        "bounds/degrees" if like_degrees else "bounds", west=west, east=east, south=south, north=north
    )
    numbers = _numbers(layer, swapped=terms.axes == "lat-lon")
    if crs is None:
        statement = layer.crs_statement or fact("crs-said/nothing")
        raise BoundaryError.of(
            "crs-missing", file=file_label, said=statement, bounds=where, guess=_guess(numbers, terms)
        )
    if not (crs.is_geographic or crs.is_projected):
        raise BoundaryError.of(
            "crs-unsuitable", file=file_label, name=crs.name, bounds=where, guess=_guess(numbers, terms)
        )
    if crs.is_geographic and unit_m(crs) > np.radians(0.95):
        _require_degrees(bounds, in_degrees, crs, where, terms, file_label, numbers)
    use = area_of_use(crs)
    if crs.is_projected and use is not None:
        fits = list(degrees(numbers, use)) if in_degrees or fits_swapped else []
        if in_degrees or fits:
            fits = fits or list(degrees(numbers, None))
            cure = fact("try/degrees", fits=first_few(fits)) if fits else None
            raise BoundaryError.of(
                "crs-not-metres", file=file_label, name=crs.name, bounds=where, cure=cure
            )
    transformer, notes = _transformer(crs, bounds, numbers, where, terms, file_label)
    if terms.crs:
        notes.append(Note(code="crs-given", values={"name": crs.name}))
    if terms.axes == "lat-lon":
        notes.append(Note(code="axes-given"))
    if use is not None:
        notes += _in_use(crs, use, transformer, numbers, where, terms, file_label)
    return Reference(
        crs=crs, name=crs.name, transformer=transformer, swapped=terms.axes == "lat-lon", notes=tuple(notes)
    )


@lru_cache(maxsize=16)
def _given(text: str) -> CRS:
    try:
        return CRS.from_user_input(text)
    except CRSError:
        raise BoundaryError.of("crs-unknown", about="--crs", given=text) from None


def _numbers(layer: Layer, *, swapped: bool) -> Numbers:
    """One point of each feature, of outlines and lines if there are any."""
    placed = [feature for feature in layer.features if feature.geometry is not None]
    drawn = [feature for feature in placed if shapely.get_dimensions(feature.geometry) > 0] or placed
    points, of_feature = shapely.get_coordinates([feature.geometry for feature in drawn], return_index=True)
    points = points[np.unique(of_feature, return_index=True)[1]]  # the first of each
    points = points[np.isfinite(points).all(axis=1)]
    return Numbers(points=points[:, ::-1] if swapped else points, features=drawn, swapped=swapped)


def _guess(numbers: Numbers, terms: ReadingTerms) -> Fact:
    """What numbers without a reference system may be; a code is named only if it follows from them."""
    if fits := list(degrees(numbers, None)):
        return fact(
            "looks-like/degrees", option=fits[0].option, ground=ground(fits[0].place, fits[0].area_m2)
        )
    fits = web_mercator(numbers)
    if terms.near is not None:
        fits += near_home(numbers, terms.near)
    if fits:
        return fact("offer/fits", fits=first_few(fits))
    in_utm = ((numbers.points > (1e5, 0)) & (numbers.points < (9e5, 1e7))).all()
    ask = "" if terms.near else fact("try/near-for-zones")
    return fact("looks-like/utm" if in_utm else "looks-like/projection", ask=ask)


def _bounds(layer: Layer, *, swapped: bool) -> tuple[float, float, float, float] | None:
    """West, south, east and north of outlines and lines; of points only if there is nothing else.

    A stray point at 0, 0 says nothing about the rest.
    """
    placed = [feature.geometry for feature in layer.features if feature.geometry is not None]
    drawn = [geometry for geometry in placed if shapely.get_dimensions(geometry) > 0]
    points = shapely.get_coordinates(np.array(drawn or placed, dtype=object))
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
    where: Fact,
    terms: ReadingTerms,
    file_label: str,
    numbers: Numbers,
) -> None:
    """Raise an error if numbers labeled as degrees are none, or look swapped without ``--axes``."""
    west, south, east, north = bounds
    fits_swapped = west >= -90 and east <= 90 and south >= -180 and north <= 180
    if not in_degrees and fits_swapped:
        raise BoundaryError.of("axes-in-doubt/swapped", file=file_label, bounds=where)
    if not in_degrees and west >= -360 and east <= 360 and south >= -90 and north <= 90:
        raise BoundaryError.of("crs-not-degrees/past-180", file=file_label, bounds=where)
    if not in_degrees:
        raise BoundaryError.of(
            "crs-not-degrees", file=file_label, name=crs.name, bounds=where, guess=_guess(numbers, terms)
        )
    if terms.axes is None and max(abs(south), abs(north)) > FARTHEST_FIELD_DEG and fits_swapped:
        raise BoundaryError.of(
            "axes-in-doubt/ice", file=file_label, south_deg=south, north_deg=north, bounds=where
        )


def _transformer(
    crs: CRS,
    bounds: tuple[float, float, float, float],
    numbers: Numbers,
    where: Fact,
    terms: ReadingTerms,
    file_label: str,
) -> tuple[Transformer | None, list[Note]]:
    """The most accurate conversion at hand for these bounds, with a note if it may be a meter off."""
    notes = []
    if crs.is_projected and abs(unit_m(crs) - FOOT_M) < 1e-5:
        survey = abs(unit_m(crs) - SURVEY_FOOT_M) < 1e-9
        notes.append(Note(code="feet", case="survey" if survey else "international"))
    if is_wgs84(crs):
        return None, notes
    try:
        best = conversion_for(crs, bounds)
    except ProjError:
        fits = _offered(crs, numbers, terms, *_others(crs, numbers, far=True))
        raise BoundaryError.of(
            "coordinates-off-earth/layer", file=file_label, name=crs.name, bounds=where, cure=fits
        ) from None
    accuracy_m = best.transformer.accuracy
    if not 0 <= accuracy_m < NOTABLE_ACCURACY_M:
        known: dict[str, Value] = {"accuracy_m": accuracy_m} if accuracy_m >= 0 else {}
        better = "" if best.is_best else fact("better-grid")
        values = {**known, "name": crs.name, "better": better}
        notes.append(Note(code="datum-accuracy", case="" if known else "unknown", values=values))
    return best.transformer, notes


def _others(crs: CRS, numbers: Numbers, *, far: bool) -> tuple[list[Reading], list[Reading]]:
    """Other readings that fit: another unit, a neighboring zone or the web map; then others of the area."""
    if not crs.is_projected:
        return [], []
    related = [*unit_twins(crs, numbers), *neighbors(crs, numbers), *web_mercator(numbers)]
    related.sort(key=lambda reading: not reading.registered)
    return related, used_there(crs, numbers, everywhere=far)


def _offered(
    crs: CRS, numbers: Numbers, terms: ReadingTerms, related: list[Reading], others: list[Reading]
) -> Fact | None:
    """What would fit, for a hint; if many systems would, only that ``--near`` would tell which."""
    if terms.near is not None and crs.is_projected and (home := near_home(numbers, terms.near)):
        return fact("offer/near", fits=first_few(home))
    n = len(related) + len(others)
    if n > MAX_NAMED:
        named = first_few(related)
        return fact("offer/many", fits=named, n_others=n - len(named))
    return fact("offer/fits", fits=first_few([*related, *others])) if n else None


def _in_use(
    crs: CRS,
    use: Bounds,
    transformer: Transformer | None,
    numbers: Numbers,
    where: Fact,
    terms: ReadingTerms,
    file_label: str,
) -> list[Note]:
    """Notes on whether coordinates lie where their reference system is used.

    Raises an error if they lie far outside, or outside where another reading would fit. Some counties use
    one zone for the whole state, so coordinates up to the area's width beyond its edge are possible.
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
    too_far = placed and beyond_m(use, middle(lonlat)) > MAX_BEYOND_M
    far = float(np.median(off)) > MAX_OUTSIDE_USE or too_far
    if terms.place_is_right and placed:
        return [_past_use(crs, use, worst, case="meant")]
    related, others = _others(crs, numbers, far=far)
    related = [reading for reading in related if far or reading.registered]
    slip = slipped(use, numbers) if crs.is_geographic else None
    if not (far or related or others or slip):
        return [_past_use(crs, use, worst)]
    raise BoundaryError.of(
        "crs-elsewhere/far" if far else "crs-elsewhere/outside",
        file=file_label,
        name=crs.name,
        bounds=where,
        ground=ground(middle(lonlat), numbers.area_m2(place)) if placed else "",
        meant=slip or _offered(crs, numbers, terms, related, others) or fact("try/crs"),
    )


def _past_use(crs: CRS, use: Bounds, worst: Place, case: str = "") -> Note:
    """The note that places lie outside the area where a system is used, and how far."""
    values: dict[str, Value] = {"worst_lonlat": worst, "beyond_m": beyond_m(use, worst), "name": crs.name}
    return Note(code="outside-use", case=case, values=values)


def _anywhere(crs: CRS, lonlat: Points) -> Note:
    """The note that a system used everywhere cannot be checked, with the place it gives."""
    return Note(code="anywhere", values={"name": crs.name}, places={"first": middle(lonlat)})


def _twin_inside(crs: CRS, numbers: Numbers, place: Callable[[Points], Points]) -> list[Note]:
    """The note that the numbers would lie in the same zone in the other unit too, with other acres.

    The unit that the file declares is used.
    """
    twins = [twin for twin in unit_twins(crs, numbers) if twin.registered]
    if not twins:
        return []
    declared_m2 = numbers.area_m2(place)
    n = max(1, len(numbers.points))
    odd = not _plausible(declared_m2 / n) and _plausible(twins[0].area_m2 / n)
    in_feet = unit_m(crs) < 1.0  # feet read as meters seldom fit the zone; meters read as feet often do
    values: dict[str, Value] = {
        "own_m2": declared_m2,
        "other": twins[0].name,
        "other_lonlat": twins[0].place,
        "other_m2": twins[0].area_m2,
    }
    return [Note(code="unit-in-doubt", values=values, warning=declared_m2 > 0 and (odd or in_feet))]


def _plausible(field_m2: float) -> bool:
    return _PLAUSIBLE_M2[0] <= field_m2 <= _PLAUSIBLE_M2[1]
