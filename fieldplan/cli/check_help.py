"""What the help of ``fieldplan check`` explains."""

from __future__ import annotations

from fieldplan.cli.explained import Rows

SECTIONS: dict[str, Rows] = {
    "What is in the file, what happens, your answer": (
        (
            "no reference system",
            "Stops, and shows the bounds and what the numbers look like. Answer: --crs EPSG:CODE. "
            "With --near LAT,LON the zones that fit are named.",
        ),
        (
            "coordinates outside the area of their reference system",
            "Stops if they are far out, or if feet instead of meters, another zone or another system would "
            "fit; each is named with its place and acres. Otherwise it is only mentioned. "
            "Answer: --crs, or --place-is-right.",
        ),
        (
            "numbers that fit the zone in feet and in meters",
            "The unit that the file names is used, and both acreages are given. Answer: --crs.",
        ),
        (
            "a field over 100 km from all others",
            "Stops, and names the lost sign or the swap that would explain it. "
            "Answer: correct the file, --where, or --place-is-right.",
        ),
        ("a field cut at longitude 180", "Joined, and mentioned. Files written have it cut again."),
        (
            "latitude and longitude look swapped",
            "Stops and asks. Answer: --axes lat-lon, or --axes lon-lat if they are right. "
            "--near LAT,LON helps to find more such swaps.",
        ),
        (
            "an outline that crosses itself or is traced twice",
            "Mended, with the acres before and after. Stops if they differ by over 0.5 %. Answer: --repair.",
        ),
        ("a part inside a part", "Taken as a hole, and mentioned."),
        (
            "fields that overlap by over 0.5 %",
            "Stops, with the acres counted twice. Answer: --where, --layer or --repair.",
        ),
        (
            "lines instead of polygons",
            "Closed if the gap is under 5 m and 1 % of the line; with a warning if it is under 3 % and a corner "
            "there would hold under 0.5 % of the acres. Else stops, with the gap.",
        ),
        (
            "curves: arcs, circles, splines",
            "Turned into short straight edges, with acres right to 1 in 100,000, and mentioned.",
        ),
        (
            "a geometry or row that cannot be read",
            "Stops, and says where. Answer: --skip-bad, or export the file again if all of it is meant.",
        ),
        (
            "fewer fields, rows or bytes than the file itself says",
            "Stops, with both numbers. Answer: copy the file again, or --skip-bad to use what is left.",
        ),
        (
            "over 1 GB, 200,000 features or 5,000,000 vertices",
            "Stops before the file is read, and so for blocks of a drawing that would grow as large. "
            "Answer: split the file.",
        ),
        (
            "an unusable feature: over 2,000,000 vertices, 10,000 parts and holes, …",
            "Stops. Answer: --skip-bad.",
        ),
        (
            "a field too narrow, with no ground left, of over 250 holes or 1,000 parts",
            "Too narrow means narrower than the drill. Planned as it is: nothing is drilled there, all of it is missed, and the plan says so first. "
            "The other fields are planned.",
        ),
        (
            "several layers, or features you do not want",
            "All are read. Answer: --layer NAME, --where CONDITION.",
        ),
    ),
    "Attributes of a field that are used": (
        ("name, id, mix", "What the field is called, and its seed mix. Other names: --id-field and so on."),
        ("priority", "1 is drilled first."),
        ("gate", '"44.25, -95.75", latitude first; or gate_lat and gate_lon.'),
        ("exclusions", "Which reasons of the exclusion file apply to this field."),
        (
            "edge",
            '"fenced": turns keep inside the outer edge; "open": they may swing out over it, lifted. Lines along '
            'parts of the edge, in a layer "edges" of the same file, say so in their column edge for those parts. '
            "The job file has edge for all fields or one, and open_sides.",
        ),
        (
            "pattern",
            '"straight", "along edge", "guide", "rounds" or "best": how passes run. Lines in a layer "guide" of the same file '
            "are guides for them.",
        ),
    ),
    "Ground not to sow (--exclusions)": (
        ("reason", "Each area, line or point has one, such as wetland; acres are given by reason."),
        ("set_back", 'Its own distance to keep, such as "30 ft". No ground is counted twice.'),
        ("cross", '"lifted" where the drill may be driven over it raised: passes go on beyond it.'),
        ("headland", '"yes" or "no": rounds along such ground, or passes across it. Else what is quicker.'),
    ),
}
