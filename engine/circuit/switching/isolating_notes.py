"""What a person must know besides the steps that make something dead, in sentences."""

from __future__ import annotations

from collections.abc import Iterator

from engine.circuit.expand import Link
from engine.circuit.switching.made_dead import Question
from engine.circuit.switching.upstream import Act
from engine.words import _

__all__ = ["goes_dark", "notes"]


def notes(question: Question) -> Iterator[str]:
    """The sentences, what is most dangerous first, none twice."""
    yield from dict.fromkeys(_notes(question))


def _notes(question: Question) -> Iterator[str]:
    yield from _what_remains(question)
    if not question.goals:
        told = _(
            "{name} has no conductor that a source feeds; what returns through it must be off before it is undone."
        )
        yield told.format(name=question.study.name(question.item))
    elif not question.cut.reached and not question.cut.undecided:
        yield _("Nothing drawn feeds {name}. Prove it dead all the same.").format(
            name=question.study.name(question.item)
        )
    yield from _interlocks(question)
    yield from _returns(question)
    yield from _still_live(question)
    dark = goes_dark(question)
    if dark:
        yield _("This goes dark with it: {names}.").format(names=_names(question, dark))
    if question.upstream.is_locked:
        yield _("The interlocks drawn allow no switch position at all, so they are not counted.")


def goes_dark(question: Question) -> list[str]:
    """Consumers that some source feeds before and none after; the item itself left out."""
    found = []
    for item, record in question.snapshot.equipment.items():
        if record.use() is None or item == question.item:
            continue
        nodes = question.nodes(item)
        if any(n in question.fed_before for n in nodes) and not any(n in question.fed_after for n in nodes):
            found.append(item)
    return found


def _what_remains(question: Question) -> Iterator[str]:
    origins = question.upstream.origins
    name = question.study.name
    told: set[str] = set()
    for n in sorted(question.cut.remains):
        origin = origins[n]
        if origin.equipment in told:
            continue
        told.add(origin.equipment)
        record = question.record(origin.equipment)
        if origin.equipment == question.item and record.store() is not None:
            told_of = _(
                "The terminals of {name} itself are always live: cover them, and work on them as on live parts."
            )
            yield told_of.format(name=name(origin.equipment))
        elif origin.undrawn:
            yield _("What feeds {name} at its terminal {terminal} is not drawn: it must be parted there.").format(
                name=name(origin.equipment), terminal=origin.undrawn
            )
        elif record.store() is not None:
            yield _(
                "No switch, breaker, plug or fuse that a person can open parts {item} from {source}. "
                "The last resort is to undo the conductor at the terminal of {source} with insulated tools, "
                "and to cover its end."
            ).format(item=name(question.item), source=name(origin.equipment))
        else:
            yield _("Nothing that a person can open or stop parts {item} from {source}.").format(
                item=name(question.item), source=name(origin.equipment)
            )
    undecided = {origins[n].equipment for n in question.cut.undecided - question.cut.remains}
    if undecided:
        told_of = _("Whether {sources} can still feed it is not decided: the search was stopped before it could tell.")
        yield told_of.format(sources=_names(question, sorted(undecided)))


def _interlocks(question: Question) -> Iterator[str]:
    """Interlocks without which some source could still feed it."""
    cut, origins = question.cut, question.upstream.origins
    left = {origins[n].equipment for n in cut.remains | cut.undecided}
    if question.upstream.is_locked or left:
        return
    locks = question.snapshot.interlocks
    for way in question.upstream.parted_by_position(question.goals, cut.acts):
        on_way = {arc.equipment for arc in way if arc.positions is not None}
        for item, lock in locks.items():
            held = [h.equipment for h in lock.held if h.equipment in on_way]
            if len(held) > lock.at_most:
                told = _("It rests on the interlock {name} of {devices}, which must stay in place meanwhile.")
                yield told.format(
                    name=question.study.name(item) if lock.name else "",
                    devices=_names(question, list(dict.fromkeys(h.equipment for h in lock.held))),
                ).replace("  ", " ")


def _still_live(question: Question) -> Iterator[str]:
    """Devices that are opened and stay live on one side."""
    live = []
    for act in sorted(question.cut.acts):
        if act.kind in ("switch", "disable", "draw") and any(n in question.fed_after for n in question.nodes(act.item)):
            live.append(act.item)
    if live:
        yield _("Live still on one side: {names}.").format(names=_names(question, list(dict.fromkeys(live))))


def _returns(question: Question) -> Iterator[str]:
    """Neutral or negative that stays joined to a source or to earth, and what leaves it so."""
    nodes = question.circuit.nodes
    for conductor, what in (("N", _("neutral")), ("-", _("negative"))):
        starts = [n for n in question.own if nodes[n].conductor == conductor]
        if not starts:
            continue
        reached = _reached(question, starts)
        origins = dict.fromkeys(o.equipment for o in question.upstream.origins)
        at = {nodes[n].equipment for n in reached} - {question.item}
        sources = [item for item in origins if item in at and item != question.item]
        is_earthed = any(nodes[n].conductor == "PE" for n in reached)
        if not sources and not is_earthed:
            continue
        to = [question.study.name(item) for item in sources] + ([_("earth")] if is_earthed else [])
        opened = {a.item for a in question.cut.acts if a.kind in ("switch", "draw") and not question.opens(a, conductor)
                  and any(x.conductor == conductor for x in question.links.get(a.item, ()))}  # fmt: skip
        left = _("{names} leaves it closed").format(names=_names(question, sorted(opened))) if opened else ""
        text = _("Its {what} stays joined to {to}").format(what=what, to=", ".join(to))
        yield f"{text}{': ' + left if left else ''}. " + _("Treat it as live.")


def _reached(question: Question, starts: list[int]) -> set[int]:
    """Nodes joined over neutral, negative and bonds when all is done, other contacts closed."""
    circuit, cut = question.circuit, question.cut.acts
    nodes = circuit.nodes
    near: dict[int, list[int]] = {}
    plugs = {act.item for act in cut if act.kind == "unplug"}
    for wire in circuit.wires:
        if nodes[wire.a].conductor in ("N", "-") and not _is_pulled(question, plugs, wire.a, wire.b):
            near.setdefault(wire.a, []).append(wire.b)
            near.setdefault(wire.b, []).append(wire.a)
    for link in circuit.links:
        if not {nodes[link.a].conductor, nodes[link.b].conductor} & {"N", "-"}:
            continue
        if not _is_opened(cut, link):
            near.setdefault(link.a, []).append(link.b)
            near.setdefault(link.b, []).append(link.a)
    seen = set(starts)
    todo = list(seen)
    for node in todo:
        if nodes[node].conductor == "PE":
            continue  # what is earthed is told; what else stands on the earth is not asked
        for to in near.get(node, ()):
            if to not in seen:
                seen.add(to)
                todo.append(to)
    return seen


def _is_pulled(question: Question, plugs: set[str], a: int, b: int) -> bool:
    """Whether a run ends at pins out of which the cord was pulled."""
    for end in (question.circuit.nodes[a], question.circuit.nodes[b]):
        if end.equipment in plugs:
            ashore = question.record(end.equipment).ashore()
            if ashore is not None and (ashore.inlet is False or end.terminal != ashore.terminal):
                return True
    return False


def _is_opened(cut: frozenset[Act], link: Link) -> bool:
    return link.positions is not None and any(
        act.item == link.equipment and act.kind in ("switch", "disable") and act.position not in link.positions
        for act in cut
    )


def _names(question: Question, items: list[str]) -> str:
    return ", ".join(question.study.name(item) for item in items)
