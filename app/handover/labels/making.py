"""Panel legends, run markers and device plates, made from the drawing. What is to be removed gets none."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from app.handover.labels.label import HELD, Label, tidied
from engine.equipment.base import LIVE, Equipment
from engine.installation import Enclosure, End, Run, Snapshot
from engine.naming import natural
from engine.study import Study
from engine.units import number
from engine.words import _

__all__ = ["Way", "enclosures", "legends", "markers", "plates", "system_volts", "ways"]

_LASTING = ("existing", "new", "spare")  # what stays in its panel
_NONE = ("none", "-", "no")  # a marking recorded as none


class Way(NamedTuple):
    """A position of a panel: what is written there once the work is done, and what was there before."""

    position: str
    new: str  # "" where nothing is written
    old: str  # "" where that is not recorded or the same
    kept: tuple[str, ...]  # designations of what stands there
    gone: tuple[str, ...]  # of what is to be removed
    is_new: bool  # something new stands there
    recorded: bool = True  # what is written there is recorded as a legend


def enclosures(snapshot: Snapshot) -> list[tuple[str, Enclosure]]:
    """Panels by name."""
    return sorted(snapshot.enclosures.items(), key=lambda pair: (natural(pair[1].name), _where(snapshot, pair[1])))


def _where(snapshot: Snapshot, record: Enclosure | Equipment) -> str:
    place = record.place
    if isinstance(record, Equipment) and not place and record.enclosure in snapshot.enclosures:
        place = snapshot.enclosures[record.enclosure].place
    return snapshot.places[place].name if place in snapshot.places else ""


def _marking(record: Equipment) -> str:
    text = record.marking.strip()
    return "" if text.casefold() in _NONE else text


def ways(snapshot: Snapshot, item: str) -> list[Way]:
    """Positions of a panel that a legend is recorded of or something stands in, in order."""
    enclosure = snapshot.enclosures[item]
    legend = {each.position.strip(): each for each in reversed(enclosure.legend)}
    standing: dict[str, list[Equipment]] = {}
    for record in snapshot.equipment.values():
        if record.enclosure == item and (position := record.position.strip()):
            standing.setdefault(position, []).append(record)
    made = []
    for position in sorted({*legend, *standing}, key=natural):
        here = sorted(standing.get(position, ()), key=lambda record: natural(record.designation))
        kept = [record for record in here if record.status in _LASTING]
        gone = [record for record in here if record.status == "to remove"]
        each = legend.get(position)
        written = each.text.strip() if each is not None else ""
        own = next((text for record in kept if (text := _marking(record) or record.label.strip())), "")
        named = next((record.designation for record in kept if record.designation), "")
        new = "" if gone and not kept else written or ("" if each is not None and each.spare else own or named)
        before = [record.old_marking.strip() or (_marking(record) if record in gone else "") for record in here]
        before = [text for text in dict.fromkeys(before) if text and text != new]
        if gone and not kept and not before and written:
            before = [written]
        made.append(
            Way(
                position=position,
                new=new,
                old=", ".join(before),
                kept=tuple(record.designation for record in kept if record.designation),
                gone=tuple(record.designation for record in gone if record.designation),
                is_new=any(record.status == "new" for record in kept),
                recorded=bool(written) or not new,
            )
        )
    return made


def legends(snapshot: Snapshot, only_new: bool = False) -> Iterator[Label]:
    """One a position of a panel that something is written at."""
    for item, enclosure in enclosures(snapshot):
        for way in ways(snapshot, item):
            if not way.new or (only_new and not way.is_new):
                continue
            small = _("{position}  {names}").format(position=way.position, names=", ".join(way.kept)).strip()
            yield Label(
                "legends",
                _("{panel}, position {position}").format(panel=enclosure.name, position=way.position),
                tidied((way.new, small)),
                where=_where(snapshot, enclosure),
            )


def _asked(status: str, only_new: bool) -> bool:
    return status == "new" or (status == "existing" and not only_new)


def markers(snapshot: Snapshot, only_new: bool = False) -> Iterator[Label]:
    """Two a run, one an end: its name, where it arrives, where the other end is.

    Conductors without a common sheath get one each, with the conductor's name; conductors in parallel as many.
    """
    runs = sorted(snapshot.runs.items(), key=lambda pair: natural(snapshot.name(pair[0])))
    for item, run in runs:
        if not _asked(run.status, only_new):
            continue
        alone = run.conductors() if run.sheath == "bare" and len(run.conductors()) > 1 else ("",)
        for here, far in ((run.from_end, run.to_end), (run.to_end, run.from_end)):
            for conductor in alone:
                yield _marker(snapshot, item, run, here, far, conductor)


def _marker(snapshot: Snapshot, item: str, run: Run, here: End, far: End, conductor: str) -> Label:
    name = snapshot.name(item)
    first = here.marker.strip() or name
    own, other = _end(snapshot, here), _end(snapshot, far)
    at, to = (text.replace(" ", HELD) for text in (_("at {end}").format(end=own), _("to {end}").format(end=other)))
    lines = (
        f"{first} {conductor}".strip(),
        name if first != name else "",
        f"{at} {to}",
        _("formerly {marking}").format(marking=run.old_marking.strip()) if run.old_marking.strip() else "",
    )
    return Label("markers", name, tidied(lines), max(run.parallel, 1), own, other)


def _end(snapshot: Snapshot, end: End) -> str:
    name = snapshot.name(end.equipment)
    stud = _(" stud {number}").format(number=end.stud_number) if end.stud_number is not None else ""
    return f"{name}.{end.terminal}{stud}"


def plates(snapshot: Snapshot, study: Study | None = None, only_new: bool = False) -> Iterator[Label]:
    """One a piece of equipment aboard: designation, what it is, ratings, volts, place. Volts need a study."""
    pieces = sorted(snapshot.equipment.items(), key=lambda pair: natural(snapshot.name(pair[0])))
    for item, record in pieces:
        ashore = record.ashore()
        outside = ashore is not None and not ashore.inlet
        no_article = not record.pieces() and record.ROLE != "protection"  # a fuse that came with its equipment has one
        if not _asked(record.status, only_new) or outside or no_article or record.ROLE == "junction":
            continue
        what = [text for text in dict.fromkeys((_marking(record), record.label.strip())) if text]
        if len(what) == 2 and what[0].casefold() == what[1].casefold():
            what.pop()
        volts = system_volts(study, item) if study is not None else ""
        lines = (
            snapshot.name(item),
            *(what or [_(record.NAME)]),
            ", ".join(part for part in record.summary() if _("not known") not in part),
            ", ".join(part for part in (volts, _where(snapshot, record)) if part),
        )
        yield Label("plates", snapshot.name(item), tidied(lines), record.quantity, where=_where(snapshot, record))


def system_volts(study: Study, item: str) -> str:
    """Nominal volts at its terminals, *24 V DC, 120 V AC*; of batteries where any feeds it. `""` where not known."""
    found: dict[str, dict[float, None]] = {}
    circuit = study.circuit
    for terminal in sorted(circuit.joined.get(item, ())):
        for line in LIVE:
            node = circuit.node(item, terminal, line)
            feeds = study.volts.at(node).feeds if node is not None else ()
            for system in ("dc", "ac"):
                of = [feed.source for feed in feeds if feed.source.system == system]
                of = [source for source in of if source.battery] or of
                volts = sorted({source.nominal_v for source in of if source.nominal_v is not None})
                found.setdefault(system, {}).update(dict.fromkeys(volts))
    names = {"dc": _("DC"), "ac": _("AC")}
    return ", ".join(
        f"{'/'.join(number(volts) for volts in sorted(found[system]))} V {names[system]}"
        for system in ("dc", "ac")
        if found.get(system)
    )
