"""What is switched from afar or moves by itself: whether a hand can do it too, what it does when its control is lost.

A sign of strokes for the sheet, words for the foot of the window. No Qt.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Literal, NamedTuple

from engine.equipment.base import Equipment
from engine.equipment.behaviour import Remote
from engine.words import N_, _

__all__ = ["SIGN", "Hand", "hand_of"]

# a handle on a rod, as a manual actuator is drawn (IEC 60617), in mm about (0, 0): from, to
SIGN = (((-0.9, -0.8), (-0.9, 0.8)), ((-0.9, 0.0), (1.0, 0.0)))

_LOSS = {
    "opens": N_("opens when its control is lost"),
    "closes": N_("closes when its control is lost"),
    "stays": N_("stays as it is when its control is lost"),
    "": N_("not recorded what it does when its control is lost"),
}
_BY_HAND = {
    True: N_("can be switched by hand"),
    False: N_("no hand can switch it"),
    None: N_("not recorded whether a hand can switch it"),
}


class Hand(NamedTuple):
    """`sign`: a hand can, cannot, not recorded; of several channels the worst. "" where there is no such question."""

    sign: Literal["can", "cannot", "unknown", ""]
    words: str


def hand_of(record: Equipment) -> Hand | None:
    """Of equipment that is switched from afar or moves by itself; `None` for all other."""
    remotes = record.remotes()
    if not remotes:
        if not hasattr(record, "manual_override"):
            return None
        override: bool | None = record.manual_override  # a float switch: water moves it, nothing commands it
        return Hand(_sign([override]), _(_BY_HAND[override]))
    asked = [r for r in remotes if hasattr(record, r.override_field.partition("[")[0])]
    several = len(remotes) > 1
    parts = _alike(asked, several, lambda r: _(_BY_HAND[r.override])) if asked else []
    parts += _alike(remotes, several, _loss)
    return Hand(_sign([r.override for r in asked]) if asked else "", "; ".join(parts))


def _loss(remote: Remote) -> str:
    if remote.on_loss in _LOSS:
        return _(_LOSS[remote.on_loss])
    return _("goes to {position} when its control is lost").format(position=_(remote.on_loss))


def _alike(remotes: Iterable[Remote], several: bool, say: Callable[[Remote], str]) -> list[str]:
    """Sentences, channels of which the same holds together."""
    told: dict[str, list[str]] = {}
    for remote in remotes:
        told.setdefault(say(remote), []).append(remote.terminal.removeprefix("ch"))
    if not several or len(told) == 1:
        return list(told)
    return [_("channel {channels}: {what}").format(channels=", ".join(some), what=what) for what, some in told.items()]


def _sign(overrides: Iterable[bool | None]) -> Literal["can", "cannot", "unknown"]:
    every = set(overrides)
    return "cannot" if False in every else "unknown" if None in every else "can"
