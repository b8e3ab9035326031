"""Runs: from where to where, what they are, what they carry, what protects them, how they are marked."""

from __future__ import annotations

from app.handover.schedules.aboard import Aboard, Notes, by_condition, counted_from, rounded, taken
from app.handover.schedules.systems import system_key, system_name
from app.paper.table import Column, Table, Value
from engine.circuit.flow.results import RunFlow
from engine.installation.records import Run
from engine.units import number, show, show_size
from engine.words import N_, _

__all__ = ["runs"]

_FUNCTIONS = {
    "dc pair": N_("DC pair"),
    "dc positive": N_("DC positive"),
    "dc negative": N_("DC negative"),
    "ac": N_("AC"),
    "earth": N_("protective earth"),
    "bonding": N_("bonding"),
    "signal": N_("signal"),
}
_NOTHING_A = 1e-3
_CARRIES_NONE = ("earth", "bonding", "signal")


class _Most:
    """The largest value seen, where it was, and whether something was not known.

    `source`, `rank`: of a drop what it is counted from, and how well it tells what to expect.
    """

    def __init__(self) -> None:
        self.value: float | None = None
        self.when = ""
        self.source = ""
        self.rank = 0
        self.is_least = False
        self.missing: dict[str, None] = {}

    def see(self, value: float | None, when: str, at_least: bool, missing: tuple[str, ...]) -> None:
        """One more."""
        if value is None or at_least:
            self.is_least = True
            self.missing.update(dict.fromkeys(missing))
        if value is not None and (self.value is None or value > self.value + 1e-9):
            self.value, self.when = value, when

    def see_drop(self, run: RunFlow, when: str, rank: int) -> None:
        """One more drop: the largest of those of the highest rank."""
        if run.drop_pct is not None and rank != self.rank and self.value is not None:
            if rank < self.rank:
                return
            self.value, self.is_least = None, False
            self.missing.clear()
        self.see(run.drop_pct, when, run.at_least, run.missing)
        if run.drop_pct is not None:
            self.rank = rank
            if self.when == when:
                self.source = run.source

    def told(self, notes: Notes) -> Value:
        """A number; *≥ 12* where something that adds to it is not known."""
        notes.missing(self.missing)
        if self.value is None:
            return None
        value = 0.0 if abs(self.value) < 1e-3 else self.value
        if not self.is_least:
            return rounded(value)
        if value == 0:  # at least nothing says nothing
            return None
        notes.say(_("≥: at least this; something that adds to it is not recorded."))
        return f"≥ {number(value)}"


def runs(aboard: Aboard) -> Table:
    """One row a run, by system, then by designation."""
    notes = Notes(aboard)
    most = _most(aboard)
    starting = _starting(aboard)
    systems = {run: _system(aboard, run) for run in aboard.snapshot.runs}
    told = sorted(aboard.snapshot.runs, key=lambda run: (system_key(systems[run]), aboard.sorted_key(run)))
    if not told:
        notes.say(_("No run is drawn."))
    else:
        notes.say(
            _("Current: the largest of its conductors in any operating condition, batteries at their nominal volts."),
            _(
                "Drop: from the terminals of the source named to its farther end, there and back, in per cent "
                "of the nominal volts; the largest of the conditions in which the run carries something and, where "
                "there is one such, a battery is that source."
            ),
            _("Ampacity by {book}.").format(book=_(aboard.study.book.title)),
            taken(_("for the currents"), by_condition((flow.name, flow.assumed) for flow in aboard.flows)),
        )
        for flow in aboard.flows:
            for item, sentence in flow.not_solved:
                notes.also(f"{flow.name}: {aboard.name(item)}: {sentence}")
    rows = [_row(aboard, run, systems[run], most.get(run), starting.get(run), notes) for run in told]
    return Table("runs", _("Runs"), _columns(aboard), tuple(rows), notes.texts())


