"""Lists in: what is aboard, typed row by row, becomes one edit. Every bad row is told with its line and column.

A row with a fault gives nothing, and neither does a row that needs it (a run whose end stands in a refused row). The
columns are described in `columns`, what a cell may hold in `cells` and `values`; the lists are:

equipment    designation, kind, and any field of that kind
runs         designation, from, to ("F1.in", "WC1#3" for a stud, "F1" where one terminal fits), and any field of a run
states       condition, designation, position; also running, hours_a_day
interlocks   name, kind, at_most, devices
places, enclosures, conditions    any field; what is only named elsewhere is made with its name alone
vessel       field, value: of the vessel, the title block or the drawing's settings
"""

from __future__ import annotations

from typing import Any, NamedTuple

import msgspec

from engine.edits import Edit, Put, Several, apply
from engine.equipment import kinds
from engine.files.lists.cells import CellError
from engine.files.lists.columns import nearest
from engine.files.lists.ends import read_end
from engine.files.lists.grid import Filled, Grid, Row
from engine.files.lists.lone import read_lone
from engine.files.lists.names import LINK, GivenNames, plain
from engine.files.lists.rows import ListFile, RowFault
from engine.files.lists.states import STATE_COLUMNS, position_of, read_state
from engine.installation.model import Installation
from engine.installation.records import Condition, Enclosure, End, Held, Interlock, Place, Run
from engine.record import field_specs
from engine.words import _

__all__ = ["LISTS", "ListResult", "read_lists"]

LISTS = ("equipment", "runs", "states", "interlocks", "places", "enclosures", "conditions", "vessel")

_MOST_TOLD = 50  # runs whose function is supposed, by name


class ListResult(NamedTuple):
    """What the lists hold as one edit of a new installation: the good rows. `counts`: good rows of each list."""

    edit: Several
    faults: tuple[RowFault, ...]
    notices: tuple[str, ...]
    counts: dict[str, int]

    def installation(self) -> Installation:
        """A new installation with the good rows."""
        made = Installation()
        apply(made, self.edit)
        return made


def read_lists(
    equipment: ListFile,
    runs: ListFile | None = None,
    states: ListFile | None = None,
    interlocks: ListFile | None = None,
    places: ListFile | None = None,
    enclosures: ListFile | None = None,
    conditions: ListFile | None = None,
    vessel: ListFile | None = None,
) -> ListResult:
    """Read the lists of one boat. Never raises for what a list holds."""
    given = (equipment, runs, states, interlocks, places, enclosures, conditions, vessel)
    sources = {name: source for name, source in zip(LISTS, given, strict=True) if source is not None}
    return _Reader(sources).read()


