"""A first plan that nobody asked for, so that nobody waits for what only the first one needs.

Loops of the coverage are compiled when they are first called, once on a machine for each version, which takes
up to a minute; and each process loads them. This draft calls them: a field with a bend, a hole and a pond. Its
answer is not shown, and its numbers mean nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from shapely import Point, Polygon

from fieldplan.web.draft import Draft, Drawn

_OUTLINE = (
    (-95.0, 44.0), (-94.998, 44.0), (-94.9981, 44.0008), (-94.999, 44.0009), (-94.9991, 44.0015), (-95.0, 44.0014),
)  # fmt: skip
_TABLES = {
    "drill": {
        **{"name": "any", "rows": 16, "row_spacing": "20 cm", "turning_radius": "6 m"},
        "box": [{"name": "native", "kind": "native", "volume": "500 l"}],
    },
    "mix": [
        {
            "name": "any",
            "component": [
                {
                    **{"species": "switchgrass", "box": "native", "rate": "7 kg/ha PLS", "purity": "95 %"},
                    **{"germination": "80 %", "bulk_weight": "600 g/l"},
                }
            ],
        }
    ],
    "booking": {"fieldwork_day_chance": "60 %"},
}


def draft() -> Draft:
    """The draft."""
    hole = Point(-94.9988, 44.0004).buffer(0.0001, quad_segs=2)
    pond = Point(-94.9995, 44.0011).buffer(0.0001, quad_segs=3)
    ground = Polygon(_OUTLINE, [hole.exterior.coords])
    field = Drawn(key="f", layer="fields", geometry=ground, attributes={"id": "f"})
    cut = Drawn(
        key="p", layer="exclusions", geometry=pond, attributes={"reason": "pond", "set_back": "2 m"}
    )
    return Draft(ground=(field, cut), tables=_TABLES)


def tell_when_compiling(told: Callable[[], None]) -> None:
    """Call something each time that this process begins to compile a loop; not when it loads one."""
    from numba.core import event

    class Compiling(event.Listener):  # type: ignore[misc, unused-ignore]
        def on_start(self, event: Any) -> None:
            """It begins."""
            del event
            told()

        def on_end(self, event: Any) -> None:
            """Nothing is told."""

    register: Any = event.register
    register("numba:compile", Compiling())
