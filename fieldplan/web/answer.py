"""What is planned of a draft: the plan, or what is in the way of one."""

from __future__ import annotations

from dataclasses import dataclass

from fieldplan.errors import Problem
from fieldplan.model.plan import Plan
from fieldplan.web.draft import Draft


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """The plan of a draft.

    Parameters
    ----------
    draft
        What was planned; the desk's own draft may have gone on since.
    boundary_name
        The name of the boundary file, as titles have it.
    plan
        The plan; ``None`` if there are problems, or nothing to plan yet.
    problems
        What is in the way: of the job file with table and key, of the boundary file with the feature.
    took_s
        Time that the worker spent on it.
    """

    draft: Draft
    boundary_name: str
    plan: Plan | None = None
    problems: tuple[Problem, ...] = ()
    took_s: float = 0.0
