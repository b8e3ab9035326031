"""A boat traced without a drawing: which values are only assumed, what rests on them, which ends are to be traced."""

from __future__ import annotations

from engine.tracing.assumed import AssumedValue, Resting, assumed_values, without_assumed
from engine.tracing.ends import EndToTrace, TracePlace, count_ends, to_be_traced

__all__ = [
    "AssumedValue",
    "EndToTrace",
    "Resting",
    "TracePlace",
    "assumed_values",
    "count_ends",
    "to_be_traced",
    "without_assumed",
]
