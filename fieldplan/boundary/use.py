"""Which other reference systems would put the same numbers where those are used."""

from __future__ import annotations

import re
import warnings
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np
import shapely
from pyproj import CRS, Proj
from pyproj.database import CRSInfo, query_crs_info
from pyproj.enums import PJType
from pyproj.exceptions import CRSError, ProjError

from fieldplan.boundary.acreage import distance_m, geodesic_area_m2
from fieldplan.boundary.area_of_use import (
    FARTHEST_FIELD_DEG,
    Bounds,
    Place,
    Points,
    area_of_use,
    horizontal,
    outside,
    unit_m,
)
from fieldplan.boundary.conversion import once_a_system
from fieldplan.boundary.layer import Feature
from fieldplan.boundary.lines import closed, lines_in
from fieldplan.boundary.outlines import polygons_in
from fieldplan.boundary.slips import SLIPS
from fieldplan.facts import Fact, fact
from fieldplan.units import FOOT_M

SURVEY_FOOT_M = 1200 / 3937
MAX_NAMED = 3
NEAR_HOME_M = 500_000.0
_SAME_PLACE_M = 1_000.0
"""Readings closer together than this differ only by their datum."""
_SURELY_WEB_MERCATOR_M = (5e6, 2e6)
"""No zone has eastings (or negative ones) and northings both as large as this, in meters or feet."""
_CONTINENTS = ("5070", "3035")
"""Equal-area systems for maps of whole continents: North America and Europe."""
_UNITS = (
    (1.0, fact("length-unit/metre"), ""),
    (SURVEY_FOOT_M, fact("length-unit/survey-foot"), " (ftUS)"),
    (FOOT_M, fact("length-unit/foot"), " (ft)"),
)
_NAMELESS = ("unknown", "unnamed", "undefined")
_SUFFIX = re.compile(r" \((ftUS|ft|m)\)$")
_WORLD = (-180.0, -90.0, 180.0, 90.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One way to read a layer's numbers.

    Parameters
    ----------
    name
        What the numbers would be.
    option
        The option that makes fieldplan read them so.
    place
        Longitude and latitude where they would lie.
    area_m2
        What their outlines would measure.
    registered
        Whether the reference system has a code, as systems in use have.
    """

    name: Fact | str
    option: str
    place: Place
    area_m2: float
    registered: bool = True

    @property
    def outcome(self) -> Fact:
        """The part of a sentence that says where this reading puts the numbers."""
        return fact("reading", name=self.name, option=self.option, ground=ground(self.place, self.area_m2))


def ground(place: Place, area_m2: float) -> Fact:
    """The part of a sentence that says where numbers lie, and the area they enclose if any."""
    if area_m2 <= 0:
        return fact("ground/place", at_lonlat=place)
    return fact("ground/acres", at_lonlat=place, ground_m2=area_m2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbers:
    """The coordinates of a layer, as bare numbers.

    Parameters
    ----------
    points
        One point of each feature, shape (n, 2), swapped already if ``swapped``.
    features
        The features, for their areas.
    swapped
        The file has the second axis first.
    """

    points: Points
    features: Sequence[Feature]
    swapped: bool

    def area_m2(self, place: Callable[[Points], Points]) -> float:
        """Area of all outlines and closed lines in m², when read one way.

        Parameters
        ----------
        place
            From numbers to longitude and latitude, both of shape (n, 2).
        """
        total = 0.0
        for feature in self.features:
            if feature.geometry is None:
                continue
            with np.errstate(invalid="ignore"):
                drawn = shapely.transform(
                    shapely.force_2d(feature.geometry),
                    lambda xy: place(xy[:, ::-1] if self.swapped else xy),
                )
            if np.isfinite(shapely.get_coordinates(drawn)).all():
                grounds = [closed(line) for line in lines_in(drawn)]
                total += sum(
                    geodesic_area_m2(ground)
                    for ground in (*polygons_in(drawn), *grounds)
                    if ground is not None
                )
        return total

    def read(self, name: Fact | str, option: str, place: Callable[[Points], Points]) -> Reading:
        """The reading that a reference system would give.

        Parameters
        ----------
        name, option
            As in `Reading`.
        place
            From numbers to longitude and latitude, both of shape (n, 2).
        """
        lon, lat = middle(place(self.points))
        return Reading(
            name=name, option=option, place=((lon + 180) % 360 - 180, lat), area_m2=self.area_m2(place)
        )


def middle(lonlat: Points) -> Place:
    """The place nearest to the median of all, as longitude and latitude; NaN if none is finite."""
    sound = lonlat[np.isfinite(lonlat).all(axis=1)]
    if len(sound) == 0:
        return float("nan"), float("nan")
    lon, lat = sound[np.abs(sound - np.median(sound, axis=0)).sum(axis=1).argmin()]
    return float(lon), float(lat)


def unit_twins(crs: CRS, numbers: Numbers) -> list[Reading]:
    """The same projection in meters or feet, if that puts the numbers where the system is used."""
    use, declared_m = area_of_use(crs), unit_m(crs)
    if use is None or not crs.is_projected or use[2] - use[0] >= 360.0:
        return []
    found: list[Reading] = []
    for in_m, unit, suffix in _UNITS:
        same_unit = abs(in_m / declared_m - 1) < 1e-5
        other_foot = found and in_m < 1.0  # the two feet differ by 2 in a million: one is enough
        if same_unit or other_foot:
            continue
        place = _inverse(crs, in_m / declared_m)
        if place is None or outside(use, place(numbers.points)).any():
            continue
        base = _SUFFIX.sub("", _known_name(crs))
        twin = _by_name(base + suffix, in_m)
        if twin is None and in_m < 1.0:
            twin = _by_name(f"{base} (ft)", FOOT_M)
        twin = twin or _by_parameters(crs, in_m)
        if twin is not None:
            found.append(numbers.read(twin.name, f"--crs EPSG:{twin.code}", place))
            continue
        nameless = fact("read-as/same-projection", unit=unit)
        name = nameless if base in _NAMELESS else fact("read-as/in-unit", base=base, unit=unit)
        found.append(replace(numbers.read(name, _spelled_out(crs, in_m), place), registered=False))
    return found


def neighbors(crs: CRS, numbers: Numbers) -> list[Reading]:
    """Other zones of the same projection that put the numbers where they are used.

    Zones of a state, or of UTM, north and south. Those in the longitudes of the declared zone come first.
    """
    use, declared = area_of_use(crs), _SUFFIX.sub("", _known_name(crs))
    datum, _, zone = declared.partition(" / ")
    family = _family(zone)
    if use is None or not family:
        return []
    found = []
    for info in _projected():
        other_datum, _, other_zone = info.name.partition(" / ")
        same_family = other_datum == datum and _family(other_zone) == family
        if not same_family or _SUFFIX.sub("", info.name) == declared or not _beside(use, info):
            continue
        if (reading := _fitting(CRS.from_epsg(info.code), numbers)) is not None:
            found.append(reading)
    longitudes = (use[0], -90.0, use[2], 90.0)
    return sorted(found, key=lambda reading: outside(longitudes, np.array([reading.place]))[0])


def web_mercator(numbers: Numbers) -> list[Reading]:
    """Web Mercator, if the numbers can hardly be anything else; at most one reading."""
    x, y = np.abs(numbers.points).T
    large = (x > _SURELY_WEB_MERCATOR_M[0]) & ((y > _SURELY_WEB_MERCATOR_M[1]) | (numbers.points[:, 0] < 0))
    reading = _fitting(CRS.from_epsg(3857), numbers, _WORLD) if large.all() else None
    return [reading] if reading else []


def used_there(crs: CRS, numbers: Numbers, *, everywhere: bool) -> list[Reading]:
    """Other systems used in the same area that put the numbers into it: of whole continents, UTM, states.

    Systems that put the numbers at the same place are named once.

    Parameters
    ----------
    everywhere
        Look at national systems too, which helps only if the numbers cannot be in the declared one.
    """
    use = area_of_use(crs)
    if use is None or use[2] - use[0] >= 360.0:
        return []
    codes = [*_CONTINENTS]
    declared = _family(_known_name(crs).partition(" / ")[2])
    for info in sorted(_projected(), key=lambda info: not _usual(info)):
        if info.code in ("3857", *_CONTINENTS) or not (everywhere or _usual(info)):
            continue
        if _family(info.name.partition(" / ")[2]) != declared and _beside(use, info):
            codes.append(info.code)
    readings = (_fitting(CRS.from_epsg(code), numbers, use) for code in codes)
    return _apart([reading for reading in readings if reading is not None])


def _usual(info: CRSInfo) -> bool:
    """Whether a system stands for its zone on all datums: UTM on WGS 84, or a state zone on NAD83."""
    datum, _, zone = info.name.partition(" / ")
    return (datum, zone.startswith("UTM")) in (("WGS 84", True), ("NAD83", False))


def _apart(readings: Sequence[Reading]) -> list[Reading]:
    """The readings, only the first of those at the same place."""
    found: list[Reading] = []
    for reading in readings:
        if all(distance_m(reading.place, other.place) > _SAME_PLACE_M for other in found):
            found.append(reading)
    return found


def slipped(use: Bounds, numbers: Numbers) -> Fact | None:
    """For a hint: the slips that would explain degrees outside the area where their system is used."""
    found: dict[Place, Fact] = {}
    for slip in SLIPS:
        moved = np.column_stack(slip.undone(*numbers.points.T))
        if not outside(use, moved).any():
            found.setdefault(middle(moved), slip.what)
    belongs = [fact("belongs", slip=what, place_lonlat=place) for place, what in found.items()]
    return fact("slips", belongs=tuple(belongs[:MAX_NAMED])) if belongs else None


def degrees(numbers: Numbers, use: Bounds | None) -> Iterator[Reading]:
    """Longitude and latitude in either order, if the numbers can be that; at most one reading.

    Parameters
    ----------
    use
        Where they must lie; ``None`` for anywhere.
    """
    for swapped, points in ((False, numbers.points), (True, numbers.points[:, ::-1])):
        on_land = (np.abs(points) <= (180.0, FARTHEST_FIELD_DEG)).all()
        if on_land and (use is None or (outside(use, points) <= 1.0).all()):
            name = fact("read-as/lat-lon" if swapped else "read-as/lon-lat")
            option = "--crs EPSG:4326 --axes lat-lon" if swapped else "--crs EPSG:4326"
            yield numbers.read(name, option, (lambda xy: xy[:, ::-1]) if swapped else (lambda xy: xy))
            return


def near_home(numbers: Numbers, near: Place) -> list[Reading]:
    """Projected systems used at a place that put the numbers near it, the nearest first.

    Parameters
    ----------
    near
        Longitude and latitude of the place, in degrees.
    """
    found = []
    for info in sorted(_projected(), key=lambda info: not _usual(info)):
        use = info.area_of_use
        if use is None or outside(use.bounds, np.array([near]))[0] > 0.5:
            continue
        reading = _fitting(CRS.from_epsg(info.code), numbers)
        if reading is not None and distance_m(reading.place, near) <= NEAR_HOME_M:
            found.append(reading)
    return sorted(_apart(found), key=lambda reading: distance_m(reading.place, near))


def first_few(readings: Iterable[Reading]) -> tuple[Fact, ...]:
    """The outcomes of the first few readings, as many as a hint names."""
    return tuple(reading.outcome for reading in list(readings)[:MAX_NAMED])


def _fitting(crs: CRS, numbers: Numbers, within: Bounds = _WORLD) -> Reading | None:
    place, use = _inverse(crs, 1.0), area_of_use(crs)
    if place is None or use is None:
        return None
    lonlat = place(numbers.points)
    if outside(use, lonlat).any() or outside(within, lonlat).any():
        return None
    return numbers.read(crs.name, f"--crs EPSG:{crs.to_epsg()}", place)


def _inverse(crs: CRS, scale: float) -> Callable[[Points], Points] | None:
    """From numbers (times a scale) to longitude and latitude on the system's own datum.

    The datum shift to WGS84, up to a few hundred meters, does not matter here.
    """
    project = _projection(crs)
    if project is None:
        return None

    def place(xy: Points) -> Points:
        lonlat: Any = np.column_stack(project(xy[:, 0] * scale, xy[:, 1] * scale, inverse=True))
        return np.where(np.abs(lonlat) < 1e6, lonlat, np.nan)

    return place


@once_a_system
def _projection(crs: CRS) -> Proj | None:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return Proj(horizontal(crs))
    except (CRSError, ProjError):
        return None


def _by_parameters(crs: CRS, in_m: float) -> CRSInfo | None:
    """The registered system that equals a nameless one in another unit."""
    if _known_name(crs) not in _NAMELESS:
        return None
    try:
        code = CRS.from_user_input(_parameters(crs, in_m)).to_epsg()
    except CRSError:
        return None
    return next((info for info in _projected() if code is not None and info.code == str(code)), None)


def _spelled_out(crs: CRS, in_m: float) -> str:
    """The option for a system without a code, its parameters written out."""
    return f'--crs "{_parameters(crs, in_m)}"'


def _parameters(crs: CRS, in_m: float) -> str:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        text = horizontal(crs).to_proj4()
    unit = {1.0: "m", SURVEY_FOOT_M: "us-ft"}.get(in_m, "ft")
    words = [
        word for word in text.split() if not word.startswith(("+units", "+to_meter", "+no_defs", "+type"))
    ]
    return " ".join([*words, f"+units={unit}"])


@once_a_system
def _known_name(crs: CRS) -> str:
    flat = horizontal(crs)
    flat = flat.source_crs if flat.is_bound and flat.source_crs else flat
    code = flat.to_epsg()
    return CRS.from_epsg(code).name if code else flat.name


@lru_cache(maxsize=1)
def _projected() -> tuple[CRSInfo, ...]:
    return tuple(query_crs_info(auth_name="EPSG", pj_types=[PJType.PROJECTED_CRS]))


def _by_name(name: str, in_m: float) -> CRSInfo | None:
    for info in _projected():
        if info.name == name and abs(unit_m(CRS.from_epsg(info.code)) / in_m - 1) < 1e-9:
            return info
    return None


def _family(zone: str) -> str:
    """What zones of one projection share in their names: "Texas", "UTM", "CC"."""
    words = zone.split()
    return re.sub(r"[\d.]+\w?$", "", words[0]) if words else ""


def _beside(use: Bounds, info: CRSInfo) -> bool:
    """Whether another system is used in the same area or within a width of it, north or south."""
    if info.area_of_use is None:
        return False
    west, _, east, _ = info.area_of_use.bounds
    middle_lon = west + ((east - west) % 360.0) / 2
    return bool(outside((use[0], -90.0, use[2], 90.0), np.array([[middle_lon, 0.0]]))[0] <= 2.0)
