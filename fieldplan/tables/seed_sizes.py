"""How many seeds of a lot make a kilogram: by its tag, or else by the species table."""

from __future__ import annotations

from fieldplan.model.seed import Component
from fieldplan.tables.species import species_figure
from fieldplan.units import POUND_KG


def seeds_per_kg_of(component: Component) -> float | None:
    """Seeds per kilogram of a lot; ``None`` if neither its tag nor the table has a usable figure."""
    if component.seeds_per_kg is not None:
        return component.seeds_per_kg
    figure = species_figure(
        component.species, "seeds per pound", variety=component.variety, form=component.form
    )
    return None if figure is None or figure.unfit else figure.value / POUND_KG
