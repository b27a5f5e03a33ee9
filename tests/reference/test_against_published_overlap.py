"""Ground sown twice against what was measured on real fields.

Published: M. Velandia and others, Computers and Electronics in Agriculture 95, 2013: 0.1 to 15.5 % of the
area planted twice on 52 fields in Tennessee, without section control.
"""

from __future__ import annotations

import geopandas
import numpy as np
import pytest
from conftest import PRACTICE

from fieldplan.boundary.load import load_fields
from fieldplan.boundary.terms import ReadingTerms
from fieldplan.coverage.cover import cover
from fieldplan.coverage.site import Site
from fieldplan.coverage.terms import Rig
from fieldplan.model.job import Job
from fieldplan.plane.frame import frame_near

MIN_FIELD_M2 = 20_000.0
"""The published fields are row-crop fields; parcels under two hectares, and the banks and tracks tagged corridor, are none."""


@pytest.mark.skipif(not PRACTICE.exists(), reason="the practice fields are not on this machine")
def test_share_sown_twice_lies_in_the_measured_range(job: Job) -> None:
    """Every practice field over two hectares, corridors aside, lies within the published range, most near
    its lower end: this drill is narrow.
    """
    rig = Rig.of(job)
    tags = geopandas.read_file(PRACTICE).set_index("field_id")["tag"]
    shares = {}
    for field in load_fields(PRACTICE, ReadingTerms(place_is_right=True)).fields:
        ground = frame_near(field.ground).to_plane(field.ground)
        if ground.area > MIN_FIELD_M2 and tags[field.field_id] != "corridor":
            audit = cover(Site(field_id=field.field_id, ground=ground, rig=rig, working=job.working)).audit
            shares[field.field_id] = audit.overlap_m2 / ground.area
    assert len(shares) > 30
    assert min(shares.values()) > 0.001, shares
    assert max(shares.values()) < 0.155, shares
    assert np.median(list(shares.values())) < 0.03
