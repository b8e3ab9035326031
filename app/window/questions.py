"""What the window has asked of the study process and was not yet answered: one question of a sort, the newest."""

from __future__ import annotations

from typing import Any

from app.measuring.messages import Measured, MeasureRequest
from app.switching_messages import (
    FailuresRequest,
    FailuresTold,
    Isolated,
    IsolateRequest,
    Ordered,
    OrderRequest,
)
from app.tidying_messages import TidyRequest, TidyTold
from app.worker_messages import (
    ExampleRequest,
    Examples,
    Explained,
    MendRequest,
    Offered,
    Sized,
    SizeRequest,
    WhyRequest,
)

__all__ = ["Questions"]

# by answer: what it answers, and the field by which both are told
_OF: dict[type, tuple[type, str]] = {
    Sized: (SizeRequest, "items"),
    Examples: (ExampleRequest, "rule"),
    Offered: (MendRequest, "key"),
    Explained: (WhyRequest, "items"),
    Measured: (MeasureRequest, "question"),
    FailuresTold: (FailuresRequest, "effort"),
    Ordered: (OrderRequest, "question"),
    Isolated: (IsolateRequest, "question"),
    TidyTold: (TidyRequest, "question"),
}


class Questions:
    """Questions that wait, by the request that asks them."""

    def __init__(self) -> None:
        self._waiting: dict[type, Any] = {}

    @property
    def waiting(self) -> list[tuple[type, Any]]:
        """Requests and what they ask, to be sent anew to a process that knows nothing."""
        return list(self._waiting.items())

    def keep(self, make: type, wanted: Any) -> None:
        """A question was asked; what was asked of this sort before is forgotten."""
        self._waiting[make] = wanted

    def forget(self, make: type) -> str:
        """A question is not wanted any more. What the study process calls it, "" where none waits."""
        waited = self._waiting.pop(make, None)
        return str(make.__struct_config__.tag) if waited else ""  # type: ignore[attr-defined]

    def is_answered(self, answer: Any, edited: int) -> bool:
        """Whether an answer is wanted, and true of the drawing since its edit `edited`: then nothing waits any more.

        A rule's examples are whatever is drawn.
        """
        request, field = _OF[type(answer)]
        is_true = answer.at >= edited or isinstance(answer, Examples)
        if not is_true or self._waiting.get(request) != getattr(answer, field):
            return False
        del self._waiting[request]
        return True
