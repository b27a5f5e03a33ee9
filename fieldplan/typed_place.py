"""A place as people write it: degrees, minutes and seconds, hemispheres by letter or sign, points or decimal commas."""

from __future__ import annotations

import re

_SIGNS = str.maketrans(
    {"′": "'", "’": "'", "‘": "'", "″": '"', "”": '"', "“": '"', "º": "°", "˚": "°", "−": "-", "–": "-"}
    | {"\u00a0": " ", "\u202f": " "}
)
_WORDS = {"NORTH": "N", "SOUTH": "S", "EAST": "E", "WEST": "W"}
_ISO = re.compile(
    r"([+-])(\d{2,6})(\.\d+)?([+-])(\d{2,7})(\.\d+)?(?:[+-]\d+(?:\.\d+)?)?(?:CRS\w*)?/?", re.ASCII
)
"""ISO 6709, annex H: how many digits stand before the point tells degrees from minutes and seconds."""
_NUMBER = r"\d+(?:[.,]\d+)?"
_ANGLE = re.compile(
    rf"(?P<before>[NSEW]?)\s*(?P<sign>[+-]?)\s*(?P<deg>{_NUMBER})\s*(?:°|DEG)?"
    rf"(?:[\s:]*(?P<min>{_NUMBER})\s*(?:'|MIN)?(?:[\s:]*(?P<sec>{_NUMBER})\s*(?:\"|''|SEC)?)?)?\s*(?P<after>[NSEW]?)",
    re.ASCII,
)


def place_in(text: str) -> tuple[float, float] | None:
    """The place that a text gives, as longitude and latitude in degrees; ``None`` if it gives none, or leaves open which.

    Parameters
    ----------
    text
        Latitude first, or in any order with hemispheres named. Of the two either both have a letter or none. A comma may
        part the two, or begin the decimals where a semicolon, a blank or letters part them.

    Examples
    --------
    >>> place_in("44.25,-95.75"), place_in("44° 15' N, 95° 45' W"), place_in("44,25; -95,75")
    ((-95.75, 44.25), (-95.75, 44.25), (-95.75, 44.25))
    """
    plain = text.translate(_SIGNS).upper().strip()
    for word, letter in _WORDS.items():
        plain = plain.replace(word, letter)
    if iso := _ISO.fullmatch(plain):
        return _on_earth(_packed(iso[1], iso[2], iso[3], 2), _packed(iso[4], iso[5], iso[6], 3))
    found = [angle for half in _halves(plain) if (angle := _angle(half)) is not None]
    if len(found) != 2:
        return None
    (one, here), (other, there) = found
    if here + there in ("", "NE"):
        return _on_earth(one, other)
    return _on_earth(other, one) if here + there == "EN" else None


def _halves(plain: str) -> list[str]:
    """The texts of the two angles."""
    if ";" in plain:
        return plain.split(";")
    lettered = re.fullmatch(
        r"([NSEW][^NSEW]+?)[\s,]*([NSEW][^NSEW]+)|([^NSEW]+[NSEW])[\s,]*([^NSEW]+[NSEW])", plain
    )
    if lettered:
        return [half for half in lettered.groups() if half is not None]
    for apart in (r",\s+", ",", r"\s+"):
        if len(halves := re.split(apart, plain)) == 2:
            return halves
    return []


def _angle(half: str) -> tuple[float, str] | None:
    """Degrees north or east, and the axis, "N" or "E", where a letter names it."""
    read = _ANGLE.fullmatch(half.strip())
    if read is None or (read["before"] and read["after"]):
        return None
    parts = [part.replace(",", ".") for part in (read["deg"], read["min"], read["sec"]) if part]
    if any("." in part for part in parts[:-1]) or any(float(part) >= 60 for part in parts[1:]):
        return None
    degrees = sum(float(part) / 60.0**n for n, part in enumerate(parts))
    letter = read["before"] or read["after"]
    if letter and read["sign"]:
        return None
    negative = read["sign"] == "-" or letter in ("S", "W")
    return (-degrees if negative else degrees), {"S": "N", "W": "E"}.get(letter, letter)


def _packed(sign: str, digits: str, decimals: str | None, n_deg: int) -> float | None:
    """An angle whose degrees, minutes and seconds stand together, two digits each but for ``n_deg`` of degrees."""
    if len(digits) <= n_deg:
        parts = [digits]
    elif (len(digits) - n_deg) % 2 == 0:
        parts = [digits[:n_deg], *(digits[at : at + 2] for at in range(n_deg, len(digits), 2))]
    else:
        return None
    parts[-1] += decimals or ""
    if any(float(part) >= 60 for part in parts[1:]):
        return None
    degrees = sum(float(part) / 60.0**n for n, part in enumerate(parts))
    return -degrees if sign == "-" else degrees


def _on_earth(lat: float | None, lon: float | None) -> tuple[float, float] | None:
    if lat is None or lon is None or not (-90 <= lat <= 90 and -180 <= lon <= 180):
        return None
    return lon, lat
