"""Quantities for readers whose units are not known, such as whoever reads an error."""

from __future__ import annotations

from fieldplan.report.words.quantities import Quantities
from fieldplan.report.words.thousands import GROUPS


class BothUnits(Quantities):
    """Quantities in US units with metric ones in brackets, for readers whose units are not known."""

    def measured(self, name: str, value: float, digits: int | None = None) -> str:
        """A quantity in US units and, if that reads differently, in metric units: "98 ft (30 m)".

        Parameters
        ----------
        name, value, digits
            As in `Quantities.measured`.
        """
        us, metric = (Quantities(system).measured(name, value, digits) for system in ("us", "metric"))
        metric = metric.replace(GROUPS["metric"], GROUPS["us"])  # in one line thousands are parted alike
        return us if us == metric else f"{us} ({metric})"
