"""In which order something is made dead, and what belongs to it besides the acts that part it.

What may start by itself is barred first; engines stop before their alternators lose the battery; loads and converters
are switched off before what is not recorded as breaking load; alternating current before direct, outputs before
inputs; the sun before batteries; fuses last; then whatever holds charge is given its time.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.circuit.switching.made_dead import Question, holds_charge
from engine.circuit.switching.results import MakeDead
from engine.circuit.switching.upstream import Act
from engine.words import _

__all__ = ["ordered", "steps"]

AC_LINES = ("L1", "L2", "L3")
BAR, STOP, AC, PLUG, SUN, DC, BATTERY, FUSE = range(8)


def ordered(question: Question) -> list[Act]:
    """The acts in the order in which they are done."""
    upstream, cut = question.upstream, question.cut
    depth = _from_sources(question)

    def batteries(act: Act) -> bool:
        return any(question.record(upstream.origins[n].equipment).store() is not None for n in cut.cuts.get(act, ()))

    def key(act: Act) -> tuple[int, int, Act]:
        by_kind = {"disable": BAR, "stop": STOP, "unplug": PLUG, "cover": SUN, "draw": FUSE}
        if act.kind in by_kind:
            return by_kind[act.kind], 0, act
        if any(x.conductor in AC_LINES for x in question.links.get(act.item, ())):
            return AC, -max((depth.get(n, 0) for n in question.nodes(act.item)), default=0), act
        return BATTERY if batteries(act) else DC, 0, act

    return sorted(cut.acts, key=key)


def steps(question: Question) -> Iterator[MakeDead]:
    """Everything to do, in order."""
    acts = ordered(question)
    engines = [act for act in _turning(question) if act not in acts]
    before = [act for act in acts if act.kind in ("disable", "stop")]
    for act in [a for a in before if a.kind == "disable"]:
        yield MakeDead("disable", act.item, act.position, _cuts(question, act), _held_why(question, act))
    stops = [act for act in before if act.kind == "stop"]
    for act in [*stops, *engines]:
        yield from _stopped(question, act, is_for_battery=act in engines)
    done = frozenset([*before, *engines])
    told: set[str] = set()
    for act in acts:
        if act in before:
            continue
        if not _breaks_load(question, act):
            yield from _unloaded(question, act, done, told)
        yield _step(question, act)
        done |= {act}
    for item in _charged(question):
        yield MakeDead(
            "wait",
            item,
            why=_("its capacitors stay charged: wait as long as its maker says, which is not recorded here"),
        )


def _step(question: Question, act: Act) -> MakeDead:
    record = question.record(act.item)
    why = ""
    if act.kind == "switch" and act.position not in question.upstream.parting(act.item):
        why = _("it has no off: in this position it joins the other source instead")
    elif act.kind == "unplug":
        why = _("pull the cord out at the inlet, and keep the plug where nobody puts it in again")
        if not getattr(record.ashore(), "inlet", False):
            why = _("pull the cord out at the outlet ashore, after its breaker there is off")
    elif act.kind == "cover":
        why = _("an array gives its full voltage in any daylight: cover all of it so that no light comes through")
    elif act.kind == "draw":
        why = _("no one switch does it; a fuse is drawn without current only, and kept where nobody puts it back")
    return MakeDead(act.kind, act.item, act.position, _cuts(question, act), why)


def _cuts(question: Question, act: Act) -> tuple[str, ...]:
    """Sources on the ways that an act parts."""
    origins = question.upstream.origins
    return tuple(dict.fromkeys(origins[n].equipment for n in sorted(question.cut.cuts.get(act, ()))))


def _held_why(question: Question, act: Act) -> str:
    override = any(r.override for r in question.record(act.item).remotes())
    if override:
        return _("a controller moves it: work it by hand and take its control supply away, so that it stays there")
    return _("a controller moves it: take its control supply away, and see that it stays there")


def _breaks_load(question: Question, act: Act) -> bool:
    """A plug or a fuse is no switch; what is not recorded as breaking load is taken as not doing so."""
    if act.kind in ("unplug", "draw"):
        return False
    return act.kind != "switch" or question.record(act.item).breaks_load_now() is True


# -- machines -------------------------------------------------------------------------------------------------------
def _stopped(question: Question, act: Act, is_for_battery: bool) -> Iterator[MakeDead]:
    """Stop a source, and keep it from starting."""
    record = question.record(act.item)
    cuts = () if is_for_battery else _cuts(question, act)
    starts_itself = getattr(record, "starting", "") != "by hand" and hasattr(record, "starting")
    machine = record.machine()
    engine = machine.engine if machine is not None else ""
    if record.harvest() is not None:
        yield MakeDead("stop", act.item, sources=cuts, why=_("apply its brake and lock it"))
        return
    bar = MakeDead(
        "disable", engine or act.item, sources=cuts, why=_("take its start away, so that nobody starts it meanwhile")
    )
    if starts_itself:
        why = _("set its automatic start to off at its own panel: it may start at any time")
        if getattr(record, "starting", "") == "":
            why = _("how it is started is not recorded: if it may start by itself, set that to off at its own panel")
        yield bar._replace(why=why, item=act.item)
    why = ""
    if is_for_battery:
        why = _("an alternator that loses its battery while it turns may be destroyed, and what it feeds with it")
    elif record.WITH_ENGINE:
        why = _("it gives voltage whenever its engine turns: stop the engine")
    yield MakeDead("stop", act.item, sources=cuts, why=why)
    if not starts_itself:
        yield bar


def _turning(question: Question) -> list[Act]:
    """Machines that what is opened would part from every battery, and which do not feed the item themselves."""
    upstream, acts = question.upstream, question.cut.acts
    banks = {o.node for o in upstream.origins if question.record(o.equipment).store() is not None}
    found = []
    for origin in upstream.origins:
        lost = question.record(origin.equipment).battery_lost()
        if lost is None or lost.form != "machine" or lost.harmed is False or origin.act is None:
            continue
        if upstream.joined([origin.node], frozenset()) & banks and not upstream.joined([origin.node], acts) & banks:
            found.append(origin.act)
    return list(dict.fromkeys(found))


# -- loads ----------------------------------------------------------------------------------------------------------
def _unloaded(question: Question, act: Act, done: frozenset[Act], told: set[str]) -> Iterator[MakeDead]:
    """What takes current through it until then is switched off: loads together, then converters one by one."""
    upstream = question.upstream
    fed, beyond = upstream.fed(done), _beyond(question, act, done)
    loads, converters = [], []
    for item, record in question.snapshot.equipment.items():
        nodes = [n for n in question.nodes(item) if n in fed and n in beyond]
        if item in told or not nodes or item == act.item:
            continue
        if item != question.item and all(n in question.fed_after for n in nodes):
            continue
        if record.converter() is not None and any(not c.both_ways for c in record.conversions()):
            told.add(item)
            converters.append(item)
        elif record.use() is not None:
            told.add(item)
            loads.append(question.study.name(item))
    if loads:
        why = _("what it feeds, one by one: {names}").format(names=", ".join(loads))
        yield MakeDead("unload", act.item, why=why)
    for item in converters:
        yield MakeDead("stop", item, why=_("switch it off by its own control, so that it takes no current"))


def _beyond(question: Question, act: Act, done: frozenset[Act]) -> set[int]:
    """Nodes to which current may flow through the equipment of an act."""
    upstream = question.upstream
    seen = set(question.nodes(act.item))
    todo = list(seen)
    for node in todo:
        for to, arc in upstream.out_of[node]:
            if to not in seen and not any(x in done for x in arc.acts):
                seen.add(to)
                todo.append(to)
    return seen


def _charged(question: Question) -> list[str]:
    """What holds charge and stays joined to the item; the item itself first."""
    joined = question.upstream.joined(question.goals, question.cut.acts)
    items = dict.fromkeys([question.item, *(question.circuit.nodes[n].equipment for n in sorted(joined))])
    equipment = question.snapshot.equipment
    return [i for i in items if i in equipment and holds_charge(equipment[i])]


def _from_sources(question: Question) -> dict[int, int]:
    """How many steps every node is away from the nearest source."""
    depth = {origin.node: 0 for origin in question.upstream.origins}
    todo = list(depth)
    for node in todo:
        for to, _arc in question.upstream.out_of[node]:
            if to not in depth:
                depth[to] = depth[node] + 1
                todo.append(to)
    return depth
