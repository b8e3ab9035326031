"""Do, undo, redo, save and load in any order, against a plain dictionary."""

from __future__ import annotations

from typing import Any

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, initialize, invariant, precondition, rule

from engine.edits import EditError, History, Put, SetFields, Several, touched
from engine.equipment import kinds
from engine.files.drawing import dump, read_bytes
from engine.installation import Condition, End, Installation, Place, Run, Setting
from engine.record import to_builtins

KINDS = ("battery_bank", "fuse", "battery_switch", "bus_bar", "load", "selector")
WORDS = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=6)


class Machine(RuleBasedStateMachine):
    """`model` is what the installation should hold: (table, id) -> plain values. `past` and `future` are its copies."""

    ids = Bundle("ids")

    @initialize()
    def start(self) -> None:
        self.history = History(Installation())
        self.model: dict[tuple[str, str], Any] = {}
        self.past: list[dict[tuple[str, str], Any]] = []
        self.future: list[dict[tuple[str, str], Any]] = []
        self.last_id = 0

    @property
    def x(self) -> Installation:
        return self.history.installation

    def records(self, table: str) -> list[str]:
        return [item for t, item in self.model if t == table]

    def do(self, edit: Any, expected: dict[tuple[str, str], Any] | None) -> None:
        """Do an edit that must succeed and give `expected`, or fail when that is `None`."""
        before = dump(self.x)
        snapshot = self.x.snapshot()
        try:
            made = self.history.do(edit)
        except EditError:
            assert expected is None
            assert dump(self.x) == before
            return
        after = self.x.snapshot_after(snapshot, touched(made))
        assert after == self.x.snapshot()
        assert [[*table] for table in after.tables.values()] == [[*t] for t in self.x.snapshot().tables.values()]
        assert expected is not None
        self.past.append(self.model)
        self.future.clear()
        self.model = expected
        self.last_id = max(self.last_id, self.x.last_id)

    def put(self, table: str, item: str, record: Any) -> None:
        self.do(Put(table, item, record), self.model | {(table, item): record})

    @rule(target=ids, kind=st.sampled_from(KINDS), designation=WORDS, data=st.data())
    def add_equipment(self, kind: str, designation: str, data: st.DataObject) -> str:
        place = data.draw(st.sampled_from(["", *self.records("places")]))
        item = self.x.new_id("equipment")
        self.put("equipment", item, kinds()[kind](designation=designation, place=place))
        return item

    @rule(name=WORDS)
    def add_place(self, name: str) -> None:
        self.put("places", self.x.new_id("places"), Place(name=name))

    @precondition(lambda self: self.records("equipment"))
    @rule(data=st.data())
    def add_run(self, data: st.DataObject) -> None:
        ends = []
        for _each in range(2):
            item = data.draw(st.sampled_from(self.records("equipment")))
            terminal = data.draw(st.sampled_from([t.name for t in self.model["equipment", item].terminals()]))
            ends.append(End(equipment=item, terminal=terminal))
        self.put("runs", self.x.new_id("runs"), Run(from_end=ends[0], to_end=ends[1]))

    @precondition(lambda self: any(self.model["equipment", i].positions() for i in self.records("equipment")))
    @rule(name=WORDS, data=st.data())
    def add_condition(self, name: str, data: st.DataObject) -> None:
        switches = [i for i in self.records("equipment") if self.model["equipment", i].positions()]
        item = data.draw(st.sampled_from(switches))
        position = data.draw(st.sampled_from(self.model["equipment", item].positions()))
        settings_ = (Setting(equipment=item, position=position),)
        self.put("conditions", self.x.new_id("conditions"), Condition(name=name, settings=settings_))

    @precondition(lambda self: self.records("equipment"))
    @rule(label=WORDS, price=st.none() | st.floats(-5, 100), data=st.data())
    def change(self, label: str, price: float | None, data: st.DataObject) -> None:
        item = data.draw(st.sampled_from(self.records("equipment")))
        old = self.model["equipment", item]
        wrong = price is not None and price < 0
        changed = None if wrong else self.model | {("equipment", item): _replaced(old, label=label, price=price)}
        self.do(SetFields("equipment", item, (("label", label), ("price", price))), changed)

    @precondition(lambda self: self.model)
    @rule(data=st.data())
    def remove(self, data: st.DataObject) -> None:
        table, item = data.draw(st.sampled_from(sorted(self.model)))
        rest = {key: record for key, record in self.model.items() if key != (table, item)}
        still_named = any(item in _ids_in(to_builtins(record)) for record in rest.values())
        self.do(Put(table, item, None), None if still_named else rest)

    @precondition(lambda self: self.records("equipment"))
    @rule(data=st.data())
    def remove_with_all_that_names_it(self, data: st.DataObject) -> None:
        item = data.draw(st.sampled_from(self.records("equipment")))
        gone = [k for k, record in self.model.items() if k[1] == item or item in _ids_in(to_builtins(record))]
        gone.sort(key=lambda k: k[0] == "equipment")  # runs before what they arrive at
        rest = {key: record for key, record in self.model.items() if key not in gone}
        self.do(Several(tuple(Put(t, i, None) for t, i in gone)), rest)

    @rule()
    def undo(self) -> None:
        self.history.undo()
        if self.past:
            self.future.append(self.model)
            self.model = self.past.pop()

    @rule()
    def redo(self) -> None:
        self.history.redo()
        if self.future:
            self.past.append(self.model)
            self.model = self.future.pop()

    @rule()
    def save_and_load(self) -> None:
        data = dump(self.x)
        opened = read_bytes(data)
        assert not opened.read_only
        assert dump(opened.installation) == data
        self.history = History(opened.installation)
        self.past.clear()
        self.future.clear()

    @invariant()
    def holds_what_the_dictionary_holds(self) -> None:
        if not hasattr(self, "history"):
            return
        snapshot = self.x.snapshot()
        held = {(t, item): record for t, records in snapshot.tables.items() for item, record in records.items()}
        assert held == self.model
        assert self.x.last_id >= self.last_id  # an id is never given twice


def _replaced(record: Any, **changes: Any) -> Any:
    values = {name: getattr(record, name) for name in record.__struct_fields__}
    return type(record)(**(values | changes))


def _ids_in(value: Any, name: str = "") -> set[str]:
    """Ids that plain values hold under a member that names another record."""
    if isinstance(value, dict):
        return set().union(*(_ids_in(v, k) for k, v in value.items()))
    if isinstance(value, list):
        return set().union(*(_ids_in(v, name) for v in value))
    return {value} if name in ("equipment", "place") else set()


TestMachine = Machine.TestCase
TestMachine.settings = settings(max_examples=60, stateful_step_count=30, deadline=None)
