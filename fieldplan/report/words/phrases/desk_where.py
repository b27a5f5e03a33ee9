"""Sentences about what is drawn on the map of the planning page, and about the files dropped on it."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

PHRASES: dict[str, Phrase] = {
    "drawn-too-few": Phrase(
        "needs at least {n_least} different {n_least|point|points}", hint="add points, or start again"
    ),
    "drawn-no-vertex": Phrase("has no such point any more", hint="choose it again"),
    "drawn-hole-outside": Phrase(
        "lies outside every field", hint="draw a hole inside the outline of a field"
    ),
    "drawn-hole-takes-all": Phrase("would leave nothing of the field", hint="delete the field instead"),
    "drawn-split-misses": Phrase(
        "does not run across the field from edge to edge",
        hint="begin and end the line outside the field, or on its edge",
    ),
    "drawn-join-apart": Phrase(
        "do not touch: they are {gap_m} apart",
        hint="move the corners of one onto the edge of the other first",
    ),
    "drawn-edge-elsewhere": Phrase(
        "does not lie along the outer edge of a field, within {reach_m}",
        hint="put both ends on the edge of the same field",
    ),
    "drawn-reaches-fields": Phrase(
        "This takes ground of {n_fields} fields: {fields*, }. Move its corners if it is meant for one of them."
    ),
    "drawn-no-field": Phrase("needs a field", hint="draw or drop the field's outline first"),
    "drawn-set-back": Phrase(
        "is a line or a point, which takes up ground only with a set-back",
        hint='say how far to keep from it, such as "30 ft"',
        metric_hint='say how far to keep from it, such as "10 m"',
    ),
    "drawn-place-unreadable": Phrase(
        '"{given}" is not a place', hint='latitude first, then longitude: "44.25, -95.75"'
    ),
    "drawn-bearing-unreadable": Phrase(
        '"{given}" is not a bearing', hint="degrees clockwise from true north, from 0 to 360"
    ),
    "drawn-id-taken": Phrase('the id "{given}" is that of another field', hint="give it another"),
    "tiles-address": Phrase(
        '"{given}" is not the address of map tiles',
        hint="it names where the numbers of zoom, column and row go, such as {example}",
    ),
    "dropped-too-large": Phrase(
        "the files have over {most_bytes} together", hint="drop the boundary alone, or zip it"
    ),
    "dropped-too-many": Phrase(
        "over {n_most} files at once", hint="drop the files of one boundary, or zip them"
    ),
    "dropped-two-jobs": Phrase(
        "There are several job files, none of which is named by another: {files*, }",
        hint="drop the job file of one job, with its boundary files",
    ),
    "dropped-many-fields": Phrase(
        "has {n_fields} fields; the page takes {n_most} at once",
        hint="drop the fields of one job; whole counties are planned with fieldplan region",
    ),
    "dropped-nothing": Phrase("no file has arrived", hint="choose it again"),
    "dropped-shp-missing": Phrase(
        "is part of a Shapefile whose .shp was not dropped with it",
        hint="choose the .shp together with its .shx, .dbf and .prj, or zip them",
    ),
    "dropped-answer-gone": Phrase("is no longer asked about", hint="drop the file again"),
    "answer/reading": Phrase("{name}: at {ground}"),
    "answer/near": Phrase("near the place you named: {name}, at {ground}"),
    "answer/axes-lat-lon": Phrase("The first number of each pair is the latitude"),
    "answer/axes-lon-lat": Phrase("The first number of each pair is the longitude, as they stand"),
    "answer/place-is-right": Phrase("All of it lies where it should"),
    "answer/repair": Phrase("Take the mended outlines"),
    "answer/cut": Phrase("Leave shared ground to the field that comes first"),
    "answer/repair-and-cut": Phrase(
        "Take the mended outlines, and leave shared ground to the field that comes first"
    ),
    "answer/not-planted": Phrase('The inner one, "{field}", is not planted'),
    "answer/skip-bad": Phrase("Leave out what cannot be used, and take the rest"),
    "answer/holds-guides": Phrase("Take its lines as guide lines"),
    "answer/holds-exclusions": Phrase("Take it as ground that is not planted"),
    "answer/slip": Phrase('Move field "{field}" to {place_lonlat}, since {slip}'),
}
