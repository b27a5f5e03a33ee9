"""Sentences about reading boundary files: their formats, what was lost, and their geometries."""

from __future__ import annotations

from fieldplan.report.words.phrases.phrase import Phrase

_AGAIN = "export it again"
_COPY = "copy or export it again"
_SMALLER = "split it into smaller files"
_WHAT_IS_LEFT = f"{_COPY}, or --skip-bad to use what is left"
_WHOLE_FOLDER = "copy or export the whole folder again"
_EXPLODE = "explode the blocks in the drawing program and save the outlines alone"
_READS = (
    "GeoJSON, GeoPackage, Shapefile, KML, KMZ, FlatGeobuf, GeoParquet, GML, GPX, DXF, CSV with WKT, "
    "File Geodatabase; loose or zipped"
)

_FILES: dict[str, Phrase] = {
    "format-unknown": Phrase(
        f"is not in a format that fieldplan reads ({_READS})",
        hint="export the boundary as GeoJSON or a zipped Shapefile",
    ),
    "format-unknown/topojson": Phrase("is TopoJSON, which is not read", hint="export it as GeoJSON"),
    "format-unknown/map-server": Phrase(
        "is JSON from a map server, not GeoJSON", hint="ask the server for GeoJSON"
    ),
    "format-unknown/database": Phrase(
        "is a database, but not a GeoPackage", hint="export it as GeoPackage"
    ),
    "format-unknown/parquet": Phrase("is a Parquet table without geometry", hint="write it as GeoParquet"),
    "format-unknown/binary-drawing": Phrase(
        "is a drawing in a binary format", hint="save it as DXF of text (ASCII)"
    ),
    "format-unknown/packed": Phrase(
        "is packed, and of packed files only zip is read", hint="unpack it, then name the file inside"
    ),
    "format-unknown/picture": Phrase(
        "is a picture or a printed page: it holds no outlines",
        hint="export the boundary as GeoJSON or a zipped Shapefile",
    ),
    "format-unknown/office": Phrase(
        "is a document of an office program", hint="save it as CSV, with the outlines as WKT"
    ),
    "format-unknown/web-page": Phrase(
        "is a web page, not the file that it offers",
        hint="download the file again; the site may ask you to sign in first",
    ),
    "format-unknown/task-data": Phrase(
        "is task data for a cab terminal (ISO 11783-10), which fieldplan writes and does not read",
        hint="export the boundary as GeoJSON or a zipped Shapefile",
    ),
    "format-unknown/points": Phrase(
        "is a table of points, not of outlines",
        hint="draw the outline through them on a map and export that, or write a row a field with the outline as WKT",
    ),
    "format-unknown/wkb": Phrase(
        "has its outlines in binary code", hint="export them as WKT, which is text, or as GeoJSON"
    ),
    "frame-without-geometry": Phrase(
        "has no column of geometry that is set", hint='frame.set_geometry("geometry")'
    ),
    "frame-column-twice": Phrase('has two columns "{name}"', hint="rename one of them"),
    "file-empty": Phrase("the {what} is empty", hint=_AGAIN),
    "file-empty/no-tables": Phrase("the File Geodatabase has no tables", hint="copy the whole folder"),
    "file-refused/document-type": Phrase(
        "declares a document type, which is refused", hint="export it again without one"
    ),
    "file-refused/pointer": Phrase(
        "points to other files or addresses, which is refused", hint="give the file it points to"
    ),
    "folder-refused": Phrase("{member} does not belong in a File Geodatabase", hint=_AGAIN),
    "file-too-large/folder": Phrase("is over {most_bytes}", hint=_SMALLER),
    "file-too-large/elements": Phrase(
        "has over {n_most} XML elements, or elements nested over {n_deep} deep", hint=_SMALLER
    ),
    "file-too-large/unpacked": Phrase(
        "unpacks to {unpacked_bytes} in {n_rows} {n_rows|row|rows}", hint=_SMALLER
    ),
    "too-many-features/of-file": Phrase("has over {n_most} features", hint=_SMALLER),
    "too-many-vertices/of-file": Phrase(
        "has over {n_most} vertices", hint="thin the outlines, or split it into smaller files"
    ),
    "too-many-vertices/long": Phrase(
        "is so long that it needs over {n_most} vertices", hint="check the reference system with --crs"
    ),
    "file-unreadable/damaged": Phrase("the file is damaged or incomplete ({reason})", hint=_AGAIN),
    "file-unreadable/read": Phrase("cannot be read ({reason})"),
    "file-unreadable/folder": Phrase("the folder cannot be opened ({reason})"),
    "file-unreadable/xml": Phrase("the XML is damaged or incomplete ({reason})", hint=_AGAIN),
    "file-unreadable/too-deep": Phrase("is nested deeper than any boundary file", hint=_AGAIN),
    "file-unreadable/other-json": Phrase("is JSON, but not GeoJSON", hint="export it again as GeoJSON"),
    "file-unreadable/header": Phrase("the header is damaged or cut off", hint=_COPY),
    "file-unreadable/cut-in-header": Phrase("the file is cut off in its header", hint=_COPY),
    "file-unreadable/database": Phrase("the database is damaged ({reason})", hint=_COPY),
    "file-unreadable/drawing": Phrase("the drawing is damaged: {why}", hint=_COPY),
    "file-unreadable/half-done": Phrase(
        "an unfinished change is saved beside it, in {beside}",
        hint="open it in the program that wrote it and save it again",
    ),
    "file-unreadable/table-header": Phrase(
        "is damaged: {part} is cut off in its header", hint=_WHOLE_FOLDER
    ),
    "file-unreadable/table-cut": Phrase(
        "is damaged: {part} is cut short: it is {n_bytes} bytes long, but its header says {n_stated}",
        hint=_WHOLE_FOLDER,
    ),
    "file-unreadable/table-index": Phrase(
        "is damaged: {part} lists fewer rows than {table} has", hint=_WHOLE_FOLDER
    ),
    "shapefile-part": Phrase(
        "is one part of a Shapefile, and not the one with the outlines", hint="name {shp}, kept beside it"
    ),
    "encoding-unknown": Phrase('"{given}" is not a character set', hint="such as CP1250"),
    "encoding-unknown/text": Phrase(
        "the text is not {encoding}", hint="give its character set, such as --encoding CP1252"
    ),
    "not-utf8": Phrase("GeoJSON must be UTF-8 text, and this is not", hint=_AGAIN),
    "json-name-twice": Phrase(
        '"{name}" appears twice in one object<, the object of type "{kind}">',
        hint="export it again, or remove one of the two",
    ),
    "geojson-misspelled": Phrase(
        "does not follow the GeoJSON standard: {why}", hint="export it again as GeoJSON"
    ),
    "gml-misspelled": Phrase("polygon {polygon} does not follow the GML standard: {why}", hint=_AGAIN),
    "gpx-misspelled": Phrase("does not follow the GPX standard: {why}", hint=_AGAIN),
    "kml-misspelled": Phrase("does not follow the KML standard: {why}", hint=_AGAIN),
    "decimal-commas": Phrase(
        "coordinates are written with decimal commas ({given})", hint="export it with decimal points"
    ),
    "table-no-wkt": Phrase("no column has outlines as WKT", hint="name the column wkt: POLYGON((…))"),
    "table-quotes": Phrase(
        "the row at line {line} has a quote that is not closed or is out of place",
        hint="put cells with quotes or line breaks in quotes, and double each quote inside them",
    ),
    "zip-broken": Phrase("the zip file is broken ({reason})", hint="download or export it again"),
    "zip-too-large": Phrase(
        "unpacks to {unpacked_bytes} in {n_files} {n_files|file|files}", hint="zip only the boundary"
    ),
    "zip-names": Phrase(
        "has file names that lead outside it or are over {n_longest} characters",
        hint="zip only the boundary, without folders",
    ),
    "zip-locked": Phrase("is locked with a password", hint="unlock it and zip it again"),
    "zip-no-boundary": Phrase(
        "the zip has no boundary file (it has {held*, })",
        hint="zip the .shp with its .shx, .dbf and .prj",
    ),
    "zip-no-boundary/empty": Phrase(
        "the zip has no files", hint="zip the .shp with its .shx, .dbf and .prj"
    ),
    "zip-no-boundary/spreadsheet": Phrase(
        "is a spreadsheet, not a boundary", hint="save it as CSV, with a column of outlines as WKT"
    ),
    "try/what-is-linked": Phrase(
        "the file only links to others: save the placemarks themselves, not a link that keeps them up to date"
    ),
    "try/unpack": Phrase("unpack it, then name {inner}"),
    "drawing-too-large": Phrase(
        "its blocks and arrays draw {n_lines} lines with {n_vertices} vertices; fieldplan reads at most {n_most_lines} and {n_most_vertices}",
        hint=_EXPLODE,
    ),
    "drawing-too-large/nested": Phrase(
        'the block "{block}" is drawn inside itself, or blocks are nested over {n_deep} deep', hint=_EXPLODE
    ),
    "drawing-too-large/spline": Phrase(
        "line {line}: a spline has over {n_points} control points or a degree over {n_degree}",
        hint=_EXPLODE,
    ),
    "drawing/no-entity": Phrase('line {line}: "{kind}" is not a kind of entity'),
    "drawing/polyline-open": Phrase("line {line}: a polyline has not ended when the next entity begins"),
    "drawing/stray-vertex": Phrase("line {line}: a vertex belongs to no polyline"),
    "drawing/coordinates": Phrase("line {line}: a {kind} has more or fewer coordinates than it should"),
    "drawing/goes-on": Phrase("line {line}: there is more after the end of the drawing"),
    "drawing/no-section": Phrase('line {line}: "{given}" is not a section of a drawing'),
    "drawing/no-number": Phrase('line {line}: "{given}" is not a number'),
    "drawing/section-in-section": Phrase("line {line}: a section begins inside another"),
    "drawing/section-open": Phrase("line {line}: the section {section} does not end"),
    "drawing/cut-short": Phrase("it is cut short at line {line}, before its end"),
    "drawing/no-group-code": Phrase("line {line}: a group code is missing"),
    "drawing/spline-points": Phrase("before line {line}: a spline lacks control points or knots"),
    "drawing/spline-weights": Phrase("before line {line}: a spline has impossible weights"),
}
_LOSSES: dict[str, Phrase] = {
    "features-lost/features": Phrase(
        "has {n_held} {n_held|feature|features}, but only {n_read} could be read", hint=_WHAT_IS_LEFT
    ),
    "features-lost/drawn": Phrase(
        "has {n_held} {n_held|feature|features} with a geometry, but only {n_read} could be read",
        hint=_WHAT_IS_LEFT,
    ),
    "features-lost/lines": Phrase(
        "has {n_held} lines and curves, but only {n_read} could be read", hint=_WHAT_IS_LEFT
    ),
    "features-lost/rows": Phrase(
        "has {n_held} {n_held|row|rows}, but {n_read} could be read", hint=_WHAT_IS_LEFT
    ),
    "features-lost/places": Phrase(
        "has {n_held} {n_held|point|points} in its geometries, but only {n_read} could be read",
        hint=_WHAT_IS_LEFT,
    ),
    "features-lost/rows-read": Phrase(
        "says that it has {n_stated} {n_stated|row|rows}, but {n_read} could be read", hint=_WHAT_IS_LEFT
    ),
    "features-lost/readable": Phrase(
        "says that it has {n_stated} {n_stated|feature|features}, but {n_read} can be read",
        hint=_WHAT_IS_LEFT,
    ),
    "features-lost/stated": Phrase(
        "says that it has {n_stated} {n_stated|feature|features}, but has {n_held}", hint=_WHAT_IS_LEFT
    ),
    "features-lost/of-layer": Phrase(
        'the layer "{layer}" says that it has {n_stated} {n_stated|feature|features}, but has {n_held}',
        hint=_WHAT_IS_LEFT,
    ),
    "features-lost/part": Phrase(
        "has {n_held} of {n_stated} {n_stated|feature|features}: the server sent only part of them",
        hint=_WHAT_IS_LEFT,
    ),
    "features-lost/without-geometry": Phrase(
        "states {n_stated} {n_stated|row|rows} without a geometry, but has {n_held}",
        hint=_WHAT_IS_LEFT,
    ),
    "features-lost/cut-short": Phrase(
        "is cut short or damaged: it says that it has {n_stated} {n_stated|feature|features}",
        hint=_WHAT_IS_LEFT,
    ),
    "features-lost/cut-short-to": Phrase(
        "is cut short or damaged: it says that it has {n_stated} {n_stated|feature|features}, but has {n_held}",
        hint=_WHAT_IS_LEFT,
    ),
    "features-lost/end": Phrase(
        "is cut short or damaged: it does not end where its last feature does", hint=_WHAT_IS_LEFT
    ),
    "features-lost/index": Phrase("is damaged: its index does not match its features", hint=_WHAT_IS_LEFT),
    "layer-lost/missing": Phrase('lists a layer "{layer}" that is missing', hint=_COPY),
    "layer-lost/unlisted": Phrase(
        'has a layer "{layer}" that its table of contents does not list', hint=_COPY
    ),
    "layer-lost/no-column": Phrase(
        'the layer "{layer}" has no column of geometry in the table that lists them', hint=_WHAT_IS_LEFT
    ),
    "shapefile-cut/bytes": Phrase(
        "the {part} is cut short: it is {n_bytes} bytes long, but its header says {n_stated}; its end is lost",
        hint=_WHAT_IS_LEFT,
    ),
    "shapefile-cut/rows": Phrase(
        "the .dbf is cut short: it says that it has {n_stated} {n_stated|row|rows}, but has {n_held}",
        hint=_WHAT_IS_LEFT,
    ),
    "shapefile-records/bytes": Phrase(
        "the {part} is {n_bytes} bytes long, but its header says {n_stated}", hint=_WHAT_IS_LEFT
    ),
    "shapefile-records/whole": Phrase(
        "the .shp has {n_whole} whole {n_whole|record|records}; the rest cannot be read", hint=_WHAT_IS_LEFT
    ),
    "shapefile-records/index": Phrase(
        "the .shp has {n_held} {n_held|outline|outlines}, but its .shx lists {n_listed}", hint=_WHAT_IS_LEFT
    ),
    "shapefile-records/points": Phrase(
        "outline {outline} has more or fewer points than its record says", hint=_WHAT_IS_LEFT
    ),
    "shapefile-records/length": Phrase(
        "outline {outline} is {n_bytes} bytes long in the .shp, but {n_listed} in the .shx",
        hint=_WHAT_IS_LEFT,
    ),
    "shapefile-records/table-header": Phrase("the header of the .dbf cannot be read", hint=_WHAT_IS_LEFT),
    "shapefile-records/rows": Phrase(
        "the .dbf says that it has {n_stated} {n_stated|row|rows}, but has {n_held}", hint=_WHAT_IS_LEFT
    ),
    "shapefile-records/table": Phrase(
        "the .shp has {n_outlines} {n_outlines|outline|outlines}, but the .dbf has {n_rows} {n_rows|row|rows}",
        hint=_WHAT_IS_LEFT,
    ),
    "shapefile-records/row-marks": Phrase(
        "rows of the .dbf do not begin where they should", hint=_WHAT_IS_LEFT
    ),
}
_REMARKS: dict[str, Phrase] = {
    "member-left-out": Phrase("<{file}: >Left out: {member}: {why}."),
    "shapefile-no-dbf": Phrase(
        "<{file}: >The .dbf with names and attributes is missing: fields are numbered."
    ),
    "shapefile-no-shx": Phrase(
        "<{file}: >The .shx index was missing and was rebuilt in a copy; outlines deleted earlier may be back."
    ),
    "shapefile-superseded": Phrase(
        "<{file}: >{n_older} older {n_older|version|versions} of outlines in the .shp {n_older|is|are} not used."
    ),
    "shapefile-deleted": Phrase(
        "<{file}: >{n_rows} {n_rows|row is|rows are} marked as deleted and {n_rows|is|are} left out."
    ),
    "encoding-guessed": Phrase(
        "<{file}: >The .dbf does not name its character set; names were read as {encoding}. "
        "If they look wrong, give it with --encoding, such as CP1250."
    ),
    "encoding-unfit": Phrase(
        '<{file}: >The text in the .dbf is not in the character set that the .cpg says<, "{said}">; names were read as '
        "{encoding}. If they look wrong, give it with --encoding, such as CP1250."
    ),
    "other-geometries": Phrase(
        'Outlines are read from the column "{name}"; other columns of geometries are not: "{others*", "}".'
    ),
    "text-unread": Phrase(
        "<{file}: >{n_texts} {n_texts|text|texts} of attributes cannot be read in the character set of the file, and "
        "{n_texts|counts|count} as empty. If a name or a mix is lacking, give the set with --encoding, or export it again."
    ),
    "links-not-followed": Phrase(
        "<{file}: >{n_links} {n_links|link|links} to other places {n_links|was|were} not followed."
    ),
    "curves-straightened": Phrase(
        "<{file}: >Curves were drawn as straight edges, {n_edges} to a circle: acres are right to one part in 100,000."
    ),
}
_GEOMETRIES: dict[str, Phrase] = {
    "misspelt/lacks": Phrase("it has no {name}"),
    "misspelt/too-deep": Phrase("collections nested too deep"),
    "misspelt/no-type": Phrase('its type is "{kind}", which is not a geometry type'),
    "misspelt/json-type": Phrase('its type is "{kind}"<, where GeoJSON has "{meant}">'),
    "misspelt/not-feature": Phrase('its type is "{kind}", not "Feature"'),
    "misspelt/no-feature": Phrase("it is not a GeoJSON feature"),
    "misspelt/no-features": Phrase('the collection has no list "features"'),
    "misspelt/beside-geometry": Phrase('it has "{name}" beside its geometry'),
    "misspelt/empty-ring": Phrase("one of its rings is empty"),
    "misspelt/short-ring": Phrase("one of its rings has only {n_points} {n_points|point|points}"),
    "misspelt/nesting": Phrase("its coordinates are not nested as its type requires"),
    "misspelt/no-pairs": Phrase(
        "its coordinates are not all pairs of numbers, nested as its type requires"
    ),
    "misspelt/element": Phrase('an element is called "{named}", where {format} has "{known}"'),
    "misspelt/curve": Phrase("fieldplan does not read curves of the kind {kind}"),
    "misspelt/outer-rings": Phrase("it has {n_rings} outer rings"),
    "misspelt/polygon-rings": Phrase("a polygon has {n_rings} outer rings"),
    "misspelt/rings": Phrase("one of its boundaries has {n_rings} rings"),
    "misspelt/elements-inside": Phrase("its coordinates have other elements in them"),
    "misspelt/no-places": Phrase(
        "{n_numbers} {n_numbers|number does|numbers do} not make a list of positions"
    ),
    "misspelt/no-place": Phrase('"{given}" is not a position'),
    "misspelt/no-number": Phrase('"{given}" is not a number'),
    "misspelt/holds": Phrase('"{named}" cannot be in "{within}"'),
    "misspelt/point-lacks": Phrase("a point has no {name}"),
    "misspelt/point": Phrase('a point at "{lat}, {lon}" does not have two numbers'),
    "misspelt/point-nowhere": Phrase("a point at {lat}, {lon} is not on Earth"),
    "misspelt/point-of-many": Phrase("a point has {n_places} positions"),
    "misspelt/placemark": Phrase('the placemark "{name}" cannot be in "{within}"'),
    "misspelt/stray-geometry": Phrase('"{named}" is where KML allows no geometry'),
    "misspelt/no-geometry": Phrase('"{named}" is where KML needs a geometry'),
    "misspelt/geometries": Phrase("it has {n_geometries} geometries outside a MultiGeometry"),
    "misspelt/track": Phrase("a position of its track cannot be read"),
    "misspelt/outside-boundaries": Phrase('"{named}" is in a polygon but outside its boundaries'),
    "misspelt/no-ring": Phrase('"{named}" is where a polygon needs a ring'),
    "misspelt/lists": Phrase("a {kind} has {n_lists} lists of coordinates"),
    "misspelt/coordinates": Phrase('its coordinates cannot be read at "{given}"'),
    "unread/placemark": Phrase('placemark "{name}": {why}'),
    "unread/no-geometry": Phrase("its bytes are not a geometry"),
    "unread/more-bytes": Phrase("only part of its bytes could be read"),
    "unread/record": Phrase("its record cannot be read"),
    "unread/record-damaged": Phrase("its record is damaged, or does not match the index of the file"),
    "unread/text-damaged": Phrase("its text is damaged"),
    "row/cells": Phrase(
        "the row at line {line} has {n_cells} {n_cells|cell|cells}, but the table has {n_columns} {n_columns|column|columns}"
    ),
    "row/two-outlines": Phrase(
        'the row at line {line} has an outline in the column "{column}" too: a quote is not closed, or there is a second column of outlines'
    ),
    "row/broken-off": Phrase("the row at line {line} is cut off at the end of the file"),
    "row/curve": Phrase("the row at line {line}: {why}"),
    "wkt/unread": Phrase("its WKT cannot be read"),
    "wkt/unread-at": Phrase('it cannot be read at "{given}"'),
    "wkt/after-end": Phrase("there is text after its end"),
    "wkt/stands": Phrase('it has "{there}" where {wanted* or } should be'),
    "wkt/end": Phrase("its end"),
    "wkt/more": Phrase("more"),
    "wkt/no-kind": Phrase('"{given}" is not a kind of geometry'),
    "wkt/beside-curves": Phrase('fieldplan does not read "{kind}" together with curves'),
    "curve/apart": Phrase("parts of a compound curve do not meet"),
    "curve/no-ring": Phrase('"{kind}" is not a ring'),
    "curve/no-arc": Phrase("{n_points} {n_points|point does|points do} not make a circular string"),
    "curve/too-many": Phrase("its arcs take over {n_most} edges"),
    "wkt/no-place": Phrase("a position does not have two numbers"),
}
PHRASES: dict[str, Phrase] = {**_FILES, **_LOSSES, **_REMARKS, **_GEOMETRIES}
