"""Earth and bonding conductors; what they join: earth points, anodes, what keeps corrosion current out, the hull."""

from __future__ import annotations

from collections.abc import Iterator

from app.handover.schedules.aboard import Aboard, Notes
from app.paper.table import Column, Table, Value
from engine.equipment.base import Equipment
from engine.units import number, show_size
from engine.words import N_, _

__all__ = ["bonding", "earth_runs"]

_FUNCTIONS = {"earth": N_("protective earth"), "bonding": N_("bonding"), "ac": N_("protective earth in an AC run")}


def earth_runs(aboard: Aboard) -> Table:
    """One row a conductor of earth or bonding, those inside AC runs after them."""
    notes = Notes(aboard)
    runs = aboard.snapshot.runs
    own = aboard.sorted(r for r, run in runs.items() if run.function in ("earth", "bonding"))
    inside = aboard.sorted(r for r, run in runs.items() if run.function == "ac" and "PE" in run.conductors())
    rows = [_run(aboard, item, notes) for item in (*own, *inside)]
    if not rows:
        notes.say(_("No conductor of earth or bonding is drawn."))
    columns = (
        Column("run", _("Run"), width=28),
        Column("function", _("Function"), width=40),
        Column("from", _("From"), width=60),
        Column("to", _("To"), width=60),
        Column("size", _("Size"), width=28),
        Column("length", _("Length"), aboard.length_unit, "right", aboard.length_decimals),
        Column("colour", _("Colour"), width=34),
        Column("from_stud", _("Fitting, from end"), width=34),
        Column("to_stud", _("Fitting, to end"), width=34),
        Column("status", _("Status"), width=22),
    )
    return Table("earth-runs", _("Earth and bonding conductors"), columns, tuple(rows), notes.texts())


def _run(aboard: Aboard, item: str, notes: Notes) -> tuple[Value, ...]:
    run = aboard.snapshot.runs[item]
    size = (run.earth_size or run.size) if run.function == "ac" else run.size
    if not size:
        notes.lacks(item, "size")
    if run.length_m is None:
        notes.lacks(item, "length_m")
    ends = (run.from_end, run.to_end)
    equipment = aboard.snapshot.equipment
    told = [aboard.told(e.equipment) if e.equipment in equipment else e.equipment for e in ends]
    return (
        aboard.name(item) if run.designation else _("without designation"),
        _(_FUNCTIONS.get(run.function, run.function)),
        *told,
        show_size(size) if size else None,
        aboard.length(run.length_m),
        run.colour or None,
        *(", ".join(part for part in (e.lug, e.stud) if part) or None for e in ends),
        _(run.status),
    )


def bonding(aboard: Aboard) -> Table:
    """One row a piece that earths, bonds, protects against corrosion, or meets the sea."""
    notes = Notes(aboard)
    rows: list[tuple[Value, ...]] = []
    for item in aboard.sorted(aboard.snapshot.equipment):
        record = aboard.snapshot.equipment[item]
        what = list(_does(record))
        if what:
            rows.append(_piece(aboard, item, record, what, notes))
    hull = aboard.snapshot.vessel.hull
    notes.say(_("Hull: {hull}.").format(hull=_(hull)) if hull else _("Hull: its material is not recorded."))
    if not rows:
        notes.say(_("No earth point, anode, galvanic isolator or isolating transformer is drawn."))
    elif not any(
        record.KIND == "anode" or record.KIND == "impressed_current" for record in aboard.snapshot.equipment.values()
    ):
        notes.say(_("No anode is drawn: what protects the metal under water is not known here."))
    columns = (
        Column("item", _("Designation"), width=28),
        Column("label", _("What it is"), width=50),
        Column("kind", _("Kind"), width=44),
        Column("does", _("What it does"), width=70),
        Column("ratings", _("Ratings"), width=50),
        Column("pieces", _("Pieces"), "", "right"),
        Column("sea", _("Meets the sea"), width=24),
        Column("joined", _("Joined by"), width=50),
        Column("where", _("Stands in"), width=44),
        Column("status", _("Status"), width=22),
    )
    return Table("bonding", _("Bonding, anodes and hull"), columns, tuple(rows), notes.texts())


def _does(record: Equipment) -> Iterator[str]:
    """What it is to earth, bonding and corrosion; nothing for anything else."""
    if record.is_earth_bus():
        yield _("gathers protective conductors")
    if record.is_hull():
        yield _("a point of the hull")
    if record.is_ground() is True:
        yield _("joins DC negative and protective earth")
    elif record.is_ground() is None and record.GROUND_FIELD:
        yield _("may join DC negative and protective earth")
    if record.blocks_corrosion():
        yield _("keeps corrosion current of the shore out")
    if record.KIND == "anode":
        yield _("protects bonded metal in the sea by dissolving")
    elif record.KIND == "impressed_current":
        yield _("protects bonded metal in the sea by a small current")
    elif record.KIND == "bonding_point":
        bonds = getattr(record, "bonds", "")
        yield _("bonds {what}").format(what=bonds) if bonds else _("bonded metal")
        if getattr(record, "lightning", None):
            yield _("part of the lightning protection")


def _piece(aboard: Aboard, item: str, record: Equipment, what: list[str], notes: Notes) -> tuple[Value, ...]:
    sea = record.touches_sea()
    if sea is None and record.SEA_FIELD:
        notes.lacks(item, record.SEA_FIELD)
    joined = [
        run
        for run, r in aboard.snapshot.runs.items()
        if item in (r.from_end.equipment, r.to_end.equipment) and "PE" in r.conductors()
    ]
    names = ", ".join(aboard.name(run) for run in aboard.sorted(joined))
    mass = getattr(record, "mass_kg", None)
    ratings = list(record.summary())
    if mass is not None and not any(number(mass) in part for part in ratings):
        ratings.append(f"{number(mass)} kg")
    return (
        record.designation or _("without designation"),
        record.label,
        _(record.NAME),
        "; ".join(what),
        "; ".join(ratings) or None,
        record.quantity,
        sea,
        names or _("no earth or bonding run is drawn"),
        aboard.where(record),
        _(record.status),
    )
