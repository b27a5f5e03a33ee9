"""Sentences about the reference system of coordinates, and about where it puts the fields."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_AXES = "--axes lat-lon if the first number of each pair is the latitude, --axes lon-lat if the coordinates are right as they are"
_CRS = "say what the coordinates are measured in with --crs"
_MEANT = "{meant}; --place-is-right if it is right as it is"
_FIELD = (
    'field "{field}"< ({beside})> at {place_lonlat} lies {away_m} from {from_what}; {slip}<. {or_else}>',
    "correct it in the file, or leave it out with --where; --place-is-right if all lie where they should",
)

PHRASES: dict[str, Phrase] = {
    "bounds": Phrase("x from {west:0} to {east:0}, y from {south:0} to {north:0}"),
    "bounds/degrees": Phrase("x from {west:5} to {east:5}, y from {south:5} to {north:5}"),
    "ground/place": Phrase("{at_lonlat}"),
    "ground/acres": Phrase("{at_lonlat} with {ground_m2}"),
    "crs-missing": Phrase(
        "{said} (its coordinates run {bounds})", hint="say what the coordinates are measured in; {guess}"
    ),
    "crs-said/nothing": Phrase("declares no reference system"),
    "crs-said/another-file": Phrase(
        "declares a reference system that points to another file, which is not opened"
    ),
    "crs-said/unknown": Phrase('declares the reference system "{name}", which is not known'),
    "crs-said/nowhere": Phrase('declares the reference system "{name}", which names no place on Earth'),
    "crs-said/unclear": Phrase("declares a reference system that cannot be understood"),
    "crs-said/address": Phrase(
        "says that its reference system is at another address, which is not looked up"
    ),
    "crs-said/not-known": Phrase("says that its reference system is not known"),
    "crs-unsuitable": Phrase(
        "{name} does not place anything on a map ({bounds})",
        hint="say what the coordinates are measured in; {guess}",
    ),
    "crs-unknown": Phrase('"{given}" is not a reference system', hint="such as --crs EPSG:4326"),
    "crs-mixed/geometries": Phrase(
        "geometries are in several reference systems ({names*, })", hint="make a file for each"
    ),
    "crs-mixed/rows": Phrase(
        "rows are in several reference systems (SRID {srids*, })", hint="make a file for each"
    ),
    "crs-not-metres": Phrase(
        "is labeled as {name}, but its numbers are too small for that ({bounds})",
        hint="say what the numbers are with --crs",
    ),
    "crs-not-degrees": Phrase(
        "is labeled as degrees ({name}) but runs {bounds}",
        hint="say what the numbers are with --crs; {guess}",
    ),
    "crs-not-degrees/past-180": Phrase(
        "has longitudes past 180 ({bounds})",
        hint="write longitudes from -180 to 180, and cut what crosses at longitude 180",
    ),
    "axes-in-doubt/swapped": Phrase("latitude and longitude look swapped ({bounds})", hint=_AXES),
    "axes-in-doubt/ice": Phrase(
        "nobody drills at latitude {south_deg..north_deg:1}; latitude and longitude may be swapped ({bounds})",
        hint=_AXES,
    ),
    "coordinates-off-earth/layer": Phrase("lies outside what {name} covers ({bounds})", hint=_CRS),
    "crs-elsewhere/far": Phrase(
        "{name} puts its coordinates ({bounds}) far from where it is used<, at {ground}>", hint=_MEANT
    ),
    "crs-elsewhere/outside": Phrase(
        "{name} puts its coordinates ({bounds}) outside where it is used<, at {ground}>", hint=_MEANT
    ),
    "try/crs": Phrase(_CRS),
    "try/degrees": Phrase("if they are degrees: {fits*; }"),
    "try/near-for-zones": Phrase("--near LAT,LON lists the zones that would put it near a place you know"),
    "looks-like/degrees": Phrase(
        "the numbers look like longitude and latitude: {option} puts it at {ground}"
    ),
    "looks-like/utm": Phrase(
        "the numbers look like meters of a UTM zone, or meters or feet of a state's zone: find the zone in the .prj file "
        "or the export dialog, or ask whoever made the file<; {ask}>"
    ),
    "looks-like/projection": Phrase(
        "the numbers look like meters or feet of a projection: find the zone in the .prj file "
        "or the export dialog, or ask whoever made the file<; {ask}>"
    ),
    "offer/fits": Phrase("what would fit: {fits*; }"),
    "offer/near": Phrase("what would fit near the place you gave: {fits*; }"),
    "offer/many": Phrase(
        "<what would fit: {fits*; }; >{n_others} other {n_others|system|systems} used in that area would fit; "
        "--near LAT,LON lists those that put it near a place you know"
    ),
    "reading": Phrase("{name}< ({option})> puts it at {ground}"),
    "read-as/lon-lat": Phrase("longitude and latitude"),
    "read-as/lat-lon": Phrase("latitude before longitude"),
    "read-as/same-projection": Phrase("the same projection in {unit}"),
    "read-as/in-unit": Phrase("{base} in {unit}"),
    "length-unit/metre": Phrase("meters"),
    "length-unit/survey-foot": Phrase("US survey feet"),
    "length-unit/foot": Phrase("international feet"),
    "slips": Phrase("{belongs*; }: correct it in the file"),
    "belongs": Phrase("if {slip}, it belongs at {place_lonlat}"),
    "belongs/near": Phrase("if {slip}, it belongs at {place_lonlat}, near them"),
    "belongs/nowhere": Phrase("neither a lost sign nor swapped numbers would explain it"),
    "slip/longitude-sign": Phrase("its longitude has lost its sign"),
    "slip/latitude-sign": Phrase("its latitude has lost its sign"),
    "slip/swapped": Phrase("latitude and longitude are swapped"),
    "slip/signs": Phrase("both its numbers have lost their signs"),
    "slip/swapped-sign": Phrase("latitude and longitude are swapped and a sign is lost"),
    "slip/swapped-signs": Phrase("latitude and longitude are swapped and both signs are lost"),
    "field-far": Phrase(*_FIELD),
    "far-from-home": Phrase(*_FIELD),
    "axes-in-doubt/field": Phrase(*_FIELD),
    "with-more": Phrase("with {n_more} more beside it"),
    "from-what/near": Phrase("the place you gave"),
    "from-what/others": Phrase("the nearest of the other fields"),
    "or-else-field": Phrase('Or field "{field}" at {place_lonlat} is the one in the wrong place: {slip}'),
    "crs-given": Phrase("The coordinates were read as {name}, as you asked."),
    "axes-given": Phrase("The first number of each pair was read as latitude, as you asked."),
    "feet/survey": Phrase("Coordinates are in US survey feet (1200/3937 m each)."),
    "feet/international": Phrase("Coordinates are in international feet (0.3048 m each)."),
    "datum-accuracy": Phrase(
        "Coordinates were converted from {name} to WGS 84, accurate to about {accuracy_m:0}.< {better}> Areas are not affected; "
        "guidance lines in another system may be off by that much."
    ),
    "datum-accuracy/unknown": Phrase(
        "Coordinates were converted from {name} to WGS 84 with unknown accuracy.< {better}> Areas are not affected; "
        "guidance lines in another system may be off."
    ),
    "better-grid": Phrase("A more accurate conversion needs a grid file that is not installed."),
    "outside-use": Phrase(
        "{worst_lonlat} lies {beyond_m} outside where {name} is used. No neighboring zone or other unit would fit the "
        "coordinates, so they were taken as they are."
    ),
    "outside-use/meant": Phrase(
        "{worst_lonlat} lies {beyond_m} outside where {name} is used, and was taken as it is, as you asked."
    ),
    "anywhere": Phrase(
        "{name} is used everywhere, so meters or feet of another system would go unnoticed and give wrong acres: check that the fields "
        "are at {first}."
    ),
    "unit-in-doubt": Phrase(
        "The outlines add up to {own_m2} in the unit the file names. Read as {other}, they would lie at {other_lonlat}, "
        "in the same zone, and add up to {other_m2}."
    ),
}