class _Reader:
    def __init__(self, sources: dict[str, ListFile]) -> None:
        self.sources = sources
        self.grids = {name: Grid(source) for name, source in sources.items()}
        self.names = GivenNames(0)
        self.records = self.names.records
        self.lone: dict[str, Any] = {}
        self.lines: dict[str, int] = {}  # id of equipment -> its line, for what is told about it elsewhere
        self.counts: dict[str, int] = {}
        self.supposed: list[str] = []  # runs whose function no row gives

    def read(self) -> ListResult:
        """All lists, those first that others name."""
        self._tables("places", Place, _("a place"))
        self._tables("enclosures", Enclosure, _("an enclosure"))
        self._tables("conditions", Condition, _("an operating condition"))
        self._name_conditions()
        self._equipment()
        self._runs()
        self._states()
        self._interlocks()
        self._vessel()
        edits: list[Edit] = [Put(name, name, record) for name, record in self.lone.items()]
        for table in ("places", "enclosures", "equipment", "runs", "conditions", "interlocks"):
            edits.extend(Put(table, item, record) for item, record in self.records[table].items())
        faults = [fault for name in self.grids for fault in sorted(self.grids[name].faults, key=lambda f: f.line)]
        notices = [notice for source in self.sources.values() for notice in source.notices]
        if self.supposed:
            told, more = ", ".join(self.supposed[:_MOST_TOLD]), len(self.supposed) - _MOST_TOLD
            notices.append(
                _("the function of these runs is not given; they are taken as {function}: {runs}").format(
                    function="dc pair", runs=_("{names} and {n} more").format(names=told, n=more) if more > 0 else told
                )
            )
        return ListResult(Several(tuple(edits), _("Import lists")), tuple(faults), tuple(notices), self.counts)

    # -- tables of which each row is a record ------------------------------------------------------------------
    def _tables(self, table: str, cls: Any, what: str) -> None:
        grid = self.grids.get(table)
        if grid is None or not grid.needs("name"):
            return
        grid.check_headings([cls])
        for row in grid.rows:
            filled = grid.fill(row, cls, what, self.names)
            if filled is None:
                continue
            name = filled.values.get("name", "")
            try:
                if not name:
                    raise CellError(_("is missing"))
                item = self.names.give(table, name)
            except CellError as fault:
                grid.fault(row.line, grid.column("name"), str(fault))
                continue
            self.records[table][item] = cls(**filled.values, origins=filled.origins)
            self._count(table)

    def _name_conditions(self) -> None:
        """Conditions are named by equipment (hours of a load), and name equipment: their ids come first."""
        grid = self.grids.get("states")
        if grid is None or grid.column("condition") is None:
            return
        for row in grid.rows:
            name = grid.cell(row, "condition").text
            if name:
                self.names.condition(name)

    # -- equipment ---------------------------------------------------------------------------------------------
    def _equipment(self) -> None:
        grid = self.grids["equipment"]
        if not grid.needs("designation", "kind"):
            return
        every = kinds()
        grid.check_headings(list(every.values()), "kind")
        by_name = {plain(cls.NAME): cls for cls in every.values()} | {plain(_(c.NAME)): c for c in every.values()}
        pending: list[tuple[Row, str, Any]] = []
        for row in grid.rows:
            item = self._designate(grid, row)
            cls = self._kind(grid, row, every, by_name)
            if item and cls:
                pending.append((row, item, cls))
            elif item:
                self.names.refused.add(item)
        for row, item, cls in pending:
            record = self._piece(grid, row, cls)
            if record is None or item in self.names.refused:
                self.names.refused.add(item)
            else:
                self.records["equipment"][item] = record
        self._drop_dependent(grid)
        self.counts["equipment"] = len(self.records["equipment"])

    def _piece(self, grid: Grid, row: Row, cls: Any) -> Any:
        filled = grid.fill(row, cls, _(cls.NAME), self.names, "kind")
        if filled is None:
            return None
        values = dict(filled.values)
        if values.get("designation", "").startswith(LINK) and not grid.cell(row, "designation").literal:
            values["designation"] = ""
        record = cls(**values, origins=filled.origins)
        if not record.in_position:
            return record
        try:
            return msgspec.structs.replace(record, in_position=position_of(record, record.in_position))
        except CellError as fault:
            grid.fault(row.line, grid.column("in_position"), str(fault))
            return None

    def _designate(self, grid: Grid, row: Row) -> str:
        designation = grid.cell(row, "designation").text
        why = ""
        if not designation:
            why = _("is missing; what has none is given a name that begins with {mark}, to link rows by")
            why = why.format(mark=LINK)
        elif self.names.has("equipment", designation):
            # runs could mean either, so neither goes in
            item = self.names.id_of("equipment", designation)
            self.names.refused.add(item)
            why = _("{name!r} stands in line {line} already, so neither goes in").format(
                name=designation, line=self.lines[item]
            )
        if why:
            grid.fault(row.line, grid.column("designation"), why)
            return ""
        item = self.names.give("equipment", designation)
        self.lines[item] = row.line
        return item

    def _kind(self, grid: Grid, row: Row, every: dict[str, Any], by_name: dict[str, Any]) -> Any:
        text = grid.cell(row, "kind").text
        cls = every.get(text.strip().lower().replace(" ", "_").replace("-", "_")) or by_name.get(plain(text))
        if cls is None:
            alike = nearest(text.strip().lower().replace(" ", "_"), list(every))
            why = _("there is no kind {kind!r}{nearest}").format(kind=text, nearest=alike) if text else _("is missing")
            grid.fault(row.line, grid.column("kind"), why)
        return cls

    def _drop_dependent(self, grid: Grid) -> None:
        """Equipment that names equipment of a refused row is refused too, as far as that goes."""
        rows = {row.line: row for row in grid.rows}
        made = self.records["equipment"]
        dropped = True
        while dropped:
            dropped = False
            for item, record in list(made.items()):
                for spec in field_specs(type(record)):
                    if spec.fact.refers != "equipment":
                        continue
                    value = getattr(record, spec.name)
                    bad = self.names.refused & ({value} if isinstance(value, str) else set(value))
                    if bad:
                        row = rows[self.lines[item]]
                        heading = next(
                            (h for i in row.cells if (h := grid.headings[i]).name in (spec.name, spec.file_name)), None
                        )
                        grid.fault(row.line, heading, self._refused(min(bad)))
                        self.names.refused.add(item)
                        del made[item]
                        dropped = True
                        break

    def _refused(self, item: str) -> str:
        return _("needs the equipment of line {line}, which was refused").format(line=self.lines[item])

    def _find(self, designation: str) -> Any:
        """The equipment called so. Raises `CellError` where there is none or its row was refused."""
        item = self.names.id_of("equipment", designation)
        if item in self.names.refused:
            raise CellError(self._refused(item))
        return item, self.records["equipment"][item]

    # -- runs --------------------------------------------------------------------------------------------------
    def _runs(self) -> None:
        grid = self.grids.get("runs")
        if grid is None or not grid.needs("from", "to"):
            return
        grid.check_headings([Run], "from", "to")
        for row in grid.rows:
            filled = grid.fill(row, Run, _("a run"), self.names, "from", "to")
            if filled is None:
                continue
            ends = self._ends(grid, row, filled)
            if ends is None:
                continue
            if "function" not in filled.values:
                self.supposed.append(filled.values.get("designation") or _("line {line}").format(line=row.line))
            marks = {f"{name}_end": o for name in ("from", "to") if (o := grid.cell(row, name).origin)}
            origins = tuple(sorted({**dict(filled.origins), **marks}.items()))
            self.records["runs"][self.names.new_id("runs")] = Run(**ends, **filled.values, origins=origins)
            self._count("runs")

    def _ends(self, grid: Grid, row: Row, filled: Filled) -> dict[str, Any] | None:
        probe = End(equipment="", terminal="")
        carried = Run(from_end=probe, to_end=probe, **filled.values).conductors()
        ends: dict[str, Any] = {}
        for name in ("from", "to"):
            try:
                end = read_end(grid.cell(row, name).text, carried, self.names, self._find)
                extra = filled.within.get(f"{name}_end", {})
                if end.stud_number is not None and "stud_number" in extra:
                    raise CellError(_("the stud's number is given twice"))
                ends[f"{name}_end"] = msgspec.structs.replace(end, **extra)
            except CellError as fault:
                grid.fault(row.line, grid.column(name), str(fault))
        return ends if len(ends) == 2 else None

    # -- operating conditions and interlocks -------------------------------------------------------------------
    def _states(self) -> None:
        grid = self.grids.get("states")
        if grid is None or not grid.needs("condition", "designation"):
            return
        grid.check_headings([], *STATE_COLUMNS)
        for row in grid.rows:
            name = grid.cell(row, "condition").text
            if not name:
                grid.fault(row.line, grid.column("condition"), _("is missing"))
                continue
            item = self.names.condition(name)
            new = read_state(grid, row, self.records["conditions"][item], self._find, self.names)
            if new is not None:
                self.records["conditions"][item] = new
                self._count("states")

    def _interlocks(self) -> None:
        grid = self.grids.get("interlocks")
        if grid is None or not grid.needs("devices"):
            return
        grid.check_headings([Interlock])
        for row in grid.rows:
            filled = grid.fill(row, Interlock, _("an interlock"), self.names)
            if filled is None:
                continue
            try:
                held = tuple(self._held(each) for each in filled.values.get("held", ()))
                if not held:
                    raise CellError(_("is missing"))
            except CellError as fault:
                grid.fault(row.line, grid.column("devices"), str(fault))
                continue
            values = filled.values | {"held": held}
            item = self.names.new_id("interlocks")
            self.records["interlocks"][item] = Interlock(**values, origins=filled.origins)
            self._count("interlocks")

    def _held(self, held: Held) -> Held:
        if held.equipment in self.names.refused:
            raise CellError(self._refused(held.equipment))
        record = self.records["equipment"][held.equipment]
        return msgspec.structs.replace(held, positions=tuple(position_of(record, p) for p in held.positions))

    # -- what there is one of ----------------------------------------------------------------------------------
    def _vessel(self) -> None:
        grid = self.grids.get("vessel")
        if grid is None or not grid.needs("field", "value"):
            return
        grid.check_headings([], "field", "value")
        self.lone, self.counts["vessel"] = read_lone(grid, self.names)

    def _count(self, table: str) -> None:
        self.counts[table] = self.counts.get(table, 0) + 1
