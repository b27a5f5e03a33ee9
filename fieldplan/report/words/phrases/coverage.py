"""Phrases about passes, headland rounds, and ground that is missed."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_SPLIT_IT = "split it into several fields, or give smallest_obstacle in the job file a larger area"
_PARTS_AND_HOLES = (
    "has {n_parts} {n_parts|part|parts} and {n_holes} {n_holes|hole|holes} to go around; a route can be planned "
    "over at most {n_most_parts} parts and {n_most_holes} holes"
)
_ASTRAY = (
    "lies {away_m} from the field and is ignored: the field is planned as if none were given. "
    "Give latitude and longitude of a place beside the field."
)
_CROSS_IT = 'Give it the attribute headland = "no" to have it crossed all the same.'
PHRASES: dict[str, Phrase] = {
    "blocks-cut": Phrase(
        "The field is cut into blocks, each with its own heading: saves {saved_s} compared with one heading."
    ),
    "crossed-lifted": Phrase(
        "{n_passes} {n_passes|pass goes|passes go} on across {reason} with the drill raised, {lifted_m:0} in all with "
        "headland rounds.< {sown_m2} of it are sown: the drill is down until its whole width is over it.>",
        short="{n_passes} {n_passes|pass goes|passes go} on across {reason} with the drill raised.< {sown_m2} of it are sown.>",
    ),
    "crossed-lifted/around": Phrase(
        "Headland rounds are laid along {reason}: passes on across it, with the drill raised, would take {longer_s} "
        f"longer< and sow {{sown_m2}} of it>. {_CROSS_IT}",
        short='Headland rounds are laid along {reason}. To have it crossed raised, give it headland = "no".',
    ),
    "crossed-lifted/around-sown": Phrase(
        "Headland rounds are laid along {reason}: passes on across it, with the drill raised, would save {longer_s} "
        f"but sow {{sown_m2}} of it. {_CROSS_IT}",
        short='Headland rounds are laid along {reason}. To have it crossed raised, give it headland = "no".',
    ),
    "crossed-lifted/much-sown": Phrase(
        "{sown_m2} of {reason} are sown, since passes meet it so obliquely or run along it. Give it the attribute "
        'headland = "yes" to have headland rounds along it instead. {n_passes} {n_passes|pass goes|passes go} on '
        "across it with the drill raised, {lifted_m:0} in all with headland rounds."
    ),
    "edge-open": Phrase("Its outer edge is open: turns and transfers may swing out over it, lifted."),
    "edge-open/part": Phrase(
        "{open_m:0} of its outer edge of {edge_m:0} are open: turns and transfers may swing out there, lifted."
    ),
    "field-scattered": Phrase(_PARTS_AND_HOLES, hint=_SPLIT_IT),
    "field-scattered/undriven": Phrase(
        f"The ground {_PARTS_AND_HOLES}. Nothing is drilled there and all of its ground ({{missed_m2}}) is missed. "
        f"Try: {_SPLIT_IT}."
    ),
    "field-too-narrow": Phrase(
        "is nowhere as wide as the drill ({drill_width_m:1})",
        hint="leave it out, or plan it with a narrower drill",
    ),
    "field-too-narrow/undriven": Phrase(
        "No pass of the drill, {drill_width_m:2} wide, fits: the ground is at most {widest_m:2} wide. Nothing is "
        "drilled there and all of its ground ({missed_m2}) is missed. Use a drill no wider than the ground, or "
        "leave the field out."
    ),
    "gate-assumed": Phrase(
        "No gate was given: the corner of the field that saves most travel stands for it.",
        short="No gate was given: a corner stands for it; give gate in [field.ID].",
    ),
    "gate-astray": Phrase(f"its gate in the job file {_ASTRAY}"),
    "gate-far": Phrase(
        "The gate lies {away_m:0} from the field: every refill drives there and back. Check its place."
    ),
    "ground-missed": Phrase(
        "{missed_frac:1} of the ground is missed: it is narrower than the drill, out of its reach, or a corner too "
        "small to come back for. It is drawn in the layer 'missed'.< The largest piece lies at {piece}.>",
        short="{missed_frac:1} of the ground is missed: narrow, out of reach or small corners.< Largest at {piece}.>",
    ),
    "layout-thinned": Phrase(
        "The outline is so ragged that passes were laid out on a copy smoothed by up to {smoothed_m:2}. Acres and "
        "ground covered are measured on the full outline."
    ),
    "obstacles-driven-over": Phrase(
        "The drill does not go around {n_holes} {n_holes|hole|holes} smaller than {smallest_small_m2}: it passes over "
        "or beside {n_holes|it|them}, lifted where it must be."
    ),
    "obstacles-gone-by": Phrase(
        "Passes go by {n_holes} small {n_holes|obstacle|obstacles}, lifted, instead of headland rounds about "
        "{n_holes|it|each}: about {left_small_m2} stays unsown there."
    ),
    "search-quick": Phrase(
        'Few routes were compared (search = "quick"): the usual search finds routes that take about 1 % less time over many '
        "fields, up to 4 % less on single ones and more on narrow ones.",
        short="Few routes were compared (quick search).",
    ),
    "search-thorough": Phrase(
        "Whole plans at 60 headings all round were compared: saves {saved_s} over the usual search."
    ),
    "search-thorough/no-better": Phrase(
        "Whole plans at 60 headings all round were compared: none saves half a minute over the usual search."
    ),
    "order-plain": Phrase(
        "Passes are driven in the plain order: it takes {extra_s} more than the order with the least turning."
    ),
    "order-plain/no-longer": Phrase(
        "Passes are driven in the plain order: here it takes no longer than the order with the least turning."
    ),
    "outline-jagged": Phrase(
        "The outline has jags smaller than the drill. A straighter line up to {away_m:2} inside it is driven: see the "
        "layer 'drive_line'. Acres and ground covered are measured on the outline.",
        short="The outline has jags smaller than the drill: a straighter line up to {away_m:2} inside it is driven (layer 'drive_line').",
    ),
    "outline-jagged/steps": Phrase(
        "The outline is drawn in steps, so it knows the edge to {outside_m:2} at best. A straighter line up to "
        "{away_m:2} from it, and no more than {outside_m:2} outside, is driven: see the layer 'drive_line'. Where a "
        "fence or a ditch is the edge, say so (edge = \"fenced\" for the field, or a line in the layer 'edges'), and "
        "the line lies inside. Acres and ground covered are measured on the outline.",
        short="The outline is drawn in steps: a straighter line up to {away_m:2} from it, at most {outside_m:2} outside, is driven (layer 'drive_line'). Where a fence or a ditch is the edge, say edge = \"fenced\", and the line lies inside.",
    ),
    "guide-missing": Phrase(
        "No guide runs over the field, so passes are laid out as is best. Draw one in a layer 'guide', or give --guide."
    ),
    "guide-smoothed": Phrase(
        "The guide bends tighter than passes may ({pass_radius_m:1}): the passes keep up to {moved_m:1} from it."
    ),
    "heading-unused": Phrase("Passes follow the guide, so the heading asked for does not count here."),
    "passes-curved/along edge": Phrase(
        "{n_passes} {n_passes|pass follows|passes follow} a curved edge<, which saves {saved_s}>. The tightest bend has a "
        "radius of {radius_m:0}: the ends of the drill sow up to {rate_frac:1} more and less than its middle there.",
        short="{n_passes} {n_passes|pass follows|passes follow} a curved edge; tightest radius {radius_m:0}.",
    ),
    "contour-cost": Phrase(
        "Passes across the slope take {extra_s} longer than those at the quickest heading; straight ones across it would rise "
        "or fall too much in places, or take longer."
    ),
    "contour-cost/straight": Phrase(
        "Straight passes across the slope keep to the limit, and take {extra_s} longer than those at the quickest heading."
    ),
    "heights-missing": Phrase(
        "Passes across the slope need heights, so they are laid out as is best. Give a GeoTIFF with --elevation, or "
        "elevation in [working]."
    ),
    "passes-curved/contour": Phrase(
        "{n_passes} {n_passes|pass follows|passes follow} lines of equal height. The tightest bend has a radius of "
        "{radius_m:0}: the ends of the drill sow up to {rate_frac:1} more and less than its middle there.",
        short="{n_passes} {n_passes|pass follows|passes follow} lines of equal height; tightest radius {radius_m:0}.",
    ),
    "passes-curved/guide": Phrase(
        "{n_passes} {n_passes|pass follows|passes follow} the guide. The tightest bend has a radius of {radius_m:0}: the "
        "ends of the drill sow up to {rate_frac:1} more and less than its middle there.",
        short="{n_passes} {n_passes|pass follows|passes follow} the guide; tightest radius {radius_m:0}.",
    ),
    "rounds-alone": Phrase(
        "The field is driven in {n_rounds} {n_rounds|round|rounds} from its edge inward<, which saves {saved_s}>, and only what "
        "is left in the middle in passes.",
        short="Driven in {n_rounds} {n_rounds|round|rounds} from the edge inward; only the middle in passes.",
    ),
    "parts-apart": Phrase(
        "The field is in {n_parts} separate parts: the path from one to the next is straight, where they are nearest."
    ),
    "parts-missed": Phrase(
        "No pass of the drill fits on {n_missed} of its {n_parts} separate parts: that ground ({parts_m2}) is missed."
    ),
    "pockets-left": Phrase(
        "{n_pockets|A small piece|Small pieces} of ground, about {left_small_m2} in all, {n_pockets|stays|stay} unsown: no way "
        "as wide as the drill needs leads there from the rest of the field.< The largest lies at {piece}.> A narrower "
        "drill would reach {n_pockets|it|them}, or an edge that is said to be open.",
        short="{n_pockets} small {n_pockets|piece|pieces} of ground ({left_small_m2}) that no way as wide as the drill needs leads to {n_pockets|stays|stay} unsown.",
    ),
    "rounds-fewer": Phrase(
        "Only {n_rounds} of {n_wanted} headland rounds fit. The rest of the ground is sown in straight passes."
    ),
    "seed-astray": Phrase(f"its seed_at in the job file {_ASTRAY}"),
    "sown-outside": Phrase(
        "To sow oblique ends fully, the openers cover ground outside the field: {outside_frac:1} of its area. Where "
        "there is a fence, lift early and leave that ground."
    ),
    "sown-outside/crossed": Phrase(
        "To sow oblique ends fully, the openers cover ground that is not plantable, driven through or outside the "
        "field: {outside_frac:1} of its area. Where that must not be, lift early and leave the corner."
    ),
    "route-outside/transfer": Phrase(
        "{n_outside|Once|In several places} the drill must leave the field, by up to {outside_m:0}: parts of it "
        "are joined by less than the drill needs, or not at all.< The first place lies at {first}.> Drive around by "
        "the gate, use a narrower drill, or say where the edge is open."
    ),
    "route-outside/seed": Phrase(
        "On {n_outside} {n_outside|drive|drives} to the seed or back the drill must leave the field: no way as wide as it "
        "needs leads there. Set the seed down where the drill can reach it, or bring it along."
    ),
    "route-outside/turn": Phrase(
        "{n_outside} {n_outside|turn does|turns do} not fit inside the edge: the drill reaches up to {outside_m:0} past "
        "it.< The first lies at {first}.> Allow reverse, use a rig that turns tighter, or say where the edge is open."
    ),
    "rounds-weighed": Phrase(
        "{n_rounds} headland {n_rounds|round is|rounds are} about the quickest: more give room to turn, fewer leave longer "
        "passes."
    ),
    "turns-tight/transfer": Phrase(
        "On {n_tight} of {n_transfers} lifted {n_transfers|drive|drives} from place to place the rig turns tighter than it can: "
        "expect to go back and forth there.< The first begins at {first}.>",
        short="{n_tight} of {n_transfers} lifted {n_transfers|drive|drives} from place to place {n_tight|turns|turn} tighter than the rig can: expect to go back and forth.< First at {first}.>",
    ),
    "turns-tight/turn": Phrase(
        "{n_tight} of {n_turns} turns {n_tight|is|are} tighter than the rig can turn: expect to go back and forth, or leave "
        "that corner.< The first lies at {first}.>",
        short="{n_tight} of {n_turns} turns {n_tight|is|are} tighter than the rig can turn: go back and forth, or leave that corner.< First at {first}.>",
    ),
    "turns-backing": Phrase("{n_backing} of {n_turns} turns back up, {reverse_m} in all."),
    "turns-backing/more-rounds": Phrase(
        "{n_backing} of {n_turns} turns back up, {reverse_m} in all: the headland is not deep enough for others. "
        "{n_rounds} headland rounds would do away with most of them.",
        short="{n_backing} of {n_turns} turns back up; {n_rounds} headland rounds would do away with most.",
    ),
}
