"""Two drawings worked on in any order, against dictionaries of what their files hold; those know nothing of the engine.

Beside `tests/engine/edits/test_machine.py` and `tests/engine/files/test_journal_machine.py`: what is copied and pasted,
here and into the other drawing, merged, looked at in other views, killed and recovered, all undone and done again.
"""

from __future__ import annotations

import copy as copying
import json
import re
import shutil
import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from app.drawing.changes.pasting import paste
from app.drawing.whole.in_view import VIEWS, in_view
from app.window.document import Document
from engine.edits import Edit, EditError, Put, SetFields, Several, apply
from engine.edits.copying import Clip, copy
from engine.equipment import kinds
from engine.files.drawing import dump, load, read_bytes, save
from engine.files.journal import Journal
from engine.files.recovery import left_behind
from engine.installation import End, Installation, Placement, Run, Sheet
from engine.merging import edit_to, merge

pytestmark = pytest.mark.qt

Tables = dict[str, dict[str, dict[str, Any]]]
TERMINALS = {"fuse": ("in", "out"), "battery_bank": ("pos", "neg"), "load": ("in", "neg")}
LETTERS = {"fuse": "F", "battery_bank": "G", "load": "E"}
PREFIX = {"equipment": "e", "runs": "r", "placements": "a", "sheets": "s"}
NAMES = st.sampled_from(("", "F1", "F2", "F7", "K3", "f2"))
WORDS = st.text("aö<&=\u202e 7", max_size=4)


class Plain:
    """What a drawing should hold, as its file says it; what was before, and what was taken back."""

    def __init__(self) -> None:
        self.tables: Tables = {}
        self.past: list[Tables] = []
        self.future: list[Tables] = []
        self.saved: Tables = {}
        self.last = 0  # the highest number ever given to an id

    def do(self, tables: Tables) -> None:
        self.past.append(self.tables)
        self.future.clear()
        self.tables = tables

    def given(self, table: str) -> str:
        """A new id."""
        self.last += 1
        return f"{PREFIX[table]}{self.last}"

    def of(self, table: str) -> list[str]:
        return sorted(self.tables.get(table, {}), key=lambda item: int(item[1:]))

    def with_(self, *records: tuple[str, str, dict[str, Any] | None]) -> Tables:
        made = copying.deepcopy(self.tables)
        for table, item, record in records:
            if record is None:
                del made[table][item]
            else:
                made.setdefault(table, {})[item] = {name: value for name, value in record.items() if value != ""}
        return {table: rows for table, rows in made.items() if rows}


class Side:
    """A drawing as the window has it open, and its dictionary."""

    def __init__(self, folder: Path, name: str) -> None:
        self.folder, self.path = folder / name, folder / f"{name}.linewright"
        self.plain = Plain()
        first = Installation()
        apply(first, Put("sheets", "s1", Sheet(number=2, size="A2")))
        self.plain.tables = self.plain.saved = {"sheets": {"s1": {"number": 2, "size": "A2"}}}
        self.plain.last = 1
        self.open(first, save(first, self.path))

    def open(self, installation: Installation, sha256: str) -> None:
        self.document = Document(installation, self.path, sha256)
        self.begin(sha256)

    def begin(self, sha256: str, edits: int = 0) -> None:
        x = self.document.installation
        self.document.journal = Journal.begin(self.folder, x, x.last_id, self.path, sha256, edits=edits)

    def do(self, edit: Edit, tables: Tables) -> None:
        self.document.do(edit)
        self.plain.do(tables)

    def holds(self) -> Tables:
        """What would be written, without what is there only once."""
        told = json.loads(dump(self.document.installation))
        return {t: rows for t, rows in told.items() if isinstance(rows, dict) and rows and t in self.known}

    known = ("equipment", "runs", "placements", "routes", "sheets", "places", "conditions", "remarks")