def _columns(aboard: Aboard) -> tuple[Column, ...]:
    return (
        Column("run", _("Run"), width=24),
        Column("label", _("What for"), width=34),
        Column("system", _("System"), width=24),
        Column("from", _("From"), width=28),
        Column("to", _("To"), width=28),
        Column("function", _("Function"), width=24),
        Column("conductors", _("Conductors"), width=24),
        Column("size", _("Size"), width=24),
        Column("length", _("Length"), aboard.length_unit, "right", aboard.length_decimals),
        Column("type", _("Type"), width=32),
        Column("colour", _("Colour"), width=24),
        Column("places", _("Passes"), width=38),
        Column("current_a", _("Current"), "A", "right"),
        Column("current_when", _("Current in"), width=34),
        Column("ampacity_a", _("Ampacity"), "A", "right", width=24),
        Column("drop_percent", _("Drop"), "%", "right", 2),
        Column("drop_when", _("Drop in"), width=34),
        Column("drop_from", _("Drop from"), width=20),
        Column("device", _("Protected by"), width=30),
        Column("status", _("Status"), width=20),
        Column("from_marker", _("Marker, from end"), width=24),
        Column("to_marker", _("Marker, to end"), width=24),
    )


def _row(
    aboard: Aboard,
    item: str,
    system: tuple[str, tuple[float, ...]],
    most: tuple[_Most, _Most] | None,
    start: tuple[float, str] | None,
    notes: Notes,
) -> tuple[Value, ...]:
    run = aboard.snapshot.runs[item]
    for field in ("size", "length_m"):
        if getattr(run, field) in ("", None):
            notes.lacks(item, field)
    current, when, drop, drop_when, drop_from = _carried(aboard, item, run, most, start, notes)
    return (
        aboard.name(item) if run.designation else _("without designation"),
        _what_for(aboard, run),
        system_name(*system),
        aboard.end(run.from_end),
        aboard.end(run.to_end),
        _(_FUNCTIONS.get(run.function, run.function)),
        " ".join(run.conductors()),
        _size(aboard, item, run),
        aboard.length(run.length_m),
        _type(run),
        run.colour or None,
        _places(aboard, run),
        current,
        when,
        aboard.ampacity_value(item, notes),
        drop,
        drop_when,
        drop_from,
        _device(aboard, item, run, notes),
        _(run.status),
        run.from_end.marker or None,
        run.to_end.marker or None,
    )


def _what_for(aboard: Aboard, run: Run) -> str:
    """Its label; else the label of the consumer at one of its ends."""
    if run.label:
        return run.label
    at = (aboard.snapshot.equipment.get(end.equipment) for end in (run.to_end, run.from_end))
    return next((record.label for record in at if record is not None and record.use() is not None), "")


def _system(aboard: Aboard, item: str) -> tuple[str, tuple[float, ...]]:
    run = aboard.snapshot.runs[item]
    if run.function in ("earth", "bonding"):
        return "earth", ()
    if run.function == "signal":
        return "signal", ()
    kind, volts = aboard.zones.system_of_run(item)
    return kind or ("ac" if run.is_ac() else "dc"), volts


def _size(aboard: Aboard, item: str, run: Run) -> Value:
    size = aboard.size(item)
    if size is not None and run.earth_size and run.earth_size != run.size and "PE" in run.conductors():
        return _("{size}, PE {earth}").format(size=size, earth=show_size(run.earth_size))
    return size


def _type(run: Run) -> Value:
    parts = (
        _(run.conductor) if run.conductor else "",
        run.insulation,
        "" if run.insulation_c is None else show(run.insulation_c, "degC"),
        _(run.sheath) if run.sheath else "",
    )
    return ", ".join(part for part in parts if part) or None


def _places(aboard: Aboard, run: Run) -> Value:
    told = []
    for passage in run.places:
        name = aboard.place_name(passage.place)
        length = aboard.length(passage.length_m)
        told.append(name if length is None else f"{name} {number(length)} {aboard.length_unit}")
    return ", ".join(told) or None


