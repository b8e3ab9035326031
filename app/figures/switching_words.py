"""What makes something dead, in words: acts, what is locked, where it is proved."""

from __future__ import annotations

from collections.abc import Iterable

from app.figures.failure_report import called
from app.figures.order_report import where
from engine.circuit.switching.results import Lock, MakeDead, Prove
from engine.rules.wording import Namer, listed
from engine.words import _

__all__ = ["act_words", "lock_words", "prove_words"]


def _switched(names: Namer, item: str, position: str) -> str:
    name = called(names, item)
    if position == "open":
        return _("Open {name}").format(name=name)
    if position == "closed":
        return _("Close {name}").format(name=name)
    return _("Put {name} to {position}").format(name=name, position=_(position))


def act_words(names: Namer, act: MakeDead) -> str:
    """*Open Q1 Shore breaker: cuts off G10*; *Draw F3*; *Switch off what takes current through Q2*."""
    name = called(names, act.item) if act.item in names.snapshot.equipment else names.name(act.item)
    if act.kind == "switch":
        text = _switched(names, act.item, act.position)
    else:
        text = {
            "stop": _("Stop {name}"),
            "unplug": _("Unplug {name}"),
            "cover": _("Cover {name}, so that no light falls on it"),
            "draw": _("Draw {name}"),
            "wait": _("Wait at {name}"),
            "disable": _("Disable {name}, so that it does not act by itself"),
            "unload": _("Switch off what takes current through {name}"),
        }[act.kind].format(name=name)
        if act.kind == "draw" and act.position:
            text = _("{what}, the fuse to {terminal}").format(what=text, terminal=act.position)
    place = where(names.snapshot, act.item) if act.item in names.snapshot.equipment else ""
    if place:
        text = _("{what} ({where})").format(what=text, where=place)
    if act.sources:
        text = _("{what}: cuts off {sources}").format(what=text, sources=_called(names, act.sources))
    return text


def lock_words(names: Namer, lock: Lock) -> str:
    """*Q1 Shore breaker*, and where it is not made to be locked what then."""
    name = called(names, lock.item)
    if lock.can:
        return name
    if lock.can is None:
        return _("{name}: not recorded whether it can be locked").format(name=name)
    return _("{name}: it cannot be locked; a warning notice hangs there, and somebody stays by it").format(name=name)


def prove_words(names: Namer, prove: Prove) -> str:
    """*At T3.in: +, - against each other and against earth*."""
    return _("At {item}.{terminal}: {conductors} against each other and against earth").format(
        item=names.name(prove.item), terminal=prove.terminal, conductors=", ".join(prove.conductors)
    )


def _called(names: Namer, items: Iterable[str]) -> str:
    return listed([called(names, item) for item in items])
