"""What the card *the battery has shut itself off* says: what still works, how to start, reconnect, cut the inverter.

What still works comes from the failure table of the essential loads. How a battery is put back is its maker's to say:
what stands here besides is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from app.figures.order_report import called, where
from engine.circuit.switching.cutting import cut_off
from engine.circuit.switching.made_dead import Question
from engine.circuit.switching.results import Failure, Way
from engine.circuit.switching.upstream import Act
from engine.rules.wording import listed
from engine.study import Study
from engine.units import show
from engine.words import _

__all__ = ["Line", "banks", "cut_inverter", "never", "reconnect", "start_engine", "still_works"]


class Line(NamedTuple):
    """What is to be read or done, and what explains it."""

    deed: str
    about: str = ""


def banks(study: Study) -> list[str]:
    """Banks that are not known to stay on: their management may shut them off, or nobody has recorded that."""
    made = ((item, record.store()) for item, record in study.snapshot.equipment.items())
    return [item for item, store in made if store is not None and store.disconnects is not False]


def still_works(study: Study, bank: str) -> Iterator[Line]:
    """Every essential load while the bank is off."""
    table = study.failure_table
    place = next((j for j, f in enumerate(table.failures) if f.kind == "bank" and f.item == bank), None)
    equipment = study.snapshot.equipment
    together: dict[Line, list[str]] = {}  # loads of which the same is to be said
    ashore: list[str] = []  # loads that only the shore feeds now
    for i, load in enumerate(table.loads):
        cell = table.cells[i][place] if place is not None else None
        if cell is None or (cell.unchanged and cell.ways):
            said = Line(_("As before: {loads}"))
        elif cell.ways:
            traced = [way for way in study.feeding.fed(load, cell.failure).ways if way.stands_alone]
            said = _from(study, "{loads}", tuple(traced) or cell.ways)
            if all(equipment[way.source].ashore() is not None for way in cell.ways):
                ashore.append(_named(study, load))
        elif cell.fed.undecided:
            said = Line(_("Not decided: {loads}"), _("the search was stopped before it could tell"))
        else:
            said = Line(_("Does not work: {loads}"))
        together.setdefault(said, []).append(_named(study, load))
    for said, loads in together.items():
        yield Line(said.deed.replace("{loads}", listed(loads)), said.about)
    if ashore:
        yield Line(_("Away from the shore these do not work: {loads}").format(loads=listed(ashore)))
    if table.not_recorded:
        names = ", ".join(study.name(item) for item in table.not_recorded)
        yield Line(
            _("Of others nothing is said here"), _("not recorded as essential or not: {names}").format(names=names)
        )


def start_engine(study: Study, bank: str) -> Iterator[Line]:
    """From which battery each starter can be fed meanwhile, and in which positions.

    What a converter gives is no starting current; nor is what passes a device made for less than the starter takes.
    """
    equipment = study.snapshot.equipment
    failure = _failure(study, bank)
    found = False
    for item, record in study.snapshot.equipment.items():
        use = record.use()
        if use is None or not use.starts:
            continue
        found = True
        engine = _named(study, use.starts) if use.starts in study.snapshot.equipment else _named(study, item)
        fed = study.feeding.fed(item, failure)
        ways = [
            way
            for way in fed.ways
            if equipment[way.source].store() is not None
            and not any(equipment[on].conversions() for on in way.through if on not in (way.source, item))
        ]
        able = tuple(way for way in ways if not _too_small(study, way, use.running_a))
        if able:
            yield _from(study, engine, able)
        elif fed.undecided:
            yield Line(_("{engine}: not decided").format(engine=engine))
        else:
            why = [
                _("{source} only through {device}: too little for the {amps} its starter takes").format(
                    source=_named(study, way.source),
                    device=_too_small(study, way, use.running_a),
                    amps=show(use.running_a, "A"),
                )
                for way in ways
            ]
            yield Line(_("{engine}: nothing drawn starts it").format(engine=engine), "; ".join(why))
    if not found:
        yield Line(_("No starter is drawn"))


def reconnect(study: Study, bank: str) -> Iterator[Line]:
    """In which order it is put back."""
    equipment = study.snapshot.equipment
    keepers = [i for i, r in equipment.items() if (g := r.governs()) is not None and bank in g.banks]
    store = equipment[bank].store()
    is_managed = bool(keepers) or store is None or store.disconnects is not None
    if is_managed:
        told = _("its management tells: flat, too full, too hot, too cold, too much current")
        yield Line(_("Read why it shut off"), told)
    else:
        yield Line(_("Find out why it shut off"), _("flat, or something has opened"))
    upstream = study.upstream
    own = {o.node for o in upstream.origins if o.equipment == bank}
    turning = [
        o.equipment
        for o in upstream.origins
        if _charges(study, o.equipment) == "machine" and upstream.joined([o.node], frozenset()) & own
    ]
    if turning:
        names = listed([_named(study, item) for item in dict.fromkeys(turning)])
        yield Line(
            _("Stop the engine"), _("{names} must not turn into a battery that comes and goes").format(names=names)
        )
    inverters = [i for i, r in equipment.items() if r.output_va() is not None and _dc_side(study, i)]
    for item in inverters:
        yield Line(_("{name}: switch off").format(name=called(study.snapshot, item)), where(study.snapshot, item))
    yield Line(_("Switch off all loads, all chargers"), _("one by one, so that nothing comes on at once"))
    if not is_managed:
        yield Line(
            _("{name}: whether it has management is not recorded").format(name=_named(study, bank)),
            _("look for what has opened; where there is management, reset it as its maker says"),
        )
    else:
        for item in keepers or [bank]:
            yield Line(
                _("{name}: reset").format(name=called(study.snapshot, item)),
                "; ".join(t for t in (where(study.snapshot, item), _("as its maker says")) if t),
            )
    yield Line(_("If it was flat: charge first"), _("then switch loads on one by one, the essential ones first"))


def _too_small(study: Study, way: Way, amps: float | None) -> str:
    """The device on a way that is made for least, where that is less than what is to be carried; "" where none is."""
    found: list[tuple[float, str]] = []
    for item in way.through[1:-1]:
        record = study.snapshot.equipment[item]
        carried = record.carries()
        if carried is not None:
            rated = carried.cranking_a or carried.five_minute_a or carried.continuous_a
        else:
            rated = next((c.protection.rating_a for c in record.contacts() if c.protection is not None), None)
        if rated is not None and amps is not None and rated < amps:
            found.append((rated, _("{device} ({amps})").format(device=_named(study, item), amps=show(rated, "A"))))
    return min(found)[1] if found else ""


def never(study: Study, bank: str) -> Iterator[Line]:
    """When it is not put back."""
    yield Line(_("Smoke, smell, swelling, heat, water"), _("leave it off; cut the inverter; get people away from it"))
    coldest = getattr(study.snapshot.equipment[bank], "lowest_charge_c", None)
    if coldest is not None:
        yield Line(_("Colder than {limit}: no charging").format(limit=show(coldest, "degC")))
    else:
        yield Line(_("Freezing: no charging"), _("the lowest temperature for charging is not recorded"))
    yield Line(_("It shuts off again"), _("the reason is still there: leave it off"))


def cut_inverter(study: Study) -> Iterator[Line]:
    """How each inverter is cut from battery and alternating current, in an emergency; what loses its battery too."""
    snapshot, upstream = study.snapshot, study.upstream
    for item, record in snapshot.equipment.items():
        if record.output_va() is None or not (goals := _dc_side(study, item)):
            continue
        name = called(snapshot, item)
        cost = Question(study, item).cost
        cut = cut_off(upstream, goals, cost)
        of_bank = [act for act in sorted(cut.acts) if _cuts_bank(study, cut.cuts[act])]
        left = [n for n in cut.remains | cut.undecided if snapshot.equipment[upstream.origins[n].equipment].store()]
        if any(act.kind != "switch" or snapshot.equipment[act.item].breaks_load_now() is not True for act in of_bank):
            yield Line(_("{name}: switch off first").format(name=name), _("what cuts it may not break its current"))
        for act in of_bank:
            yield _cut_line(study, act, _("cuts the battery from {name}").format(name=name), item)
        if left or not of_bank:
            yield Line(_("{name}: nothing drawn cuts its battery").format(name=name))
        # alternating current reaches it from elsewhere too: from the shore, from a generator, through its bypass
        beside = [n for n in upstream.live_at.get(item, []) if n not in goals]
        of_ac = cut_off(upstream, beside, cost)
        done = set(of_bank)
        for act in sorted(of_ac.acts - set(of_bank)):
            others = _sources_at(study, of_ac.cuts[act], item)
            if act.kind in ("switch", "draw") and others:
                done.add(act)
                about = _("cuts {sources} from {name}").format(sources=_listed(study, others), name=name)
                yield _cut_line(study, act, about, item)
        after, _undecided = upstream.ways(upstream.live_at.get(item, []), frozenset(done))
        others = [
            each for each in _sources_at(study, frozenset(after), item) if snapshot.equipment[each].store() is None
        ]
        if others:
            yield Line(
                _("{name}: can still be live").format(name=name),
                _("from {sources}").format(sources=_listed(study, others)),
            )


def _sources_at(study: Study, origins: frozenset[int], item: str) -> list[str]:
    """Equipment that energy comes from, but for one."""
    found = dict.fromkeys(study.upstream.origins[n].equipment for n in sorted(origins))
    return [each for each in found if each != item]


def _listed(study: Study, items: list[str]) -> str:
    return listed([_named(study, item) for item in items])


def _cut_line(study: Study, act: Act, about: str, inverter: str) -> Line:
    """One thing to be opened, where it is, what it cuts, what else loses its battery."""
    snapshot = study.snapshot
    losing = _losing(study, act.item, inverter)
    also = _("takes the battery from these too: {loads}").format(loads=_listed(study, losing)) if losing else ""
    parts = (study.name(act.item), where(snapshot, act.item), about, also)
    return Line(f"{called(snapshot, act.item)}: {_deed(act)}", "; ".join(text for text in parts if text))


def _losing(study: Study, device: str, inverter: str) -> list[str]:
    """Loads that a battery feeds, and none while a device is open; not those behind the inverter."""
    opened = Failure("device", device, gone=frozenset({device}))
    without = Failure("unit", inverter, gone=frozenset({inverter}))
    found = []
    for item, record in study.snapshot.equipment.items():
        if record.use() is None or not record.draws() or not _is_fed(study, item, None):
            continue
        if not _is_fed(study, item, opened) and _is_fed(study, item, without):
            found.append(item)
    return found


def _is_fed(study: Study, item: str, failure: Failure | None) -> bool:
    """Whether a battery can feed it, as far as the search tells."""
    fed = study.feeding.fed(item, failure, traced=False)
    equipment = study.snapshot.equipment
    return bool(fed.undecided) or any(equipment[way.source].store() is not None for way in fed.ways)


def _deed(act: Act) -> str:
    if act.kind == "switch":
        return _("open") if act.position == "open" else _("to {position}").format(position=act.position)
    return _("draw the fuse") if act.kind == "draw" else _("keep open by hand")


def _cuts_bank(study: Study, origins: frozenset[int]) -> bool:
    equipment = study.snapshot.equipment
    return any(equipment[study.upstream.origins[n].equipment].store() is not None for n in origins)


def _dc_side(study: Study, item: str) -> list[int]:
    """Live nodes at which a converter takes direct current to give alternating."""
    nodes = study.circuit.nodes
    inputs = {c.source for c in study.snapshot.equipment[item].conversions()}
    return [
        n for n in study.upstream.live_at.get(item, []) if nodes[n].conductor == "+" and nodes[n].terminal in inputs
    ]


def _charges(study: Study, item: str) -> str:
    lost = study.snapshot.equipment[item].battery_lost()
    return "" if lost is None else lost.form


def _failure(study: Study, bank: str) -> Failure:
    """The bank shut off, as the failure table has it; where nothing rests on it, silent alone."""
    for failure in study.failure_table.failures:
        if failure.kind == "bank" and failure.item == bank:
            return failure
    return Failure("bank", bank, silent=frozenset({bank}))


def _from(study: Study, name: str, ways: tuple[Way, ...]) -> Line:
    """The way of the fewest positions, and which other sources there are."""
    way = ways[0]
    source = _named(study, way.source)
    by_hand = [
        f"{called(study.snapshot, item)} {_(' or ').join(_(p) for p in positions)}"
        for item, positions in way.positions
        if item not in way.automatic
    ]
    named = {item for item, _positions in way.positions}
    by_hand += [  # a breaker that merely protects is closed as a rule: it is named where it is drawn open
        f"{called(study.snapshot, item)} {_('closed')}"
        for item in way.through
        if item not in named and study.snapshot.equipment[item].drawn_position() == "open"
    ]
    told = _("with {positions}").format(positions=", ".join(by_hand)) if by_hand else ""
    going = [_named(study, item) for item in way.through if study.snapshot.equipment[item].status == "to remove"]
    leaves = _("through {names}, to be removed: not after that").format(names=listed(going)) if going else ""
    others = dict.fromkeys(_named(study, other.source) for other in ways[1:] if other.source != way.source)
    also = _("or from {sources}").format(sources=listed(list(others))) if others else ""
    about = "; ".join(text for text in (told, leaves, also) if text)
    return Line(_("{load}: from {source}").format(load=name, source=source), about)


def _named(study: Study, item: str) -> str:
    """What is written at it, else its label, else its designation."""
    record = study.snapshot.equipment[item]
    return record.marking.strip() or record.label or study.name(item)
