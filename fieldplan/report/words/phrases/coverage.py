"""What is said of passes, headlands and ground that is missed."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_SPLIT_IT = "split it into several fields, or give smallest_obstacle in the job file a larger area"
_ASTRAY = (
    "lies {away_m} from the field and is left aside: planned as if none were given. "
    "Give latitude and longitude of a place beside the field."
)
PHRASES: dict[str, Phrase] = {
    "blocks-cut": Phrase(
        "Cut into blocks that are driven each in a heading of its own: saves {saved_s} against one heading."
    ),
    "corners-swing-out": Phrase(
        "At corners of the headland the drill loops up to {swing_m:0} past the edge (its middle, lifted): where a fence stands, "
        "say that the rig may back up (reverse_turns = true), or leave the corner unsown."
    ),
    "corners-swing-out/may-back-up": Phrase(
        "At corners of the headland the drill loops up to {swing_m:0} past the edge (its middle, lifted): where a fence stands, "
        "leave the corner unsown."
    ),
    "field-scattered": Phrase(
        "has {n_parts} {n_parts|part|parts} and {n_holes} {n_holes|hole|holes} to go round; a drive is laid over at most "
        "{n_most_parts} and {n_most_holes}",
        hint=_SPLIT_IT,
    ),
    "field-scattered/undriven": Phrase(
        "The ground has {n_parts} {n_parts|part|parts} and {n_holes} {n_holes|hole|holes} to go round; a drive is laid over at most "
        "{n_most_parts} and {n_most_holes}. Nothing is drilled there and all of its ground ({missed_m2}) is missed. "
        f"Try: {_SPLIT_IT}."
    ),
    "field-too-narrow": Phrase(
        "is nowhere as wide as the drill ({drill_width_m:1})",
        hint="leave it out, or plan it with a narrower drill",
    ),
    "field-too-narrow/undriven": Phrase(
        "No pass of the drill, {drill_width_m:2} wide, fits: the ground is at most {widest_m:2} wide. Planned as what it is: nothing is "
        "drilled there and all of its ground ({missed_m2}) is missed. A drill no wider than the ground would do, or leave the field out."
    ),
    "gate-assumed": Phrase(
        "No gate was given: the corner of the outline that saves most travel is taken as the gate."
    ),
    "gate-astray": Phrase(f"its gate in the job file {_ASTRAY}"),
    "gate-far": Phrase(
        "The gate given lies {away_m:0} from the field: every refill drives there and back. Check its place."
    ),
    "ground-missed": Phrase(
        "{missed_frac:1} of the ground is narrower than the drill, out of its reach or too small a corner to come back for, "
        "and stays unsown; it is drawn in the layer 'missed'.< The largest piece lies at {piece}.>"
    ),
    "layout-thinned": Phrase(
        "The outline is so finely ragged that passes were laid out on a copy smoothed by up to {smoothed_m:2}; acres "
        "and ground covered are measured on the full outline."
    ),
    "obstacles-driven-over": Phrase(
        "{n_holes} {n_holes|hole|holes} smaller than {smallest_small_m2} {n_holes|is|are} not gone round: the drill passes over or "
        "beside {n_holes|it|them}, lifted where it must be."
    ),
    "order-plain": Phrase(
        "Passes are driven in the plain order, which takes {extra_s} more than the order of least turning."
    ),
    "order-plain/no-longer": Phrase(
        "Passes are driven in the plain order, which here takes no longer than the order of least turning."
    ),
    "parts-apart": Phrase(
        "The field is in {n_parts} separate parts; from one to the next the way is straight, where they are nearest."
    ),
    "parts-missed": Phrase(
        "No pass of the drill fits on {n_missed} of its {n_parts} separate parts: that ground ({parts_m2}) is missed."
    ),
    "rounds-fewer": Phrase(
        "Only {n_rounds} of {n_wanted} headland rounds fit; what they leave is sown in straight passes."
    ),
    "seed-astray": Phrase(f"its seed_at in the job file {_ASTRAY}"),
    "sown-outside": Phrase(
        "The openers run {outside_frac:1} of the field's area past its edge to sow oblique ends fully; where a fence stands "
        "there, lift early and leave that ground."
    ),
    "turns-swing-out": Phrase(
        "Turns between passes swing past the edge of the field or into an obstacle by up to {swing_m:0} (middle of the "
        "drill, lifted: nothing is sown there): about {n_rounds} headland rounds would hold them, or a rig that turns tighter."
    ),
}
