"""From field boundaries to real acres, passes, seed, hours and days to book for a rented no-till drill."""

from __future__ import annotations

from fieldplan.boundary.load import load_fields
from fieldplan.errors import FieldplanError
from fieldplan.jobfile.load import load_job
from fieldplan.planner import plan_field, plan_job

__all__ = ["FieldplanError", "load_fields", "load_job", "plan_field", "plan_job"]
