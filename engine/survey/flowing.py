"""What voltage and current a reading should be: the flow worked out for the condition it was taken in.

The state of charge at that moment is not known: the flow with batteries at their lowest and full gives the range.
Where the same condition has a reading at the source too, what was lost on the way is compared instead.
"""

from __future__ import annotations

import cmath
import math
import weakref
from collections.abc import Iterator

from engine.circuit.flow.results import Charge, Flow, NodeVolts
from engine.equipment.base import AC
from engine.installation.surveying import Reading
from engine.naming import title_of
from engine.study import Study
from engine.survey.places import end_of
from engine.survey.results import Expected, Unknown
from engine.units import show
from engine.words import _

__all__ = ["current", "voltage"]

CHARGES: tuple[Charge, ...] = ("lowest", "nominal", "full")
_AT = tuple[str, str]
_NODES: weakref.WeakKeyDictionary[Study, dict[tuple[str, str], dict[_AT, list[NodeVolts]]]] = (
    weakref.WeakKeyDictionary()
)


def _condition(study: Study, item: str, reading: Reading) -> Unknown | None:
    conditions = study.snapshot.conditions
    if reading.condition in conditions or not (reading.condition or conditions):
        return None
    return Unknown(_("the condition it was measured in is not recorded"), (f"{item}.condition",))


def _flows(study: Study, reading: Reading) -> Iterator[Flow]:
    for charge in CHARGES:
        yield study.flow(reading.condition, charge)


def _nodes(study: Study, flow: Flow) -> dict[_AT, list[NodeVolts]]:
    kept = _NODES.setdefault(study, {})
    found = kept.get((flow.condition, flow.charge))
    if found is None:
        found = kept[flow.condition, flow.charge] = {}
        for node in flow.nodes:
            found.setdefault((node.equipment, node.terminal), []).append(node)
    return found


def _conductors(reading: Reading) -> tuple[str, ...]:
    """*L1 and PE*, *+ / -*: the conductors it was measured between."""
    words = reading.between.replace("–", "-").replace("−", "-").replace("/", " ").replace(",", " ").split()
    made = tuple(word.upper() for word in words if word.upper() in (*AC, "+", "-"))
    if not made and "-" in reading.between:  # L1-N
        made = tuple(word.strip().upper() for word in reading.between.split("-") if word.strip().upper() in AC)
    return made


# -- voltage --------------------------------------------------------------------------------------------------------
def voltage(study: Study, item: str, reading: Reading) -> Expected | Unknown | None:
    """The volts expected at a terminal; `None` where the book has no tolerance for it."""
    lost = _condition(study, item, reading)
    if lost is not None:
        return lost
    place = _terminal(study, item, reading)
    if isinstance(place, Unknown):
        return place
    blind = _blind(study, reading, place)
    if blind is not None:
        return blind
    every: list[float] = []
    kind = ""
    for flow in _flows(study, reading):
        if not flow.converged:
            return Unknown(_("what flows in that condition could not be worked out"))
        told = _between(study, flow, place, _conductors(reading))
        if isinstance(told, Unknown):
            return told
        volts, kind = told
        every.append(volts)
    share = study.book.limit("voltage-differs", "alternating" if kind == "ac" else "direct")
    if share is None:
        return None
    nominal = every[CHARGES.index("nominal")]
    source = _at_source(study, item, reading, place)
    if source is not None:
        here, expected, start = nominal, source[0] - (source[1] - nominal), source[2]
        return Expected(
            expected,
            expected - share.value * abs(here),
            expected + share.value * abs(here),
            _("{measured} at {source} less {drop} lost on the way").format(
                measured=show(source[0], "V"), source=study.name(start), drop=show(source[1] - nominal, "V")
            ),
        )
    return Expected(nominal, min(every) * (1 - share.value), max(every) * (1 + share.value))


def _terminal(study: Study, item: str, reading: Reading) -> _AT | Unknown:
    snapshot = study.snapshot
    if reading.at in snapshot.runs:
        end = end_of(snapshot, reading.at, reading.terminal)
        if end is None:
            return Unknown(_("at which end it was measured is not recorded"), (f"{item}.terminal",))
        return end.equipment, end.terminal
    flow = study.flow(reading.condition)
    if reading.terminal:
        has = [terminal.name for terminal in snapshot.equipment[reading.at].terminals()]
        if reading.terminal not in has:
            told = _("{name} has no terminal {terminal!r}: it has {has}")
            name = title_of(snapshot, "equipment", reading.at)
            return Unknown(told.format(name=name, terminal=reading.terminal, has=", ".join(has)), (f"{item}.terminal",))
        return reading.at, reading.terminal
    known = sorted({terminal for equipment, terminal in _nodes(study, flow) if equipment == reading.at})
    if len(known) > 1:
        return Unknown(_("at which terminal it was measured is not recorded"), (f"{item}.terminal",))
    if known:
        return reading.at, known[0]
    return reading.at, next((load.terminal for load in flow.loads if load.equipment == reading.at), "")


