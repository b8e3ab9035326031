"""THE MODEL: a networkx MultiGraph of records, and the tables beside it.

Node = equipment id -> frozen record; edge key = run id -> frozen record. A run's record holds its own `from` and `to`;
the order of the graph's endpoints means nothing. Nothing here changes by itself: `engine.edits` is the only writer.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

import msgspec
import networkx as nx

from engine.equipment.base import Equipment
from engine.installation.records import (
    Condition,
    Enclosure,
    Interlock,
    Place,
    Placement,
    Remark,
    Revision,
    Route,
    Run,
    Settings,
    Sheet,
    TitleBlock,
    Vessel,
    Waiver,
)
from engine.installation.surveying import Deficiency, Inspection, Instrument, Photograph, Reading, Survey
from engine.record import Record

__all__ = ["LARGEST_ID", "LONE", "TABLES", "Installation", "Snapshot", "is_id"]

_LONGEST_ID = 40
LARGEST_ID = 10**15  # the largest number that an id has

# every table of the file, its record class and the letter its ids begin with
TABLES: dict[str, tuple[type[Record], str]] = {
    "equipment": (Equipment, "e"),
    "runs": (Run, "r"),
    "places": (Place, "p"),
    "enclosures": (Enclosure, "b"),
    "sheets": (Sheet, "s"),
    "placements": (Placement, "a"),
    "routes": (Route, "t"),
    "remarks": (Remark, "n"),
    "conditions": (Condition, "c"),
    "interlocks": (Interlock, "i"),
    "revisions": (Revision, "v"),
    "waivers": (Waiver, "w"),
    "surveys": (Survey, "y"),
    "photographs": (Photograph, "f"),
    "deficiencies": (Deficiency, "d"),
    "inspections": (Inspection, "k"),
    "instruments": (Instrument, "u"),
    "readings": (Reading, "m"),
}
# records there is one of
LONE: dict[str, type[Record]] = {"vessel": Vessel, "title_block": TitleBlock, "settings": Settings}


class Snapshot(msgspec.Struct, frozen=True):
    """All records of an installation at one moment, ids sorted: what a study is built from."""

    tables: dict[str, dict[str, Any]]
    lone: dict[str, Any]

    @property
    def equipment(self) -> dict[str, Equipment]:
        """Equipment by id."""
        return self.tables["equipment"]

    @property
    def runs(self) -> dict[str, Run]:
        """Runs by id."""
        return self.tables["runs"]

    @property
    def places(self) -> dict[str, Place]:
        """Places by id."""
        return self.tables["places"]

    @property
    def enclosures(self) -> dict[str, Enclosure]:
        """Panels and enclosures by id."""
        return self.tables["enclosures"]

    @property
    def sheets(self) -> dict[str, Sheet]:
        """Sheets by id."""
        return self.tables["sheets"]

    @property
    def placements(self) -> dict[str, Placement]:
        """Placements by id."""
        return self.tables["placements"]

    @property
    def routes(self) -> dict[str, Route]:
        """Routes by id."""
        return self.tables["routes"]

    @property
    def remarks(self) -> dict[str, Remark]:
        """Words on the sheets by id."""
        return self.tables["remarks"]

    @property
    def conditions(self) -> dict[str, Condition]:
        """Operating conditions by id."""
        return self.tables["conditions"]

    @property
    def interlocks(self) -> dict[str, Interlock]:
        """Interlocks by id."""
        return self.tables["interlocks"]

    @property
    def revisions(self) -> dict[str, Revision]:
        """Revisions by id."""
        return self.tables["revisions"]

    @property
    def waivers(self) -> dict[str, Waiver]:
        """Waivers by id."""
        return self.tables["waivers"]

    @property
    def surveys(self) -> dict[str, Survey]:
        """Surveys by id."""
        return self.tables["surveys"]

    @property
    def photographs(self) -> dict[str, Photograph]:
        """Photographs by id."""
        return self.tables["photographs"]

    @property
    def deficiencies(self) -> dict[str, Deficiency]:
        """Deficiencies by id."""
        return self.tables["deficiencies"]

    @property
    def inspections(self) -> dict[str, Inspection]:
        """What was inspected, by id."""
        return self.tables["inspections"]

    @property
    def instruments(self) -> dict[str, Instrument]:
        """Instruments by id."""
        return self.tables["instruments"]

    @property
    def readings(self) -> dict[str, Reading]:
        """What was measured, by id."""
        return self.tables["readings"]

    @property
    def vessel(self) -> Vessel:
        """The vessel record."""
        vessel: Vessel = self.lone["vessel"]
        return vessel

    @property
    def title_block(self) -> TitleBlock:
        """The title block."""
        block: TitleBlock = self.lone["title_block"]
        return block

    @property
    def settings(self) -> Settings:
        """What belongs to the drawing as a whole."""
        settings: Settings = self.lone["settings"]
        return settings

    def name(self, item: str) -> str:
        """The designation (or name, or id) of anything, for people."""
        for table in ("equipment", "runs"):
            if item in self.tables[table]:
                return self.tables[table][item].designation or item
        for table in ("places", "enclosures", "conditions", "interlocks"):
            if item in self.tables[table]:
                return self.tables[table][item].name or item
        return item


class Installation:
    """An installation being worked on. Read through its views; change through `engine.edits`."""

    def __init__(self) -> None:
        self.graph: nx.MultiGraph[str] = nx.MultiGraph()
        self.tables: dict[str, dict[str, Any]] = {name: {} for name in TABLES if name not in ("equipment", "runs")}
        self.lone: dict[str, Any] = {name: cls() for name, cls in LONE.items()}
        self.last_id = 0  # ids are made once and never used again
        self.unknown: tuple[tuple[str, str], ...] = ()  # members of the file this version does not know
        self.read_only = ""  # why it must never be saved: the file holds what this version does not understand
        self._ends: dict[str, tuple[str, str]] = {}  # run id -> its two equipment ids in the graph

    # -- reading ------------------------------------------------------------------------------------------------
    def ids(self, table: str) -> list[str]:
        """Sorted ids of a table, in the order they were made."""
        if table == "equipment":
            return sorted(self.graph.nodes, key=_id_order)
        if table == "runs":
            return sorted(self._ends, key=_id_order)
        return sorted(self.tables[table], key=_id_order)

    def get(self, table: str, item: str) -> Any:
        """The record, or `None`."""
        if table in LONE:
            return self.lone[table]
        if table == "equipment":
            data = self.graph.nodes.get(item)
            return None if data is None else data["record"]
        if table == "runs":
            ends = self._ends.get(item)
            return None if ends is None else self.graph.edges[ends[0], ends[1], item]["record"]
        return self.tables[table].get(item)

    def items(self, table: str) -> Iterator[tuple[str, Any]]:
        """`(id, record)` of a table, sorted."""
        for item in self.ids(table):
            yield item, self.get(table, item)

    @property
    def equipment(self) -> Mapping[str, Equipment]:
        """Equipment by id, sorted."""
        return dict(self.items("equipment"))

    @property
    def runs(self) -> Mapping[str, Run]:
        """Runs by id, sorted."""
        return dict(self.items("runs"))

    @property
    def vessel(self) -> Vessel:
        """The vessel record."""
        vessel: Vessel = self.lone["vessel"]
        return vessel

    @property
    def title_block(self) -> TitleBlock:
        """The title block."""
        block: TitleBlock = self.lone["title_block"]
        return block

    @property
    def settings(self) -> Settings:
        """What belongs to the drawing as a whole."""
        settings: Settings = self.lone["settings"]
        return settings

    def runs_at(self, equipment: str) -> list[str]:
        """Ids of the runs that arrive at a piece of equipment, sorted."""
        if equipment not in self.graph:
            return []
        return sorted({key for _u, _v, key in self.graph.edges(equipment, keys=True)}, key=_id_order)

    def find(self, designation: str) -> list[tuple[str, str]]:
        """`(table, id)` of all equipment and runs with a designation."""
        return [
            (table, item)
            for table in ("equipment", "runs")
            for item, record in self.items(table)
            if record.designation == designation
        ]

    def snapshot(self) -> Snapshot:
        """All records at this moment, each table in id order."""
        return Snapshot(
            tables={name: dict(self.items(name)) for name in TABLES},
            lone=dict(self.lone),
        )

    def snapshot_after(self, before: Snapshot, touched: Iterable[tuple[str, str]]) -> Snapshot:
        """As `snapshot`, where since `before` only the records `touched` (table, id) may have become others.

        A large drawing is long to go through, and an edit touches little of it.
        """
        by_table: dict[str, list[str]] = {}
        for table, item in touched:
            by_table.setdefault(table, []).append(item)
        changed: dict[str, dict[str, Any]] = {}
        for table in by_table.keys() & TABLES.keys():
            old = before.tables[table]
            records = {item: self.get(table, item) for item in by_table[table]}
            if all((item in old) == (record is not None) for item, record in records.items()):
                changed[table] = old | {item: record for item, record in records.items() if item in old}
            else:
                changed[table] = dict(self.items(table))
        return Snapshot(tables=before.tables | changed, lone=dict(self.lone))

    def new_id(self, table: str) -> str:
        """The next free id of a table. Taking it is what an edit does."""
        return f"{TABLES[table][1]}{self.last_id + 1}"

    # -- writing: for engine.edits only -------------------------------------------------------------------------
    def _put(self, table: str, item: str, record: Any) -> None:
        """Store, replace (record given) or remove (`None`). Raises `ValueError` and changes nothing when it cannot."""
        if record is not None and table not in LONE and not is_id(item):
            raise ValueError(f"{str(item)[:_LONGEST_ID]!r} is no id")
        if table in LONE:
            if record is None:
                raise ValueError(f"{table} cannot be removed")
            self.lone[table] = record
            return
        if table == "equipment":
            self._put_equipment(item, record)
        elif table == "runs":
            self._put_run(item, record)
        elif record is None:
            if item not in self.tables[table]:
                raise ValueError(f"{table}[{item!r}] does not exist")
            del self.tables[table][item]
        else:
            self.tables[table][item] = record
        if record is not None:
            self.last_id = max(self.last_id, _number(item))

    def _put_equipment(self, item: str, record: Any) -> None:
        if record is not None:
            if item in self._ends:
                raise ValueError(f"id {item!r} is a run")
            self.graph.add_node(item, record=record)
            return
        if item not in self.graph:
            raise ValueError(f"equipment[{item!r}] does not exist")
        if self.graph.degree(item):
            raise ValueError(f"{self.graph.nodes[item]['record'].designation or item} still has runs")
        self.graph.remove_node(item)

    def _put_run(self, item: str, record: Any) -> None:
        if record is None:
            if item not in self._ends:
                raise ValueError(f"runs[{item!r}] does not exist")
            self.graph.remove_edge(*self._ends.pop(item), key=item)
            return
        u, v = record.from_end.equipment, record.to_end.equipment
        for end in (u, v):
            if end not in self.graph:
                raise ValueError(f"runs[{item!r}]: there is no equipment {end!r}")
        if item in self.graph:
            raise ValueError(f"id {item!r} is a piece of equipment")
        old = self._ends.get(item)
        if old is not None:
            self.graph.remove_edge(*old, key=item)
        self.graph.add_edge(u, v, key=item, record=record)
        self._ends[item] = (u, v)


def _id_order(item: str) -> tuple[int, str]:
    return _number(item), item


def is_id(item: Any) -> bool:
    """Whether a record can be called so: neither empty nor too long, its number not too large, and to be written."""
    if not isinstance(item, str) or not 0 < len(item) <= _LONGEST_ID:
        return False
    digits = item[1:]
    if digits.isdecimal() and int(digits) > LARGEST_ID:
        return False
    return item.isascii() or not any("\ud800" <= letter <= "\udfff" for letter in item)


def _number(item: str) -> int:
    digits = item[1:]
    return int(digits) if digits.isdecimal() and digits.isascii() else 0
