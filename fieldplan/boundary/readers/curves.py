"""Arcs, which become short straight edges: how short, and the note about it.

A circle of radius r drawn with n chords of angle t = 2π/n encloses (n/2) r² sin t, which is smaller than π
r² by the fraction 1 − sin(t)/t ≈ t²/6: for 1e-5, t = 0.0077 rad = 0.44°. A lens between two arcs of angle T
is flatter: the chords cut off the fraction t²/T² of it, which at a tenth of a degree is under 1e-5 for
every lens with arcs of 32° or more, that is, wider than a seventh of its length.
"""

from __future__ import annotations

from fieldplan.facts import fact

STEP_DEG = 0.1
"""Angle of an edge on a circle: t²/6 = 5e-7 of the area is lost."""
EDGES_OF_CIRCLE = round(360 / STEP_DEG)
STRAIGHTENED = fact("curves-straightened", n_edges=EDGES_OF_CIRCLE)
CURVED_WKB = (8, 9, 10, 11, 12)
"""Circular string, compound curve, curve polygon, multicurve, multisurface (OGC 06-103r4, table 7)."""
