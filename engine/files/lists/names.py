"""What people call things in lists, and the ids they get."""

from __future__ import annotations

from typing import Any

from engine.files.lists.cells import CellError
from engine.files.lists.columns import nearest
from engine.installation.model import TABLES, Snapshot
from engine.installation.records import Condition, Enclosure, Place
from engine.words import _

__all__ = ["LINK", "GivenNames", "KnownNames", "plain"]

_MOST_LOOKED_FOR = 200_000  # names among which one that is written alike was looked for: some seconds
LINK = "?"  # a designation that begins so only serves to link rows


def plain(name: str) -> str:
    """A name of a place or the like as it is compared: without regard to case and to how many spaces."""
    return " ".join(name.split()).casefold()


class GivenNames:
    """Names met while lists are read. Places and enclosures are made when first named."""

    MADE: tuple[tuple[str, Any], ...] = (("places", Place), ("enclosures", Enclosure))

    def __init__(self, last_id: int) -> None:
        self._last_id = last_id
        self._looked_for = 0
        self.records: dict[str, dict[str, Any]] = {table: {} for table in TABLES}
        self._ids: dict[str, dict[str, str]] = {"equipment": {}, "places": {}, "enclosures": {}, "conditions": {}}
        self.refused: set[str] = set()  # ids of equipment whose row was refused

    def new_id(self, table: str) -> str:
        """The next id."""
        self._last_id += 1
        return f"{TABLES[table][1]}{self._last_id}"

    def give(self, table: str, name: str) -> str:
        """An id for something new called `name`. Raises `CellError` when something is called that already."""
        key = name if table == "equipment" else plain(name)
        if key in self._ids[table]:
            raise CellError(_("{name!r} is given twice").format(name=name))
        self._ids[table][key] = item = self.new_id(table)
        return item

    def has(self, table: str, name: str) -> bool:
        """Whether something is called `name`."""
        return (name if table == "equipment" else plain(name)) in self._ids[table]

    def id_of(self, table: str, name: str) -> str:
        """The id of what is called `name`; a place or an enclosure is made. Raises `CellError`."""
        known = self._ids.get(table, {})
        item = known.get(name if table == "equipment" else plain(name))
        if item is not None:
            return item
        for made, cls in self.MADE:
            if table == made:
                item = self.give(table, name)
                self.records[table][item] = cls(name=name)
                return item
        what = _("operating condition") if table == "conditions" else _("equipment")
        raise CellError(
            _("no {what} of these lists is called {name!r}{nearest}").format(
                what=what, name=name, nearest=self._nearest(name, known)
            )
        )

    def _nearest(self, name: str, known: dict[str, str]) -> str:
        self._looked_for += len(known)
        return nearest(name, list(known)) if self._looked_for < _MOST_LOOKED_FOR else ""

    def condition(self, name: str) -> str:
        """The id of an operating condition, made when it is new."""
        if not self.has("conditions", name):
            item = self.give("conditions", name)
            self.records["conditions"][item] = Condition(name=name)
        return self.id_of("conditions", name)

    def name_of(self, table: str, item: str) -> str:
        """Not asked while reading."""
        raise CellError(f"{table}[{item!r}]")


class KnownNames:
    """Names in a snapshot. Equipment without a designation gets one that only links rows."""

    def __init__(self, snapshot: Snapshot) -> None:
        self._names: dict[str, dict[str, str]] = {
            table: {item: record.name for item, record in snapshot.tables[table].items()}
            for table in ("places", "enclosures", "conditions")
        }
        taken = {record.designation for record in snapshot.equipment.values()}
        links: dict[str, str] = {}
        for item, record in snapshot.equipment.items():
            links[item] = record.designation
            if not record.designation:
                link = f"{LINK}{item}"
                while link in taken:
                    link = f"{LINK}{link}"
                links[item] = link
                taken.add(link)
        self._names["equipment"] = links

    def name_of(self, table: str, item: str) -> str:
        """What `item` is called in lists."""
        return self._names[table][item]

    def id_of(self, table: str, name: str) -> str:
        """Not asked while writing."""
        raise CellError(f"{table}: {name}")
