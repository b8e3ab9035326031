"""Replace the kind of equipment, its connections kept: *what was a fuse is a circuit breaker now*, as one edit.

Runs find the terminal of the same name; else one that carries what they bring, on the same side first. Facts that both
kinds have are kept. What cannot be kept is told before anything is done.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

import msgspec

from app.drawing.changes.room import piece_of, refuse_outside
from app.drawing.changes.scenes import scene_of
from app.drawing.changes.taking import where_drawn
from app.drawing.changes.ways import Ways, route_of
from engine.edits import EditError, Several
from engine.edits.designations import for_kind, is_borne
from engine.edits.draft import Draft
from engine.edits.removing import end_loose, named
from engine.edits.renumbering import parts_of, renamed
from engine.equipment import kind_named
from engine.equipment.base import Equipment, Terminal
from engine.installation import Run, Snapshot
from engine.naming import inside, label_of
from engine.record import FieldFault, FieldSpec, convert_field, field_specs
from engine.units import UNITS, show
from engine.words import _

__all__ = ["Swap", "swap"]

_TWO = 2


class Swap(NamedTuple):
    """What replacing the kind would do. `told`: sentences on what is not kept; `loose`: runs that would end loose."""

    edit: Several
    told: tuple[str, ...]
    loose: tuple[str, ...]


def swap(snapshot: Snapshot, last_id: int, items: Iterable[str], kind: str) -> Swap:
    """Make equipment (ids of it, or of its symbols) of another kind.

    Raises `EditError` where there is nothing to be changed, or a symbol would stand outside its sheet.
    """
    cls = kind_named(kind)
    if cls is None:
        raise EditError(_("There is no kind of equipment “{kind}”.").format(kind=kind))
    of = snapshot.placements
    every = dict.fromkeys(of[i].equipment if i in of else i for i in items)
    wanted = [i for i in every if i in snapshot.equipment and snapshot.equipment[i].KIND not in ("", kind)]
    if not wanted:
        raise EditError(_("Nothing is chosen that is not a {kind} already.").format(kind=inside(_(cls.NAME))))
    draft = Draft(snapshot, last_id)
    told: list[str] = []
    loose: list[str] = []
    scenes = where_drawn(snapshot)
    for item in wanted:
        old = snapshot.equipment[item]
        new = _with_facts(snapshot, item, old, cls, told)
        ways = _terminals(snapshot, item, old, new)
        for run_id, run in snapshot.runs.items():
            for field in ("from_end", "to_end"):
                end = getattr(run, field)
                if end.equipment != item:
                    continue
                to = ways.get(end.terminal)
                now: Run = draft.get("runs", run_id)
                if to is None:
                    loose.append(run_id)
                    end_loose(draft, run_id, field.removesuffix("_end"), scenes(run_id, field.removesuffix("_end")))
                elif to != end.terminal:
                    draft.change("runs", run_id, **{field: msgspec.structs.replace(getattr(now, field), terminal=to)})
        draft.put("equipment", item, new)
        _show_terminals(draft, item, new, ways)
        _keep_positions(draft, item, old, new, told)
    for run_id in dict.fromkeys(loose):
        told.append(_("{run} finds no terminal there and ends loose.").format(run=named(snapshot, [run_id])))
    _lead(draft, set(wanted))
    words = _("Replace {names}: {kind}").format(names=named(snapshot, wanted), kind=inside(_(cls.NAME)))
    edit = draft.done(words)
    names = _new_names(draft.snapshot(), snapshot, wanted, cls, told)
    if names:
        edit = Several((*edit.edits, *renamed(draft.snapshot(), names).edits), words)
    return Swap(edit, tuple(told), tuple(dict.fromkeys(loose)))


# -- facts ------------------------------------------------------------------------------------------------------------
def _with_facts(snapshot: Snapshot, item: str, old: Equipment, cls: type[Equipment], told: list[str]) -> Equipment:
    """Equipment of the new kind with every fact it can have."""
    before = {spec.name: spec for spec in field_specs(type(old))}
    values: dict[str, Any] = {}
    for spec in field_specs(cls):
        if spec.name in before and spec.name != "in_position":
            value = getattr(old, spec.name)
            faults: list[FieldFault] = []
            made = value if before[spec.name].type == spec.type else convert_field(spec, value, spec.name, faults)
            if not faults:
                values[spec.name] = made
    origins = tuple(pair for pair in old.origins if pair[0] in values)
    new = cls(**values, origins=origins)
    if old.in_position in new.positions():
        new = msgspec.structs.replace(new, in_position=old.in_position)
    lost = []
    for name, spec in before.items():
        value = getattr(old, name)
        if value != spec.default and getattr(new, name, None) != value:
            text = _value(spec, value, snapshot.settings.units)
            label = inside(label_of(type(old), spec))
            lost.append(_("{field} ({value})").format(field=label, value=text) if text else label)
    if lost:
        told.append(_("{name} loses: {facts}.").format(name=named(snapshot, [item]), facts="; ".join(lost)))
    return new


def _value(spec: FieldSpec, value: Any, units: str) -> str:
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, int | float):
        return show(value, spec.fact.unit, units) if spec.fact.unit in UNITS else f"{value:g}"
    return _(value) if isinstance(value, str) else ""


# -- terminals --------------------------------------------------------------------------------------------------------
def _terminals(snapshot: Snapshot, item: str, old: Equipment, new: Equipment) -> dict[str, str]:
    """Terminals of the old kind that runs arrive at -> of the new, each taken by one; what finds none is absent."""
    brings: dict[str, set[str]] = {}
    for run in snapshot.runs.values():
        for end in (run.from_end, run.to_end):
            if end.equipment == item:
                brings.setdefault(end.terminal, set()).update(run.conductors())
    before = {t.name: t for t in old.terminals()}
    free = {t.name: t for t in new.terminals()}
    ways: dict[str, str] = {}
    for name, conductors in brings.items():
        if name in free and conductors & set(free[name].conductors):
            ways[name] = name
            del free[name]
    ends = len(before) == len(new.terminals()) == _TWO  # in and out, by whatever name
    order, after = list(before), [t.name for t in new.terminals()]
    for name in [n for n in before if n in brings and n not in ways]:
        fitting = [t for t in free.values() if brings[name] <= set(t.conductors)]
        if not fitting:
            continue

        def likeness(t: Terminal, name: str = name) -> tuple[bool, bool, bool, int]:
            was = before[name]
            same_end = ends and after.index(t.name) == order.index(name)
            return (not same_end, t.side != was.side, t.must != was.must, len(t.conductors))

        best = min(fitting, key=likeness)
        ways[name] = best.name
        del free[best.name]
    return ways


def _show_terminals(draft: Draft, item: str, new: Equipment, ways: dict[str, str]) -> None:
    """Symbols show the terminals of the new kind, each one symbol; what has nothing left to show goes."""
    mine = [(i, p) for i, p in draft.table("placements").items() if p.equipment == item]
    every = [t.name for t in new.terminals()]
    shown: set[str] = set()
    kept: list[str] = []
    for n, (symbol, placement) in enumerate(mine):
        if not placement.terminals:
            now: tuple[str, ...] = ()
            shown.update(every)
        else:
            now = tuple(dict.fromkeys(ways[t] for t in placement.terminals if t in ways and ways[t] not in shown))
            shown.update(now)
            if not now and n and len(mine) > 1:
                draft.put("placements", symbol, None)
                continue
        kept.append(symbol)
        piece = piece_of(draft.snapshot(), placement, draft.get("equipment", item))
        length = placement.length if piece.is_bar else None
        draft.change("placements", symbol, terminals=now, length=length, symbol="")
    rest = tuple(t for t in every if t not in shown)
    if kept and rest:
        first = draft.get("placements", kept[0])
        now = tuple(t for t in every if t in first.terminals or t in rest)
        draft.change("placements", kept[0], terminals=() if len(kept) == 1 else now)
    for symbol in kept:
        placement = draft.get("placements", symbol)
        after = piece_of(draft.snapshot(), placement, new, symbol)
        old_placement = draft.first.placements[symbol]
        before = piece_of(draft.first, old_placement, draft.first.equipment[item], symbol)
        refuse_outside(draft.snapshot(), placement.sheet, after, before)


# -- what names its positions ---------------------------------------------------------------------------------------
def _keep_positions(draft: Draft, item: str, old: Equipment, new: Equipment, told: list[str]) -> None:
    """Conditions and interlocks keep what they say of positions that the new kind has too."""
    has = new.positions()
    name = named(draft.first, [item])
    for table_item, condition in list(draft.table("conditions").items()):
        kept = tuple(s for s in condition.settings if s.equipment != item or s.position in has)
        if kept != condition.settings:
            draft.change("conditions", table_item, settings=kept)
            told.append(
                _("Condition “{condition}” no longer says how {name} stands.").format(
                    condition=condition.name, name=name
                )
            )
    for table_item, lock in list(draft.table("interlocks").items()):
        held = []
        for each in lock.held:
            positions = tuple(p for p in each.positions if each.equipment != item or p in has)
            if positions:
                held.append(each if positions == each.positions else msgspec.structs.replace(each, positions=positions))
        if tuple(held) == lock.held:
            continue
        title = lock.name or _("without a name")
        if len(held) < 2:
            draft.put("interlocks", table_item, None)
            told.append(_("Interlock “{interlock}” goes: it held {name}.").format(interlock=title, name=name))
        else:
            draft.change("interlocks", table_item, held=tuple(held))
            told.append(_("Interlock “{interlock}” no longer holds {name} as before.").format(
                interlock=title, name=name))  # fmt: skip


# -- ways and names -------------------------------------------------------------------------------------------------
def _lead(draft: Draft, items: set[str]) -> None:
    """Runs whose way no longer meets its terminal are led anew; those set by hand get a corner."""
    runs = {i for i, r in draft.table("runs").items() if {r.from_end.equipment, r.to_end.equipment} & items}
    for sheet in {p.sheet for p in draft.table("placements").values() if p.equipment in items}:
        if sheet not in draft.first.sheets:
            continue
        before, after = scene_of(draft.first, sheet), scene_of(draft.snapshot(), sheet)
        was = {p.run: p.points for p in before.parts_on(sheet) if p.kind == "whole"}
        now = {p.run: p.points for p in after.parts_on(sheet) if p.kind == "whole"}
        anew = []
        for run in sorted(runs & was.keys()):
            route = draft.table("routes").get(route_of(draft, run, sheet))
            by_hand = route is not None and route.by_hand and run in now
            if not by_hand and now.get(run) != was[run]:
                anew.append(run)
        if anew:
            ways = Ways(draft, sheet, anew, scene=after)
            for run in anew:
                ways.lead(run)


def _new_names(
    now: Snapshot, before: Snapshot, items: Iterable[str], cls: type[Equipment], told: list[str]
) -> dict[str, str]:
    """Designations whose letter was that of the old kind and does not suit the new: the number stays where it can."""
    names: dict[str, str] = {}
    for item, old, letters, lead, number in _lettered(before, items):
        if letters[:1] in cls.LETTERS or letters[:1] not in before.equipment[item].LETTERS or not cls.LETTERS:
            continue
        new = f"{lead}{cls.LETTERS[0]}{number}"
        if is_borne(now, new) or new in names.values():
            new = lead + _next(now, cls, names)
        names[item] = new
        told.append(_("{old} is called {new}: its letter is that of the new kind.").format(old=old, new=new))
    return names


def _next(now: Snapshot, cls: type[Equipment], names: dict[str, str]) -> str:
    free = for_kind(now, cls.KIND)
    number = int(free[len(cls.LETTERS[0]) :])
    while f"{cls.LETTERS[0]}{number}" in names.values() or is_borne(now, f"{cls.LETTERS[0]}{number}"):
        number += 1
    return f"{cls.LETTERS[0]}{number}"


def _lettered(snapshot: Snapshot, items: Iterable[str]) -> Iterator[tuple[str, str, str, str, str]]:
    """Item, designation, and its letters, what stands before them, its number."""
    for item in items:
        old = snapshot.equipment[item].designation
        found = parts_of(old)
        if found is not None:
            lead, letters, number = found
            yield item, old, letters, lead, number