def _blind(study: Study, reading: Reading, place: _AT) -> Unknown | None:
    """Whether what is not recorded on the way could change the volts there."""
    flow = study.flow(reading.condition)
    runs = study.snapshot.runs
    missing: list[str] = []
    for load in flow.loads:
        if (load.equipment, load.terminal) == place and (load.volts is None or load.at_least):
            missing += load.missing
    for run in flow.runs:
        ends = (runs[run.run].from_end, runs[run.run].to_end)
        if any((end.equipment, end.terminal) == place for end in ends) and (run.drop_v is None or run.at_least):
            missing += run.missing
    if missing:
        return Unknown(_("what flows there in that condition is not known"), tuple(dict.fromkeys(missing)))
    return None


def _between(study: Study, flow: Flow, place: _AT, conductors: tuple[str, ...]) -> tuple[float, str] | Unknown:
    """Volts, and whether they are `"dc"` or `"ac"`."""
    nodes = _nodes(study, flow).get(place, [])
    if not nodes:
        lacking = [field for equipment, fields in flow.lacking for field in fields]
        sentence = next((words for where, words in flow.not_solved if where == place[0]), "")
        why = sentence.rstrip(".") or _("nothing feeds it in that condition, as far as is recorded")
        return Unknown(why, tuple(dict.fromkeys(lacking)))
    live = {node.conductor: node for node in nodes}
    asked = [each for each in conductors if each in live]
    if "PE" in conductors:
        return Unknown(_("the voltage against earth is not worked out"))
    if len(asked) == 2:
        one, other = live[asked[0]], live[asked[1]]
        apart = cmath.rect(one.volts, math.radians(one.angle_deg)) - cmath.rect(
            other.volts, math.radians(other.angle_deg)
        )
        return abs(apart), "ac"
    if conductors and not asked:
        return Unknown(_("the voltage between these conductors is not worked out"))
    chosen = live[asked[0]] if asked else nodes[0]
    if not asked and len({round(node.volts, 6) for node in nodes}) > 1:
        return Unknown(_("between which conductors it was measured is not recorded"), ())
    return chosen.volts, "dc" if chosen.conductor == "+" else "ac"


def _at_source(study: Study, item: str, reading: Reading, place: _AT) -> tuple[float, float, str] | None:
    """Volts measured and worked out at the battery or machine that feeds it, in the same condition and survey."""
    flow = study.flow(reading.condition)
    loads = {(load.equipment, load.terminal): load.source for load in flow.loads}
    runs = study.snapshot.runs
    source = loads.get(place, "")
    for run in flow.runs:
        ends = (runs[run.run].from_end, runs[run.run].to_end)
        if not source and any((end.equipment, end.terminal) == place for end in ends):
            source = run.source
    if not source or source == place[0]:
        return None
    beside = [
        (other, each)
        for other, each in study.snapshot.readings.items()
        if other != item
        and each.at == source
        and each.volts is not None
        and (each.condition, each.survey, each.date) == (reading.condition, reading.survey, reading.date)
    ]
    if len(beside) != 1 or beside[0][1].volts is None:
        return None
    (other, taken), volts = beside[0], beside[0][1].volts
    where = _terminal(study, other, taken)
    if isinstance(where, Unknown):
        return None
    told = _between(study, flow, where, _conductors(taken))
    return None if isinstance(told, Unknown) else (volts, told[0], source)


# -- current --------------------------------------------------------------------------------------------------------
def current(study: Study, item: str, reading: Reading) -> Expected | Unknown | None:
    """The amperes expected in a run or through equipment; `None` where the book has no tolerance for it."""
    share = study.book.limit("current-differs", "share")
    least = study.book.limit("current-differs", "least")
    if share is None or least is None:
        return None
    lost = _condition(study, item, reading)
    if lost is not None:
        return lost
    every: list[float] = []
    open_ended = False
    missing: tuple[str, ...] = ()
    for flow in _flows(study, reading):
        if not flow.converged:
            return Unknown(_("what flows in that condition could not be worked out"))
        amps, at_least, lacks = _amps(flow, reading)
        if amps is None:
            why = (
                _("what flows there in that condition is not known") if lacks else _("no current was worked out there")
            )
            return Unknown(why, lacks)
        every.append(abs(amps))
        open_ended, missing = open_ended or at_least, missing or lacks
    low = min(every) * (1 - share.value) - least.value
    if open_ended and (reading.current_a or 0.0) >= low:
        return Unknown(_("what else flows there in that condition is not known"), missing)
    nominal = every[CHARGES.index("nominal")]
    high = None if open_ended else max(every) * (1 + share.value) + least.value
    return Expected(nominal, max(low, 0.0), high)


def _amps(flow: Flow, reading: Reading) -> tuple[float | None, bool, tuple[str, ...]]:
    """Amperes, whether they are a least value only, and what is not recorded."""
    for run in flow.runs:
        if run.run == reading.at:
            asked = _conductors(reading)
            of = dict(run.conductors)
            amps = of.get(asked[0], run.amps) if asked and run.amps is not None else run.amps
            return amps, run.at_least, run.missing
    for load in flow.loads:
        if load.equipment == reading.at and reading.terminal in ("", load.terminal):
            return load.amps, load.at_least, load.missing
    for source in flow.sources:
        if source.equipment == reading.at and reading.terminal in ("", source.terminal):
            return source.amps, source.at_least, source.missing
    for device in flow.devices:
        if device.equipment == reading.at:
            return device.amps, device.at_least, device.missing
    return None, False, ()
