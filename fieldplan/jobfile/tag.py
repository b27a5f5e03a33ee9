"""What a seed tag says beyond plain shares: kind and variety, seed form, tests by tetrazolium."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fieldplan.facts import Measure, fact
from fieldplan.jobfile.check import Checker
from fieldplan.jobfile.plausible import Spot
from fieldplan.jobfile.seed_bands import known_species
from fieldplan.model.notes import Note
from fieldplan.tables.names import species_name
from fieldplan.tables.species import forms_of, kind_in_form, species_figure, type_in
from fieldplan.units import POUND_KG

SHARES = ("germination", "hard", "dormant")
_FORM_WORDS = {
    "bur": "burs",
    "in the bur": "burs",
    "caryopsis": "caryopses",
    "grain": "caryopses",
    "naked grain": "caryopses",
    "floret": "florets",
    "spikelets": "florets",
    "spikelet": "florets",
}
"""Other words for the forms of the species table."""


def name_kind(v: dict[str, Any], spot: Spot, checker: Checker) -> None:
    """Put the kind, variety and form that a component's names stand for into its values.

    A variety that is told by another name of the kind, as by "Austrian winter pea", is kept as such. A form
    that stands in the name, as in "buffalograss (burs)", counts as said.
    """
    typed = v["species"]
    name = known_species(checker, spot, species_name(typed))
    v.setdefault("variety", type_in(name, typed))
    forms = forms_of(name)
    said = v.get("form", "").casefold()
    form = _FORM_WORDS.get(said, said)
    if not form and forms:
        form = next((form for form in forms if form in typed.casefold()), "")
    if form and forms and form not in forms and form != "coated":
        checker.problem(
            "form-unknown", key="form", given=form, species=name, forms=tuple(forms), **spot.where
        )
        return
    v["form"], v["species"] = form, kind_in_form(name, form)
    if form == "coated" and not v.get("coating"):
        checker.notes.append(Note(code="coating-unsaid", warning=True, values={"table": spot.label}))


def ask_form(v: Mapping[str, Any], spot: Spot, checker: Checker, *, counted: bool) -> bool:
    """Ask for the form of seed whose count depends on it; return whether it is not said.

    Parameters
    ----------
    counted
        Whether the rate is turned into a weight by the table's count: then it is a problem, else a note.
    """
    forms = {} if v["form"] in forms_of(v["species"]) else forms_of(v["species"])
    if not forms:
        return False
    counts = tuple(
        fact(
            "seed-form",
            form=form,
            low=Measure(low / POUND_KG, "_seeds_per_kg"),
            high=Measure(high / POUND_KG, "_seeds_per_kg"),
        )
        for form, (low, high, _) in forms.items()
    )
    times = max(high for _, high, _ in forms.values()) / min(low for low, _, _ in forms.values())
    sources = tuple(dict.fromkeys(key for _, _, keys in forms.values() for key in keys))
    values = {"species": v["species"].partition(" (")[0], "forms": counts, "times_plain": times}
    if counted:
        names = tuple(f'"{form}"' for form in forms)
        checker.problem("form-missing", key="form", right=names, **values, **spot.where)
    elif "form" not in spot.meant:
        checker.notes.append(
            Note(code="form-unsaid", values={**values, "table": spot.label}, sources=sources)
        )
    return True


def settle_viability(
    v: dict[str, Any], given: Mapping[str, Any], spot: Spot, checker: Checker
) -> frozenset[str]:
    """Put the live shares into the values where a tetrazolium test gives them; return keys that are not said.

    With a germination test beside it, what the tetrazolium test finds beyond germination and hard seed is
    dormant, unless the tag says how much is. Without one, its share is all that is known to be live.
    """
    unsaid = {key for key in SHARES if key not in given}
    if "tz" not in v:
        return frozenset(unsaid)
    if "germination" in unsaid:
        v["germination"] = max(0.0, v["tz"] - v["hard"] - v["dormant"])
    elif "dormant" in unsaid:
        v["dormant"] = max(0.0, v["tz"] - v["germination"] - v["hard"])
        unsaid.discard("dormant")
    if v["tz"] < v["germination"] + v["hard"] - 1e-9:
        values = {
            "table": spot.label,
            "tz_typed_frac": v["tz"],
            "live_typed_frac": v["germination"] + v["hard"],
        }
        checker.notes.append(Note(code="tz-below-germination", warning=True, values=values))
    return frozenset(unsaid)


def published_counts(v: Mapping[str, Any]) -> tuple[float, float] | None:
    """Return the lowest and highest published count of the seed of a tag, per kg; ``None`` if there is none."""
    figure = species_figure(
        v["species"], "seeds per pound", variety=v.get("variety", ""), form=v.get("form", "")
    )
    return None if figure is None else (figure.low / POUND_KG, figure.high / POUND_KG)