class Machine(RuleBasedStateMachine):
    @initialize()
    def start(self) -> None:
        self.folder = Path(tempfile.mkdtemp())
        self.sides = (Side(self.folder, "tern"), Side(self.folder, "skua"))
        self.clip: tuple[Clip, Tables] | None = None
        for n, kind, name in ((0, "battery_bank", "G1"), (0, "fuse", "F1"), (0, "load", "f2"), (1, "fuse", "F1")):
            self.place(n=n, kind=kind, name=name, x=20 + 8 * len(self.sides[n].plain.of("equipment")), y=20)
        for n in (0, 1):  # that is what each begins with, and no undo takes it away
            self.save(n=n)
            self.open_again(n=n)

    def teardown(self) -> None:
        if hasattr(self, "sides"):
            for side in self.sides:
                assert side.document.journal is not None
                side.document.journal.close()
            shutil.rmtree(self.folder)

    # -- edits --------------------------------------------------------------------------------------------------
    @rule(
        n=st.integers(0, 1),
        kind=st.sampled_from(sorted(TERMINALS)),
        name=NAMES,
        x=st.integers(12, 60),
        y=st.integers(12, 40),
    )
    def place(self, n: int, kind: str, name: str, x: int, y: int) -> None:
        side = self.sides[n]
        e, a = side.plain.given("equipment"), side.plain.given("placements")
        puts = (
            Put("equipment", e, kinds()[kind](designation=name)),
            Put("placements", a, Placement(equipment=e, sheet="s1", x=x, y=y)),
        )
        record = {"equipment": e, "sheet": "s1", "x": x, "y": y}
        wanted = side.plain.with_(("equipment", e, {"kind": kind, "designation": name}), ("placements", a, record))
        side.do(Several(puts, "Place"), wanted)

    @rule(n=st.integers(0, 1), data=st.data())
    def connect(self, n: int, data: st.DataObject) -> None:
        side = self.sides[n]
        there = [
            (e, t) for e in side.plain.of("equipment") for t in TERMINALS[side.plain.tables["equipment"][e]["kind"]]
        ]
        if not there:
            return
        (a, b), (c, d) = data.draw(st.sampled_from(there)), data.draw(st.sampled_from(there))
        item = side.plain.given("runs")
        run = Run(from_end=End(equipment=a, terminal=b), to_end=End(equipment=c, terminal=d))
        ends = {"from": {"equipment": a, "terminal": b}, "to": {"equipment": c, "terminal": d}}
        side.do(Put("runs", item, run), side.plain.with_(("runs", item, ends)))

    @rule(n=st.integers(0, 1), label=WORDS, data=st.data())
    def change(self, n: int, label: str, data: st.DataObject) -> None:
        side = self.sides[n]
        if side.plain.of("equipment"):
            item = data.draw(st.sampled_from(side.plain.of("equipment")))
            record = side.plain.tables["equipment"][item] | {"label": label}
            side.do(SetFields("equipment", item, (("label", label),)), side.plain.with_(("equipment", item, record)))

    @rule(n=st.integers(0, 1), whole=st.booleans(), data=st.data())
    def remove(self, n: int, whole: bool, data: st.DataObject) -> None:
        side = self.sides[n]
        if not side.plain.of("equipment"):
            return
        item = data.draw(st.sampled_from(side.plain.of("equipment")))
        gone = [
            (t, i) for t in ("runs", "placements") for i in side.plain.of(t) if item in _named(side.plain.tables[t][i])
        ]
        if not whole and gone:  # what names it would name nothing
            before = side.holds()
            with pytest.raises(EditError):
                side.document.do(Put("equipment", item, None))
            assert side.holds() == before
            return
        gone.append(("equipment", item))
        edit = Several(tuple(Put(t, i, None) for t, i in gone), "Remove")
        side.do(edit, side.plain.with_(*((t, i, None) for t, i in gone)))

    @rule(n=st.integers(0, 1), times=st.integers(1, 2))
    def undo(self, n: int, times: int) -> None:
        side = self.sides[n]
        for _n in range(times):
            side.document.undo()
            if side.plain.past:
                side.plain.future.append(side.plain.tables)
                side.plain.tables = side.plain.past.pop()

    @rule(n=st.integers(0, 1), times=st.integers(1, 2))
    def redo(self, n: int, times: int) -> None:
        side = self.sides[n]
        for _n in range(times):
            side.document.redo()
            if side.plain.future:
                side.plain.past.append(side.plain.tables)
                side.plain.tables = side.plain.future.pop()

    # -- copied and pasted ----------------------------------------------------------------------------------------
    @rule(n=st.integers(0, 1), data=st.data())
    def copy(self, n: int, data: st.DataObject) -> None:
        side = self.sides[n]
        if not side.plain.of("equipment"):
            return
        chosen = data.draw(st.lists(st.sampled_from(side.plain.of("equipment")), min_size=1, unique=True))
        clip = Clip.from_text(copy(side.document.snapshot(), chosen).to_text())  # by way of the clipboard
        tables = side.plain.tables
        plain: Tables = {
            "equipment": {i: r for i, r in tables["equipment"].items() if i in chosen},
            "runs": {i: r for i, r in tables.get("runs", {}).items() if _named(r) <= set(chosen)},
            "placements": {i: r for i, r in tables.get("placements", {}).items() if r["equipment"] in chosen},
        }
        self.clip = (clip, copying.deepcopy(plain))

    @precondition(lambda self: getattr(self, "clip", None) is not None)
    @rule(n=st.integers(0, 1), x=st.integers(20, 60), y=st.integers(20, 40))
    def paste(self, n: int, x: int, y: int) -> None:
        assert self.clip is not None
        side, (clip, plain) = self.sides[n], self.clip
        if len(side.plain.of("equipment")) > 40:
            return
        try:
            made = paste(side.document.snapshot(), side.document.installation.last_id, clip, "s1", x, y)
        except EditError:  # larger than the sheet
            return
        new: dict[str, str] = {}
        for table in ("equipment", "runs", "placements"):
            for item in sorted(plain[table], key=lambda i: int(i[1:])):
                new[item] = side.plain.given(table)
        taken = [r.get("designation", "") for t in ("equipment", "runs") for r in side.plain.tables.get(t, {}).values()]
        borne = {word.casefold() for word in taken}
        records: dict[tuple[str, str], dict[str, Any]] = {}
        again = []
        for table in ("equipment", "runs", "placements"):
            for item in sorted(plain[table], key=lambda i: int(i[1:])):
                records[table, new[item]] = record = _renamed(plain[table][item], new)
                if record.get("designation", "").casefold() in borne - {""}:
                    again.append(record)
        words = [w for w in taken if w]
        words += [r["designation"] for r in records.values() if "designation" in r and not any(r is a for a in again)]
        for record in again:
            letters = re.sub("[0-9]", "", record["designation"])
            used = {int(w[len(letters) :]) for w in words if re.fullmatch(f"(?i){letters}[0-9]+", w)}
            record["designation"] = f"{letters}{min(set(range(1, 99)) - used)}"
            words.append(record["designation"])
        side.document.do(made.edit)
        there = side.holds()["placements"]
        shifts = set()
        for (table, item), record in records.items():
            if table == "placements":
                shifts.add((there[item]["x"] - record["x"], there[item]["y"] - record["y"]))
                record |= {"x": there[item]["x"], "y": there[item]["y"]}
        assert len(shifts) <= 1, "all of it stands as it stood among itself"
        side.plain.do(side.plain.with_(*((table, item, record) for (table, item), record in records.items())))

    # -- another way of looking; a copy worked on and merged ----------------------------------------------------------
    @rule(n=st.integers(0, 1), view=st.sampled_from(VIEWS))
    def look(self, n: int, view: str) -> None:
        document = self.sides[n].document
        document.set_view(view)
        in_view(document.snapshot(), view)

    @rule(n=st.integers(0, 1), label=WORDS, data=st.data())
    def merge_a_copy(self, n: int, label: str, data: st.DataObject) -> None:
        """The copy gets a label and a new fuse; here another thing gets a label meanwhile, and a new bank."""
        side = self.sides[n]
        every = side.plain.of("equipment")
        if len(every) < 2:
            return
        theirs, mine = data.draw(st.lists(st.sampled_from(every), min_size=2, max_size=2, unique=True))
        base = side.document.snapshot()
        other = read_bytes(dump(side.document.installation)).installation
        their_id = other.new_id("equipment")
        apply(other, SetFields("equipment", theirs, (("label", f"t{label}"),)))
        apply(other, Put("equipment", their_id, kinds()["fuse"]()))
        my_id = side.plain.given("equipment")
        assert my_id == their_id, "both gave the same id, to two things"
        record = side.plain.tables["equipment"][mine] | {"label": f"m{label}"}
        edits = (
            SetFields("equipment", mine, (("label", f"m{label}"),)),
            Put("equipment", my_id, kinds()["battery_bank"]()),
        )
        wanted = side.plain.with_(("equipment", mine, record), ("equipment", my_id, {"kind": "battery_bank"}))
        side.do(Several(edits, "Meanwhile"), wanted)
        now = side.document.snapshot()
        last = max(side.document.installation.last_id, other.last_id)
        merged = merge(base, now, other.snapshot(), last_id=last)
        assert merged.open == ()
        fuse = side.plain.given("equipment")
        assert merged.renamed == {their_id: fuse}
        record = side.plain.tables["equipment"][theirs] | {"label": f"t{label}"}
        wanted = side.plain.with_(("equipment", theirs, record), ("equipment", fuse, {"kind": "fuse"}))
        side.do(edit_to(now, merged.snapshot, merged.last_id, "Merge"), wanted)

    def is_worked_on(self) -> bool:
        """Whether there was enough to lose since the last time."""
        return getattr(self, "worked", 0) >= 6

    # -- files ------------------------------------------------------------------------------------------------------
    @precondition(lambda self: self.is_worked_on())
    @rule(n=st.integers(0, 1))
    def save(self, n: int) -> None:
        side = self.sides[n]
        document = side.document
        sha256 = save(document.installation, side.path)
        document.saved_as(side.path, sha256)
        assert document.journal is not None
        document.journal.rebase(side.path, sha256, document.snapshot(), document.installation.last_id)
        side.plain.saved = side.plain.tables
        assert not document.is_dirty

    @precondition(lambda self: self.is_worked_on())
    @rule(n=st.integers(0, 1))
    def open_again(self, n: int) -> None:
        """What was not saved is given up: the file's own state, and a history that begins anew."""
        self.worked = 0
        side = self.sides[n]
        assert side.document.journal is not None
        side.document.journal.close()
        opened = load(side.path)
        side.open(opened.installation, opened.sha256)
        side.plain.tables, side.plain.past, side.plain.future = side.plain.saved, [], []
        side.plain.last = opened.installation.last_id

    @precondition(lambda self: self.is_worked_on())
    @rule(n=st.integers(0, 1))
    def killed_and_recovered(self, n: int) -> None:
        self.worked = 0
        side = self.sides[n]
        assert side.document.journal is not None
        side.document.journal.close(keep=True)
        found = left_behind(side.folder)
        if found:
            (left,) = found
            got = left.recover()
            side.document = Document(got.installation, side.path, got.base_sha256)
            side.begin(got.base_sha256, got.edits)
            assert left.discard()
        else:
            opened = load(side.path)
            side.open(opened.installation, opened.sha256)
        side.plain.past, side.plain.future = [], []

    @invariant()
    def both_hold_what_their_dictionaries_hold(self) -> None:
        self.worked = getattr(self, "worked", 0) + 1
        for side in getattr(self, "sides", ()):
            assert side.holds() == side.plain.tables
            assert side.document.installation.last_id >= side.plain.last
            assert side.document.history.at == len(side.plain.past)


def _named(record: dict[str, Any]) -> set[str]:
    """Equipment that a run or placement names."""
    ends = [record[name]["equipment"] for name in ("from", "to") if name in record]
    return {*ends, *([record["equipment"]] if "equipment" in record else [])}


def _renamed(value: Any, new: dict[str, str]) -> Any:
    if isinstance(value, dict):
        return {name: _renamed(each, new) if name != "designation" else each for name, each in value.items()}
    return new.get(value, value) if isinstance(value, str) else value


TestMachine = Machine.TestCase
TestMachine.settings = settings(max_examples=30, stateful_step_count=25, deadline=None)
