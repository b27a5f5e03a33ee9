"""What is published of a species, for a notebook."""

from __future__ import annotations

from fieldplan.model.species import SpeciesFacts
from fieldplan.seed.known import species_facts


def species(name: str, *, variety: str = "", form: str = "") -> SpeciesFacts:
    """What is published of a species: each figure with its source, and what has to be asked for.

    Parameters
    ----------
    name
        A common, scientific or other name, or a federal plant symbol; a variety may follow, and it may be
        misspelled. For a name that the tables do not know, ``kind`` of the result is empty.
    variety, form
        As the seed tag names them: they choose among counts.

    Returns
    -------
    SpeciesFacts
        In SI.

    Examples
    --------
    >>> import fieldplan
    >>> grass = fieldplan.species("Panicum virgatum")
    >>> grass.kind, round(grass.count.low_per_kg * 0.45359237), round(grass.count.high_per_kg * 0.45359237)
    ('switchgrass', 224000, 426000)
    >>> grass.asked
    ('agitator', 'light')
    """
    return species_facts(name, variety=variety, form=form)
