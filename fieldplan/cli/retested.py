"""New tags of lots, as the command line gives them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from fieldplan.errors import InputError, UsageError
from fieldplan.jobfile.schema import SCHEMA
from fieldplan.model.plan import Plan
from fieldplan.model.progress import LotPace
from fieldplan.model.seed import Component
from fieldplan.model.stock import Lot
from fieldplan.records.lots_in_sequence import tag_of
from fieldplan.seed.substitution import Tag

_SHARES = ("purity", "germination", "hard", "dormant")
_PART = re.compile(r"\s*(?P<name>[a-z]+)\s+(?P<value>\S.*?)\s*", re.IGNORECASE)


def retested(given: Sequence[str], plan: Plan, lots: Sequence[LotPace]) -> dict[Lot, Tag]:
    """New tags by species and lot; what a text does not name stays as the job file has it.

    Parameters
    ----------
    given
        Each such as "LB-1=germination 61 %, dormant 5 %"; the lot may be named by species, lot or both.
    lots
        The lots whose seed left is known.

    Raises
    ------
    UsageError
        If a text cannot be read, is of no such lot, or the tag cannot be.
    """
    found: dict[Lot, Tag] = {}
    for text in given:
        name, _, tag = text.partition("=")
        name = name.strip().casefold()
        keys = [
            (lot.species, lot.lot)
            for lot in lots
            if name in (lot.species.casefold(), lot.lot.casefold(), f"{lot.species} ({lot.lot})".casefold())
        ]
        if not name or len(keys) != 1:
            known = tuple(f"{lot.species} ({lot.lot})" if lot.lot else lot.species for lot in lots)
            raise UsageError.of("tag-which", about="--tag", given=text, known=known)
        component = next(
            part for mix in plan.job.mixes for part in mix.components if (part.species, part.lot) == keys[0]
        )
        try:
            found[keys[0]] = _with(component, _shares(tag))
        except InputError as error:
            raise UsageError.from_other(error, about="--tag") from None
    return found


def _with(component: Component, shares: Mapping[str, float]) -> Tag:
    """The tag of a lot with some of its shares changed; its other parts are of the old test."""
    return tag_of(
        replace(
            component,
            purity_frac=shares.get("purity", component.purity_frac),
            germination_frac=shares.get("germination", component.germination_frac),
            hard_frac=shares.get("hard", component.hard_frac),
            dormant_frac=shares.get("dormant", component.dormant_frac),
            inert_frac=None,
            other_crop_frac=None,
            weed_frac=None,
            coating_frac=0.0,
        )
    )


def _shares(text: str) -> dict[str, float]:
    shares = {}
    for part in text.split(","):
        match = _PART.fullmatch(part)
        if match is None or match["name"].casefold() not in _SHARES:
            raise InputError.of("tag-unreadable", given=text)
        name = match["name"].casefold()
        shares[name] = float(SCHEMA["mix.component"][name].parse(match["value"]))
    return shares
