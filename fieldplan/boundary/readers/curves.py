"""Arcs, which become short straight edges: how short, and what is said of it.

A circle of radius r drawn with n chords of angle t = 2π/n encloses (n/2) r² sin t, which is smaller than π r² by the share
1 − sin(t)/t ≈ t²/6. For a share of at most 1e-5 the angle must stay under √(6e-5) = 0.0077 rad = 0.44°.
"""

from __future__ import annotations

STEP_DEG = 0.4
"""Angle of an edge on a circle: t²/6 = 8.1e-6."""
CURVES_NOTE = (
    "curves-straightened",
    f"Curves were drawn with straight edges, one for each {STEP_DEG}° of a circle: acres are right to one part in 100,000.",
)
CURVED_WKB = (8, 9, 10, 11, 12)
"""Circular string, compound curve, curve polygon, multicurve, multisurface (OGC 06-103r4, table 7)."""
