"""Sentences with places for their values."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Phrase:
    """The sentence of a code, and what to try, as templates.

    ``{width_m}`` is a value in the reader's units; ``{width_m:1}`` the same with that many decimals, as for a
    number without a unit; ``{low_m..high_m}`` a range; ``{n_parts|part is|parts are}`` singular or plural by a
    count; ``{names*; }`` a list with its separator, by default a comma. Text in ``<…>`` is left out if a value
    named in it is missing or empty. The sentence of a problem follows what it is about ("… has no unit")
    unless it names ``{file}``, ``{about}`` or ``{key}`` itself.

    Parameters
    ----------
    text
        The sentence, for readers of US units and, if there is no other, of metric units.
    hint
        What to try, without a period at its end.
    metric
        The sentence for readers of metric units, where more than its quantities differs.
    metric_hint
        What to try, for them, where its example differs.
    short
        The sentence where there is little room, without what can be looked up on the whole page.
    """

    text: str
    hint: str = ""
    metric: str = ""
    metric_hint: str = ""
    short: str = ""
