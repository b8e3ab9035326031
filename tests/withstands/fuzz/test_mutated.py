"""True files changed in the way of their own form, other ones every time: opened or refused in words, whatever it is.

What opens is judged by every rule, drawn, written and read again as the same.
"""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st
from mutations import Pick, bytes_changed, drawing_changed, text_changed
from targets import SEEDS, TARGETS, drawing, drawings, judged, pictured

SMALL = 12  # drawings of the corpus that are changed here; the long run takes them all
QUIET = settings(deadline=None, suppress_health_check=list(HealthCheck))


def _pick(data: st.DataObject) -> Pick:
    return lambda n: data.draw(st.integers(0, n - 1))


@settings(QUIET, max_examples=250)
@given(st.data())
def test_a_changed_drawing_opens_and_is_whole_or_is_refused(data: st.DataObject) -> None:
    pick, some = _pick(data), drawings()[:SMALL]
    changed = drawing_changed(some[pick(SMALL)], some, pick)
    installation = drawing(changed)
    event("refused" if installation is None else "opened")
    if installation is not None:
        judged(installation)
        if pick(5) == 0:
            pictured(installation)


@pytest.mark.parametrize("target", [name for name in TARGETS if name != "drawing"])
@settings(QUIET, max_examples=60)
@given(data=st.data())
def test_whatever_else_comes_in_is_read_or_refused(target: str, data: st.DataObject) -> None:
    pick, seeds = _pick(data), SEEDS[target]()
    seed = seeds[pick(len(seeds))]
    is_text = target not in ("workbook", "journal")
    TARGETS[target](text_changed(seed, pick) if is_text and pick(2) else bytes_changed(seed, pick))
