"""Answers on their way from a worker to the page: the plan of a field that was sent before is only named.

Of ten fields nine stay as they are when one changes, and all do when days or money change.
"""

from __future__ import annotations

import io
import pickle
from collections import OrderedDict
from dataclasses import dataclass, field
from typing import Any

from fieldplan.model.plan import FieldPlan
from fieldplan.web.answer import Answer


@dataclass(frozen=True, slots=True)
class Sent:
    """One answer as bytes.

    Parameters
    ----------
    new
        Plans of fields by the number that they are named by from now on.
    gone
        Numbers that are not named any more.
    answer
        The answer, with plans of fields by number.
    """

    new: dict[int, bytes]
    gone: tuple[int, ...]
    answer: bytes


@dataclass(slots=True)
class Sender:
    """The worker's end.

    Parameters
    ----------
    most
        Plans that are kept at the other end.
    """

    most: int
    _numbers: OrderedDict[int, tuple[int, FieldPlan]] = field(default_factory=OrderedDict)
    _next: int = 0

    def pack(self, answer: Answer) -> Sent:
        """The bytes of an answer."""
        new: dict[int, FieldPlan] = {}
        stream = io.BytesIO()
        pickler = _Naming(stream, pickle.HIGHEST_PROTOCOL)
        pickler.name = lambda plan: self._number(plan, new)
        pickler.dump(answer)
        gone = []
        while len(self._numbers) > max(self.most, len(answer.plan.fields) if answer.plan else 0):
            gone.append(self._numbers.popitem(last=False)[1][0])
        packed = {number: pickle.dumps(plan, pickle.HIGHEST_PROTOCOL) for number, plan in new.items()}
        return Sent(new=packed, gone=tuple(gone), answer=stream.getvalue())

    def _number(self, plan: FieldPlan, new: dict[int, FieldPlan]) -> int:
        """The number of a plan; the plan is held, so that no other takes its place in memory."""
        known = self._numbers.pop(id(plan), None)
        if known is None:
            self._next += 1
            known = (self._next, plan)
            new[self._next] = plan
        self._numbers[id(plan)] = known
        return known[0]


@dataclass(slots=True)
class Receiver:
    """The page's end: what arrived is the same object each time that it is named."""

    _plans: dict[int, FieldPlan] = field(default_factory=dict)

    def unpack(self, sent: Sent) -> Answer:
        """The answer."""
        for number, packed in sent.new.items():
            self._plans[number] = pickle.loads(packed)
        unpickler = _Named(io.BytesIO(sent.answer))
        unpickler.plans = self._plans
        answer: Answer = unpickler.load()
        for number in sent.gone:
            self._plans.pop(number, None)
        return answer


class _Naming(pickle.Pickler):
    """Names plans of fields instead of writing them."""

    name: Any = None

    def persistent_id(self, obj: Any) -> int | None:
        """The number of a plan; nothing for what is written."""
        return self.name(obj) if type(obj) is FieldPlan else None


class _Named(pickle.Unpickler):
    """Puts plans of fields in for their names."""

    plans: dict[int, FieldPlan]

    def persistent_load(self, pid: Any) -> FieldPlan:
        """The plan of a number."""
        return self.plans[pid]
