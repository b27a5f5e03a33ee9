"""Sentences about boundary files."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_LEAVE_OUT = "draw it again, or --skip-bad to leave it out"
_CHOOSE = "choose with --layer or --where, or --repair to leave shared ground to the field that comes first"
PHRASES: dict[str, Phrase] = {
    "across-date-line": Phrase(
        "lies across the date line, or spans half the Earth",
        hint="cut it at longitude 180, or --skip-bad to leave it out",
    ),
    "another-where": Phrase("another --where; {values*; }"),
    "attribute-like": Phrase('fieldplan does not know the attribute "{named}": did you mean "{known}"?'),
    "attribute-unknown": Phrase(
        'no feature has the attribute "{attribute}" that {option} asks for',
        hint="one of its attributes: {known}",
    ),
    "attribute-values": Phrase("{attribute} is {known}"),
    "coordinates-not-finite": Phrase("has coordinates that are not numbers", hint="draw it again"),
    "coordinates-off-earth/feature": Phrase(
        "lies outside what {reference} covers", hint="check the reference system with --crs"
    ),
    "date-line": Phrase("Outlines that are cut at longitude 180 were put together there."),
    "cross-unreadable": Phrase(
        '{exclusion}: its attribute cross is "{given}" and was ignored: only cross = "lifted" says that the drill '
        "may be driven over that ground, lifted."
    ),
    "headland-unreadable": Phrase(
        '{exclusion}: its attribute headland is "{given}" and was ignored: it must be "yes" or "no".'
    ),
    "edge-drawn": Phrase(
        "The layer edges draws< {open_m:0} of its outer edge as open>< {fenced_m:0} as fenced>."
    ),
    "edge-elsewhere": Phrase(
        "A line of the layer edges, from {line}, follows the outer edge of no field within 5 m and was ignored.",
    ),
    "edge-unreadable": Phrase(
        'The attribute edge is "{given}" and was ignored: it must be "open" or "fenced".'
    ),
    "edge-unreadable/line": Phrase(
        'A line of the layer edges, from {line}, was ignored: its column edge must be "open" or "fenced"<, not "{given}">.'
    ),
    "guide-elsewhere": Phrase("A guide, from {line}, runs over no field and was ignored."),
    "guides-drawn": Phrase(
        "{n_guides} {n_guides|guide runs|guides run} over it, {over_m:0} in all: passes follow {n_guides|it|them}."
    ),
    "pattern-unreadable": Phrase(
        'The attribute pattern is "{given}" and was ignored: it must be one of {patterns}.'
    ),
    "exclusion-elsewhere": Phrase(
        '{n_exclusions} {n_exclusions|exclusion lies|exclusions lie} outside every field {n_exclusions|it applies|they apply} to; the first is "{reason}" at {first}.'
    ),
    "exclusion-no-width": Phrase(
        "is a line or a point, which has no area",
        hint='give it a set-back: an attribute set_back = "30 ft", or --set-back "30 ft" for all',
        metric_hint='give it a set-back: an attribute set_back = "10 m", or --set-back "10 m" for all',
    ),
    "exclusion-no-width/in-part": Phrase(
        "{exclusion} has lines or points, which have no area without a set-back."
    ),
    "exclusion-reason-unknown": Phrase(
        "Its attribute exclusions asks for {unknown}, but no exclusion has that reason. The reasons given are {known}."
    ),
    "feature-left-out": Phrase("Left out, as you asked: {problem}."),
    "features-left-out": Phrase(
        "{n_features} {n_features|feature|features} of the file left out: {reason}."
    ),
    "features-left-out/exclusions": Phrase(
        "{n_exclusions} {n_exclusions|exclusion|exclusions} of {exclusions} left out: without geometry."
    ),
    "features-left-out/layer": Phrase(
        "{n_features} {n_features|feature|features} of layer {layer} left out: {reason}."
    ),
    "field-all-excluded": Phrase(
        "All of it, {mapped_m2}, is excluded, so nothing is drilled there. Check the exclusions and the set-back, "
        "or leave the field out."
    ),
    "field-cut": Phrase(
        "{shared_m2} shared with field {first} were cut from this field, because you asked for repairs: {before_m2} before, {after_m2} after."
    ),
    "field-left-out": Phrase(
        "Left out, because you asked for repairs: all of its {shared_m2} belong to field {first}."
    ),
    "field-too-large": Phrase(
        "is too large to draw true to size on a flat map, or its coordinates are wrong",
        hint="split it into fields of at most a few miles",
    ),
    "field-too-large/parts": Phrase(
        "has parts too far apart to draw them true to size on a flat map",
        hint="make each part a field of its own, or check its coordinates",
    ),
    "fields-overlap": Phrase(
        "overlap: {shared_m2} would be counted twice, at {place_lonlat}", hint=_CHOOSE
    ),
    "fields-overlap/inside": Phrase(
        "lie one inside the other: {shared_m2} would be counted twice, at {place_lonlat}",
        hint=f"give the inner one as --exclusions if it is not planted; else {_CHOOSE}",
    ),
    "fields-overlap/same": Phrase(
        "are the same ground drawn twice: {shared_m2} would be counted twice, at {place_lonlat}",
        hint=_CHOOSE,
    ),
    "fields-overlap/small": Phrase("Shares {shared_m2} with field {first}, counted in both."),
    "gate-elsewhere": Phrase(
        "The attribute gate is {gate}, {away_m} away, so it was ignored: write the latitude first, or use gate_lat and gate_lon."
    ),
    "gate-unreadable": Phrase(
        'The attribute gate is "{given}" and was ignored: write it like "44.25, -95.75" (latitude first), or use gate_lat and gate_lon.'
    ),
    "geometry-unreadable": Phrase("has a geometry that cannot be read ({reason})", hint=_LEAVE_OUT),
    "ground-excluded": Phrase("Excluded: {parts}; {left_m2} of {mapped_m2} are plantable."),
    "ground-excluded/part": Phrase("{reason} {area_m2}"),
    "hole-recovered": Phrase(
        "<{exclusion}: >{n_parts} {n_parts|part lies|parts lie} inside another part and {n_parts|was taken as a hole|were taken as holes}; the first is at {first}: {before_m2} as drawn, "
        "{after_m2} with the holes out. If that ground is planted, make it a separate feature."
    ),
    "id-twice": Phrase(
        'Another field has the id "{given}" too, so this one is called "{unique}": use that id in the job file.'
    ),
    "layer-unknown": Phrase('has no layer "{layer}"', hint="--layer with one of: {known}"),
    "left-out/counted": Phrase("{n_features} {reason}"),
    "left-out/following-lines": Phrase("lines that follow a polygon"),
    "left-out/lines-and-points-beside": Phrase("lines and points beside a polygon in one feature"),
    "left-out/lines-beside": Phrase("lines beside a polygon in one feature"),
    "left-out/no-geometry": Phrase("without geometry"),
    "left-out/not-chosen": Phrase("not chosen by --where"),
    "left-out/nothing": Phrase("nothing"),
    "left-out/open-lines": Phrase("lines that do not close"),
    "left-out/points": Phrase("points"),
    "left-out/areas": Phrase("areas, where lines are wanted"),
    "left-out/points-beside": Phrase("points beside a polygon in one feature"),
    "line-as-outline": Phrase("A closed line at {line} was taken as the outline."),
    "line-closed": Phrase("A line was closed over a gap of {gap_m} at {end} and taken as the outline."),
    "line-closed/wide": Phrase(
        "A line that is open by {gap_m} was closed with a straight edge from {end} to {start} and taken as the outline: a corner there would hold up to {in_gap_m2}. Draw it if there is one."
    ),
    "lines-enclose": Phrase(
        "A line at {inside} crosses or overlaps itself or others. The ground it encloses was taken as the outline; loose ends were left out."
    ),
    "lines-joined": Phrase("{n_lines} lines were joined end to end into {n_left}."),
    "names": Phrase('"{names*", "}"'),
    "names/many": Phrase('"{names*", "}" and {n_more} more'),
    "names/none": Phrase("none"),
    "no-fields": Phrase(
        "has no field outline (found: {found})", hint="export the field outlines as polygons"
    ),
    "outline-fault/crosses": Phrase("crosses itself"),
    "outline-fault/hole-outside": Phrase("has a hole outside its edge"),
    "outline-fault/holes-across": Phrase("has holes inside or across each other"),
    "outline-fault/parts-on-top": Phrase("has parts on top of each other"),
    "outline-fault/parts-share-edge": Phrase("has parts that share an edge"),
    "outline-fault/spike": Phrase("has a spike of {spike_m}"),
    "outline-fault/touches": Phrase("touches itself"),
    "outline-fault/traced-twice": Phrase("is traced twice"),
    "outline-invalid": Phrase(
        "{fault} at {at_lonlat}: {before_m2} as drawn ring by ring, {after_m2} mended",
        hint="draw it again, because only you know which ground was meant; or --repair to take the mended outline",
    ),
    "outline-mended": Phrase(
        "<{exclusion}: >The outline {fault} at {at}; mended: {before_m2} as drawn ring by ring, {after_m2} mended."
    ),
    "outline-no-area": Phrase("encloses no ground", hint="draw its outline again"),
    "outline-open": Phrase(
        "from {start_lonlat} to {end_lonlat} does not close: its ends are {gap_m} apart",
        hint="close the outline where it was drawn, or leave the line out with --layer, --where or --skip-bad",
    ),
    "outline-repaired": Phrase(
        "<{exclusion}: >The outline {fault} at {at}; repaired, as you asked: {before_m2} as drawn ring by ring, {after_m2} mended."
    ),
    "outline-tangled": Phrase("crosses itself in more than {n_most} places", hint=_LEAVE_OUT),
    "priority-order": Phrase("Fields are drilled in the order of their attribute priority, 1 first."),
    "priority-unreadable": Phrase(
        'The attribute priority is "{given}" and was ignored: it must be a whole number; 1 is drilled first.'
    ),
    "ring-closed": Phrase(
        "A ring of the outline was open. It was closed with a straight edge: check its corners."
    ),
    "ring-closed/edge": Phrase(
        "A ring of the outline was open. It was closed with a straight edge of {edge_m} from {start} to {end}: check that this is an "
        "edge of the field."
    ),
    "set-back-unreadable": Phrase('has the set-back "{given}"', hint='with a unit, such as "30 ft"'),
    "set-back-unreadable/range": Phrase("has a set-back of {set_back_m}", hint="from 0 to {most_m}"),
    "specks-left-out": Phrase(
        "<{exclusion}: >{n_specks} {n_specks|part or hole|parts or holes} without area {n_specks|was|were} left out."
    ),
    "too-many-features/in-all": Phrase("has over {n_most} features", hint="split it into smaller files"),
    "too-many-parts": Phrase(
        "has {n_parts} parts and holes; at most {n_most} are read",
        hint="split it into several features, or --skip-bad to leave it out",
    ),
    "too-many-vertices/feature": Phrase("has over {n_most} vertices", hint="thin the outline"),
    "where-unreadable": Phrase(
        '"{given}" is not a condition', hint='such as --where "crop = oats" or --where "acres > 5"'
    ),
}