# -- what it carries -------------------------------------------------------------------------------------------------
def _most(aboard: Aboard) -> dict[str, tuple[_Most, _Most]]:
    """The largest of every condition; as drawn with every load on, of runs through which nothing flows in any."""
    made: dict[str, tuple[_Most, _Most]] = {}
    for flow in aboard.flows:
        for one in flow.runs:
            _see(aboard, made, one, flow.name)
    if not aboard.snapshot.conditions:
        return made
    for one in aboard.as_drawn.runs:
        seen = made.get(one.run)
        idle = seen is None or (not seen[0].is_least and (seen[0].value or 0.0) <= _NOTHING_A)
        if idle and ((one.amps or 0.0) > _NOTHING_A or one.at_least):
            made.pop(one.run, None)
            _see(aboard, made, one, _("as drawn, every load on"))
    return made


def _see(aboard: Aboard, made: dict[str, tuple[_Most, _Most]], run: RunFlow, when: str) -> None:
    current, drop = made.setdefault(run.run, (_Most(), _Most()))
    current.see(run.amps, when, run.at_least, run.missing)
    carries = run.amps is None or run.amps > _NOTHING_A  # where it carries nothing the drop is that of others
    drop.see_drop(run, when, counted_from(aboard.snapshot, run.source) + (10 if carries else 0))


def _starting(aboard: Aboard) -> dict[str, tuple[float, str]]:
    """The largest while a motor or an engine starts: told of runs that carry nothing else."""
    made: dict[str, tuple[float, str]] = {}
    for start in aboard.study.starts:
        when = _("{motor} starts").format(motor=aboard.name(start.motor))
        for run, amps in start.runs:
            if amps > made.get(run, (1e-3, ""))[0]:
                made[run] = (amps, when)
    return made


def _carried(
    aboard: Aboard,
    item: str,
    run: Run,
    most: tuple[_Most, _Most] | None,
    start: tuple[float, str] | None,
    notes: Notes,
) -> tuple[Value, Value, Value, Value, Value]:
    if run.function in _CARRIES_NONE:
        return (_("n/a"),) * 5
    if most is None:
        notes.also(_("{run}: nothing that was solved flows through it.").format(run=aboard.name(item)))
        return (None,) * 5
    current, drop = (one.told(notes) for one in most)
    when: Value = most[0].when
    if current in (None, 0.0) and start is not None:
        current, when = rounded(start[0]), start[1]
    elif start is not None and isinstance(current, float) and when not in {flow.name for flow in aboard.flows}:
        when = _("{when}; {amps} A while {start}").format(when=when, amps=number(start[0], 3), start=start[1])
    if current == 0.0:
        when = _("every condition")
    if drop is not None and most[1].value is not None and not isinstance(drop, str):
        drop = round(most[1].value, 2)
    if drop is None:
        return current, when if current is not None else None, None, None, None
    source = aboard.name(most[1].source) if most[1].source else None
    return current, when if current is not None else None, drop, most[1].when, source


def _device(aboard: Aboard, item: str, run: Run, notes: Notes) -> Value:
    """What protects it. Of a negative the devices stand in the positive."""
    if run.function in _CARRIES_NONE:
        return _("n/a")
    if not aboard.zones.has_live(item):
        return _("in the live conductor")
    found = aboard.zones.of_run.get(item, [])
    guards = {device: aboard.guard(device, item) for device in found}
    if "none" in guards.values():
        return _("not protected: see the findings")
    mine = [device for device, guard in guards.items() if guard == "it"]
    names = dict.fromkeys(
        _("in {name}").format(name=aboard.name(d.equipment)) if d.within else aboard.name(d.equipment)
        for d in sorted(mine, key=lambda d: (d.within, aboard.sorted_key(d.equipment)))
    )
    if found and not names:  # short, or fed by little: what stands at its own ends is what a reader looks for
        at = (end.equipment for end in (run.from_end, run.to_end))
        ends = [aboard.name(i) for i in at if any(d.equipment == i for d in aboard.zones.devices)]
        return _("placed at {names}").format(names=", ".join(ends)) if ends else _("another device, near enough")
    if not names:
        return _("none drawn")
    return ", ".join(names)
