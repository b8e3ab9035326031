"""A start and a house bank, each of them new or one that the drawing has."""

from __future__ import annotations

from engine.edits.edit import EditError
from engine.templates.dc_side import main_bank, volts_of
from engine.templates.making import Making, Spot
from engine.templates.question import Answers, Question
from engine.words import N_, _

__all__ = ["ask_two_banks", "two_banks"]


def ask_two_banks(house_ah: float = 200) -> tuple[Question, ...]:
    """Capacities, or designations of the banks there are."""
    return (
        Question("start_ah", N_("capacity of the start battery, where it brings one"), "Ah", 100, 60, 110),
        Question("house_ah", N_("capacity of the house bank, where it brings one"), "Ah", house_ah, 100, 400),
        Question("start", N_("start battery of the drawing; empty: it brings one"), joins="bank"),
        Question("house", N_("house bank of the drawing; empty: it brings one"), joins="bank"),
    )


def two_banks(m: Making, a: Answers, house_kind: str) -> tuple[Spot, Spot]:
    """The positive posts of start and house bank. Raises `EditError` where a bank named is none, or both are one."""
    volts = volts_of(a)
    made = []
    for name, kind, label in (("start", "AGM", _("start battery")), ("house", house_kind, _("house bank"))):
        asked = a.word(name)
        if not asked:
            made.append(Spot(main_bank(m, kind, label, volts, a.figure(f"{name}_ah"), ("unit_ah",)), "pos"))
            continue
        item = m.found(asked, name)
        store = m.of(item).store()
        if store is None:
            raise EditError(_("{name}: {designation} is no battery bank").format(name=name, designation=asked))
        m.hold_to(volts, Spot(item, "pos"), "+", name)
        made.append(Spot(item, "pos"))
    if made[0].equipment == made[1].equipment:
        raise EditError(_("start and house are one bank; name two"))
    return made[0], made[1]
