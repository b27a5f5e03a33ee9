"""Sentences about files and folders: how they are opened, and why they cannot be."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_NAMED_FOR = (
    "weather",
    "bookings",
    "card",
    "distances",
    "elevation",
    "entries",
    "file",
    "job",
    "ledger",
    "region-sums",
    "requests",
    "season",
    "stock",
    "template",
)
"""First part of the code of a file's fault: what the file is needed for."""
_FAULTS = {
    "not-found": Phrase("there is no such file; fieldplan looked for the {what} there", hint="{hint}"),
    "not-found/name": Phrase(
        "no file can have such a name; fieldplan looked for the {what} there", hint="{hint}"
    ),
    "not-text": Phrase("the {what} is not a text file in UTF-8", hint="{hint}"),
    "not-text/utf16": Phrase("is text in UTF-16; the {what} must be in UTF-8", hint="{hint}"),
    "remote": Phrase("only files on this machine are read", hint="download it first, then name the file"),
    "too-large": Phrase(
        "is over {most_bytes}, too large for a {what}", hint="check that this is the {what}"
    ),
    "unreadable": Phrase("the {what} cannot be opened ({reason})"),
}
_TEMPORARY = "set TMPDIR to a folder on another disk"

PHRASES: dict[str, Phrase] = {
    **{f"{wanted}-{kind}": phrase for wanted in _NAMED_FOR for kind, phrase in _FAULTS.items()},
    "not-a-file": Phrase(
        "this is {there}, not a file; the {what} must be a file", hint="name the {what} itself"
    ),
    "not-a-file/folder": Phrase("this is a folder", hint="name one boundary file"),
    "there/folder": Phrase("a folder"),
    "there/pipe": Phrase("a pipe"),
    "there/link": Phrase("a link"),
    "there/socket": Phrase("a socket"),
    "there/device": Phrase("a device"),
    "called/boundary": Phrase("boundary file"),
    "called/companion": Phrase("part beside it"),
    "called/exclusions": Phrase("file of exclusions"),
    "called/elevation": Phrase("file of heights"),
    "called/guides": Phrase("file of guides"),
    "called/shapefile-part": Phrase("{ending} of the Shapefile"),
    "try/spelling": Phrase("check the spelling"),
    "try/utf8": Phrase("save it as UTF-8 text"),
    "try/file-inside": Phrase("name one file, such as {inside}"),
    "disk-full": Phrase("cannot be written ({why})", hint="make room, or another folder"),
    "disk-full/temporary": Phrase(
        "The folder for temporary files: cannot be written ({why})", hint=f"make room, or {_TEMPORARY}"
    ),
    "folder-unwritable": Phrase("cannot be written ({why})", hint="another folder"),
    "folder-unwritable/temporary": Phrase(
        "The folder for temporary files: cannot be written ({why})", hint=_TEMPORARY
    ),
    "folder-unwritable/link": Phrase("is a link, and would lead elsewhere", hint="remove it"),
    "folder-unwritable/journal": Phrase(
        "what an earlier run left there cannot be read", hint="look at what is in it, and remove it"
    ),
    "temporary-unwritable": Phrase(
        "No folder for temporary files can be written to: each is full or missing",
        hint=f"make room, or {_TEMPORARY}",
    ),
    "unwritable/full": Phrase("the disk is full"),
    "unwritable/quota": Phrase("your quota of the disk is used up"),
    "unwritable/file-too-large": Phrase("the disk does not allow a file that large"),
    "unwritable/disk-error": Phrase("the disk reports an error"),
    "unwritable/not-permitted": Phrase("writing is not permitted"),
    "unwritable/read-only": Phrase("the disk is read-only"),
    "unwritable/under-a-file": Phrase("it is a file, or lies under one"),
    "unwritable/no-folder": Phrase("it is a file, or a link to nowhere"),
    "unwritable/name-too-long": Phrase("the name is too long"),
    "unwritable/nothing-above": Phrase("the folder above it is missing"),
    "unwritable/circle": Phrase("links lead in a circle"),
    "unwritable/closed": Phrase("it is closed or read-only"),
    "folder-remote": Phrase("files are only written on this machine", hint="a folder here"),
    "folder-busy": Phrase("another run is writing into it", hint="try again in a moment"),
    "file-exists": Phrase("{file} already holds {names*, }", hint="--force, or another folder"),
    "not-replaced/no-file": Phrase("is already there and is not a file", hint="another folder"),
    "not-replaced/read-only": Phrase(
        "{names*, } cannot be overwritten: read-only", hint="allow writing to it, or another folder"
    ),
    "missing-extra": Phrase(
        "{needed_for} needs the '{extra}' extra, which is not installed",
        hint="pip install 'fieldplan[{extra}]'",
    ),
    "extra-for/calendar": Phrase("A calendar file"),
    "extra-for/elevation": Phrase("Reading heights"),
    "extra-for/contours": Phrase("Passes across the slope"),
    "elevation-unreadable": Phrase(
        "cannot be read as a GeoTIFF ({reason})", hint="save the heights as a GeoTIFF with one band"
    ),
    "elevation-no-crs": Phrase(
        "does not say in which reference system it is<: {reason}>",
        hint="save it again with its reference system",
    ),
    "elevation-bands": Phrase(
        "has {n_bands} bands, as a picture has, and does not say which one is of heights",
        hint="save the heights as a GeoTIFF with one band",
    ),
    "elevation-unit": Phrase(
        'has heights in "{unit}", which is no unit known here',
        hint='write their unit in the job file, below [working]: elevation_unit = "m" or "ft"',
    ),
    "elevation-unit/unsaid": Phrase(
        "does not say whether its heights are in feet or meters, and its places are in feet ({system})",
        hint='write the unit of the heights in the job file, below [working]: elevation_unit = "ft" or "m"',
    ),
    "elevation-heights": Phrase(
        "has heights of {height_m:0}, as no ground does: cells without a height may not be marked so",
        hint="save it again with its no-data value",
    ),
    "elevation-heights/beyond": Phrase(
        "has heights beyond the Earth: cells without a height may not be marked so",
        hint="save it again with its no-data value",
    ),
    "elevation-steep": Phrase(
        "has heights that make the median slope {median_frac}, as no field has: they may be a picture, or in another unit",
        hint="give a file of heights, or their unit in the job file, below [working]: elevation_unit",
    ),
    "extra-for/geoparquet": Phrase("Reading GeoParquet"),
    "extra-for/geoparquet-out": Phrase("GeoParquet"),
    "extra-for/season": Phrase("A season"),
    "extra-for/spreadsheet": Phrase("A spreadsheet"),
    "extra-for/pdf": Phrase("A PDF or PNG"),
}
