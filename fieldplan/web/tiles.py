"""Images behind the map, which a browser asks for only where its reader has turned them on."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlsplit

from fieldplan.errors import UsageError

_EXAMPLE = "https://tiles.example.org/{z}/{x}/{y}.png"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tiles:
    """A service of map tiles in the usual squares of Web Mercator.

    Parameters
    ----------
    address
        With ``{z}``, ``{x}`` and ``{y}`` where the numbers of zoom, column and row go.
    attribution
        Who is named on the map.
    deepest
        The deepest zoom that the service has; nearer ones are enlarged.

    Raises
    ------
    UsageError
        If the address is not one of the kind.
    """

    address: str
    attribution: str = ""
    deepest: int = 19

    def __post_init__(self) -> None:
        """Check the address."""
        parts = urlsplit(self.address)
        named = all(place in self.address for place in ("{z}", "{x}", "{y}"))
        if parts.scheme not in ("https", "http") or not parts.hostname or not named:
            raise UsageError.of("tiles-address", about="--tiles", given=self.address, example=_EXAMPLE)

    @property
    def origin(self) -> str:
        """The server, as a content policy names it."""
        parts = urlsplit(self.address)
        return f"{parts.scheme}://{parts.netloc}"


NATIONAL_MAP = Tiles(
    address="https://basemap.nationalmap.gov/arcgis/rest/services/USGSImageryOnly/MapServer/tile/{z}/{y}/{x}",
    attribution="Aerial images: US Geological Survey, The National Map",
    deepest=16,
)
"""Aerial images of the United States in the public domain, without labels."""
