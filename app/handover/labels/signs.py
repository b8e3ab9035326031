"""Signs that the book's rules ask for: which, where, by which clause, how many, and what is written on them.

Two rules ask for something that is put up: a panel that several sources feed must say so and name what to open, and a
shore inlet must have its volts, frequency and current beside it. Signal words are those of ANSI Z535.4 (from memory,
not confirmed): *warning* where it could kill, which alternating current can, *caution* where it could hurt.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal, NamedTuple

from app.figures.isolation_report import short_deed
from app.figures.order_report import called
from app.handover.labels.label import Label, tidied
from engine.check import CheckResult
from engine.circuit.switching.isolating import isolate
from engine.findings import Finding
from engine.naming import natural
from engine.rules.wording import listed, named
from engine.study import Study
from engine.units import show
from engine.words import N_, _

__all__ = ["STATES", "Sign", "signs"]

_SOURCES, _MARKS = "no-several-sources-sign", "no-label"
State = Literal["missing", "not recorded", "there"]
STATES: dict[State, str] = {
    "missing": N_("missing"),
    "not recorded": N_("not recorded"),
    "there": N_("there already"),
}


class Sign(NamedTuple):
    """A sign, and whether it hangs there. `label`: None where a figure it must show is not known."""

    what: str
    where: str
    state: State
    clause: str  # in words
    label: Label | None
    gap: str = ""  # why it is not made, or what it does not say

    @property
    def many(self) -> int:
        """How many are printed."""
        return 0 if self.label is None or self.state == "there" else self.label.quantity


def signs(study: Study, result: CheckResult, only_new: bool = False) -> tuple[Sign, ...]:
    """All signs asked for, by where they hang. With `only_new` those alone that are known to be missing."""
    made = [*_several(study, result), *_inlets(study, result)]
    wanted = [sign for sign in made if not only_new or sign.state == "missing"]
    return tuple(sorted(wanted, key=lambda sign: (natural(sign.where), sign.what)))


def _said(study: Study, slug: str) -> Iterator[tuple[str, State]]:
    """What a rule speaks of, by id, and whether the sign is there."""
    told: dict[str, State] = {}
    outcome = study.outcome(slug)
    for remark in outcome.remarks:
        subjects = remark.ids if slug == _MARKS else remark.ids[:1]
        for item in subjects:
            told[item] = "missing" if isinstance(remark, Finding) else "not recorded"
    for passed in outcome.passed:
        told.setdefault(passed.ids[0], "there")
    yield from told.items()


def _clause(study: Study, result: CheckResult, slug: str) -> str:
    clause = study.book.clause(slug)
    if not clause:
        return _("no clause in this book: good practice")
    if not study.book.confirmed(slug) and "(" not in clause:
        clause = _("{clause} (not confirmed)").format(clause=clause)
    is_law = result.law and not study.book.is_practice(slug, clause)
    return _("{clause}: law for this vessel").format(clause=clause) if is_law else clause


# -- a panel that several sources feed --------------------------------------------------------------------------------
def _several(study: Study, result: CheckResult) -> Iterator[Sign]:
    clause = _clause(study, result, _SOURCES)
    for item, state in _said(study, _SOURCES):
        enclosure = study.snapshot.enclosures.get(item)
        if enclosure is None:
            continue
        opens, stored, sources, gap = _to_open(study, item)
        place = study.snapshot.places.get(enclosure.place)
        lines = (
            _("SEVERAL SOURCES FEED THIS PANEL"),
            _("Switching one off does not make it dead."),
            _("Open: {devices}.").format(devices="; ".join(opens)) if opens else "",
            _("Then wait for {names}: stored charge.").format(names=", ".join(stored)) if stored else "",
            _("Not cut off by this: {sources}.").format(sources=", ".join(sources)) if sources else "",
            _("Prove dead before work."),
        )
        yield Sign(
            _("several sources"),
            enclosure.name,
            state,
            clause,
            Label(
                "signs",
                _("{panel}: several sources").format(panel=enclosure.name),
                tidied(lines),
                where=place.name if place is not None else "",
                word=_("WARNING") if _has_ac(study, item) else _("CAUTION"),
                why=clause,
            ),
            gap,
        )


def _inside(study: Study, enclosure: str) -> list[str]:
    """What stands in it and has runs: buses where there are any, for they feed the rest."""
    snapshot = study.snapshot
    inside = [
        item
        for item in study.circuit.joined
        if snapshot.equipment[item].enclosure == enclosure and snapshot.equipment[item].status != "to remove"
    ]
    buses = [item for item in inside if snapshot.equipment[item].ROLE == "bus"]
    return sorted(buses or inside, key=lambda item: natural(study.name(item)))


def _has_ac(study: Study, enclosure: str) -> bool:
    circuit = study.circuit
    return any(
        "ac" in study.volts.at(node).systems()
        for item, terminals in circuit.joined.items()
        if study.snapshot.equipment[item].enclosure == enclosure
        for terminal in terminals
        for line in ("L1", "L2", "L3")
        if (node := circuit.node(item, terminal, line)) is not None
    )


def _as_marked(study: Study, item: str) -> str:
    """What is written at it, then its designation: a marking may stand at several."""
    marked, name = called(study.snapshot, item), study.name(item)
    return marked if marked == name else f"{marked} {name}"


def _to_open(study: Study, enclosure: str) -> tuple[list[str], list[str], list[str], str]:
    """What is done to make all of a panel dead, as written aboard; what keeps a charge; sources that then still feed
    it; the gap.
    """
    deeds: dict[str, None] = {}
    stored: dict[str, None] = {}
    remains: dict[str, None] = {}
    for item in _inside(study, enclosure):
        told = isolate(study, item)
        for step in told.steps:
            if step.kind == "wait":
                if study.snapshot.equipment[step.item].status != "to remove":
                    stored[study.name(step.item)] = None
            elif step.kind != "unload":
                deed, name = short_deed(step), _as_marked(study, step.item)
                deeds[name if step.position == "open" else f"{name} ({deed})"] = None
        remains.update(dict.fromkeys((*told.remains, *told.undecided)))
    names = [named(study, item) for item in remains]
    panel = study.snapshot.enclosures[enclosure].name
    if not deeds and not remains:
        gap = _("The sign of {panel} does not say what to open: nothing drawn cuts it off.").format(panel=panel)
    elif remains:
        told_names = listed(names)
        gap = _("The sign of {panel} cannot say what cuts off {sources}.").format(panel=panel, sources=told_names)
    else:
        gap = ""
    return list(deeds), list(stored), names, gap


# -- a shore inlet ----------------------------------------------------------------------------------------------------
def _inlets(study: Study, result: CheckResult) -> Iterator[Sign]:
    clause = _clause(study, result, _MARKS)
    for item, state in _said(study, _MARKS):
        record = study.snapshot.equipment.get(item)
        ashore = record.ashore() if record is not None else None
        if record is None or ashore is None or not ashore.inlet:
            continue
        amps = record.through_limit(ashore.terminal)
        figures = {
            "ac_v": (getattr(record, "ac_v", None), "V"),
            "frequency_hz": (getattr(record, "frequency_hz", None), "Hz"),
            "through_a": (amps, "A"),
        }
        lacking = [f"{study.name(item)}.{field}" for field, (value, _unit) in figures.items() if value is None]
        gap = ""
        label = None
        if lacking:
            gap = _("The plate of {inlet} is not made: {fields} is not recorded.").format(
                inlet=named(study, item), fields=listed(lacking)
            )
        else:
            place = study.snapshot.places.get(record.place)
            lines = (
                _("SHORE INLET"),
                " ".join(show(value, unit) for value, unit in figures.values()),
                study.name(item),
            )
            label = Label(
                "signs",
                _("{inlet}: plate beside it").format(inlet=study.name(item)),
                tidied(lines),
                where=place.name if place is not None else "",
                why=clause,
            )
        yield Sign(_("volts, frequency and current"), study.name(item), state, clause, label, gap)
