"""Compare a seed lot with what is published of its species and with what seed can be at all."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fieldplan.facts import Money, Value, fact
from fieldplan.jobfile.check import Checker
from fieldplan.jobfile.plausible import Spot
from fieldplan.model.live_seed import live_kg_per_m2
from fieldplan.model.notes import Note
from fieldplan.model.seed import Rate
from fieldplan.tables.names import misspelled, species_kind, species_names
from fieldplan.tables.species import published_bushel, sowing_rate, species_figure, usual_box
from fieldplan.units import ACRE_M2, BUSHEL_M3, POUND_KG

_TABLE = "mix.component"
_OVER = {
    "rate": "makes/over-full-stand",
    "seeds_per_pound": "makes/over-seed-size",
    "bulk_weight": "makes/over-bushel",
}
"""What a figure comes to, compared with the published one."""


def judge_lot(
    checker: Checker, spot: Spot, v: Mapping[str, Any], given: Mapping[str, Any], *, alone: bool
) -> None:
    """Record what is unlikely about a seed lot.

    Parameters
    ----------
    checker
        Takes warnings and refusals.
    spot
        The component's table.
    v
        Its values in SI.
    given
        Its values as the file has them.
    alone
        Whether it is the only component of its mix.
    """
    live = v["germination"] + v["hard"] + v["dormant"]
    if live <= 1 and not {"hard", "dormant"} & spot.meant:
        key = next(key for key in ("germination", "hard", "dormant", "tz") if key in given)
        alive = fact("makes/live", live_typed_frac=live)
        checker.judge(spot, key, f"{_TABLE}.live", live, "share", given=given[key], makes=alive)
    seeds = species_figure(
        v["species"], "seeds per pound", variety=v.get("variety", ""), form=v.get("form", "")
    )
    if seeds and not seeds.unfit and "seeds_per_pound" in v:
        size, published = v["seeds_per_pound"], (seeds.low, seeds.high)
        _judge_ratio(checker, spot, "seeds_per_pound", "over published", size, published, given)
    _judge_rate(checker, spot, v, given, v["purity"] * live, alone=alone)
    bushel = published_bushel(v["species"])
    if bushel:
        clean, low = min(1.0, v["purity"] + v["coating"]), fact("makes/low-for-a-crop")
        band = f"{_TABLE}.purity of clean seed"
        checker.judge(spot, "purity", band, clean, "share", given=given["purity"], makes=low)
    if bushel and not v["coating"]:
        lb_per_bu = v["bulk_weight"] * BUSHEL_M3 / POUND_KG
        _judge_ratio(checker, spot, "bulk_weight", "over published", lb_per_bu, bushel, given)
    if "price" in v and v["price"][1] == "$":
        _judge_price(checker, spot, v, given)


def _judge_price(checker: Checker, spot: Spot, v: Mapping[str, Any], given: Mapping[str, Any]) -> None:
    amount, _, kg = v["price"]
    per_kg = amount / (kg or v["bag"])
    per_lb = per_kg * POUND_KG
    comes_to = fact("makes/price", price_per_lb=Money(per_lb, "$"), price_per_kg=Money(per_kg, "$"))
    checker.judge(spot, "price", f"{_TABLE}.price", per_lb, None, given=given["price"], makes=comes_to)


def _judge_rate(
    checker: Checker,
    spot: Spot,
    v: Mapping[str, Any],
    given: Mapping[str, Any],
    pls_frac: float,
    *,
    alone: bool,
) -> None:
    rate: Rate = v["rate"]
    kind = rate.form.kind
    seeds = species_figure(
        v["species"], "seeds per pound", variety=v.get("variety", ""), form=v.get("form", "")
    )
    seeds_per_lb = v.get("seeds_per_pound") or (seeds.value if seeds and not seeds.unfit else None)
    live = live_kg_per_m2(rate, pls_frac, seeds_per_lb / POUND_KG if seeds_per_lb else None, None)
    if live is None:
        checker.judge(spot, "rate", f"{_TABLE}.rate {rate.basis}", rate.value, kind, given=given["rate"])
        return
    live_lb_per_ac = live * ACRE_M2 / POUND_KG
    published = sowing_rate(v["species"])
    if published:
        band = _rate_band(v["species"], alone=alone)
        _judge_ratio(checker, spot, "rate", band, live_lb_per_ac, published, given)
    size_is_likely = "seeds_per_pound" not in checker.unlikely(spot.label)
    if seeds_per_lb and rate.basis != "live seeds" and size_is_likely:
        per_m2 = live_lb_per_ac * seeds_per_lb / ACRE_M2
        comes_to = fact("makes/live-seeds", live_typed_seeds_per_m2=per_m2)
        band = f"{_TABLE}.rate live seeds"
        checker.judge(spot, "rate", band, per_m2, "count rate", given=given["rate"], makes=comes_to)
    checker.judge(spot, "rate", f"{_TABLE}.rate {rate.basis}", rate.value, kind, given=given["rate"])


def _rate_band(species: str, *, alone: bool) -> str:
    if alone:
        return "rate of full seeding rate alone"
    box = usual_box(species)
    grain = box is not None and box[0] == "grain" and published_bushel(species) is not None
    return "rate of a grain in a mix" if grain else "rate over full seeding rate"


def _judge_ratio(
    checker: Checker,
    spot: Spot,
    key: str,
    band: str,
    value: float,
    published: tuple[float, float],
    given: Mapping[str, Any],
) -> None:
    """Compare a figure with a published range: as a multiple of its high or a fraction of its low end."""
    low, high = published
    times = value / high if value > high else value / low if value < low else 1.0
    name = f"{_TABLE}.{key} {band}" if not band.startswith(key) else f"{_TABLE}.{band}"
    makes = fact(_OVER[key], times_plain=times)
    checker.judge(spot, key, name, times, None, given=given.get(key), makes=makes)


def known_species(checker: Checker, spot: Spot, species: str) -> str:
    """Return the species that a name stands for; one that can hardly be another is taken for it.

    A warning is recorded if it is spelled almost like a known one, a note if it is unknown.

    Parameters
    ----------
    checker
        Takes the note.
    spot
        The component's table.
    species
        Its species.
    """
    if "species" in spot.meant or species_kind(species).casefold() in species_names():
        return species
    near, surely = misspelled(species)
    if near:
        values: dict[str, Value] = {
            "table": spot.label,
            "species": species,
            "near": near,
            "line": spot.line("species"),
        }
        case = "taken" if surely else ""
        checker.notes.append(Note(code="species-like", case=case, warning=True, values=values))
        return near if surely else species
    names = (name for name in species_names() if len(name) > 5)
    kind = next((name for name in names if species.casefold().endswith(f" {name}")), "")
    variety = species[: -len(kind)].strip() if kind else ""
    values = {"table": spot.label, "species": species, "kind": kind, "variety": variety}
    checker.notes.append(Note(code="species-unlisted", values=values))
    return species
