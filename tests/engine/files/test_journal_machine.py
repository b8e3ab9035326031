"""Do, undo, redo, save and die in any order: what the journal gives back is what was on the screen."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path
from unittest import mock

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

import engine.files.journal as writing
from engine.edits import Edit, EditError, History, Put, SetFields, Several
from engine.equipment import kinds
from engine.files.drawing import dump, load, save
from engine.files.journal import Journal
from engine.files.recovery import left_behind
from engine.installation import End, Installation, Place, Run

WORDS = st.text(st.characters(exclude_categories=("Cs",)), max_size=6)


class Machine(RuleBasedStateMachine):
    @initialize(every=st.sampled_from((1, 2, 3, 200)))
    def start(self, every: int) -> None:
        self.every = mock.patch.object(writing, "EVERY", every)
        self.every.start()
        self.folder = Path(tempfile.mkdtemp())
        self.path = self.folder / "knot.linewright"
        self.open(Installation(), "")
        self.edits = 0

    def open(self, installation: Installation, sha256: str, edits: int = 0) -> None:
        self.x = installation
        self.history = History(self.x)
        self.journal = Journal.begin(
            self.folder / "recovery", self.x, self.x.last_id, self.path, sha256, edits=edits, words=("before",)
        )

    def teardown(self) -> None:
        if hasattr(self, "journal"):
            self.journal.close()
            assert list((self.folder / "recovery").iterdir()) == []
            shutil.rmtree(self.folder)
            self.every.stop()

    def keep(self, edit: Edit | None) -> None:
        if edit is not None:
            self.journal.record(edit, self.x.snapshot, self.x.last_id)
            self.edits += 1

    def do(self, edit: Edit) -> None:
        try:
            self.keep(self.history.do(edit))
        except EditError:
            return

    @rule(kind=st.sampled_from(sorted(kinds())), designation=WORDS)
    def add(self, kind: str, designation: str) -> None:
        unknown = (("odd", '{"a":[1]}'),)
        record = kinds()[kind](designation=designation, unknown=unknown)
        self.do(Put("equipment", self.x.new_id("equipment"), record, designation))

    @rule(data=st.data())
    def connect(self, data: st.DataObject) -> None:
        terminals = [(e, t.name) for e, record in self.x.items("equipment") for t in record.terminals()]
        if terminals:
            (a, b), (c, d) = data.draw(st.sampled_from(terminals)), data.draw(st.sampled_from(terminals))
            run = Run(from_end=End(equipment=a, terminal=b), to_end=End(equipment=c, terminal=d))
            self.do(Put("runs", self.x.new_id("runs"), run))

    @rule(label=WORDS, price=st.none() | st.floats(0, 1e300), data=st.data())
    def change(self, label: str, price: float | None, data: st.DataObject) -> None:
        if self.x.ids("equipment"):
            item = data.draw(st.sampled_from(self.x.ids("equipment")))
            edits = (SetFields("equipment", item, (("label", label), ("price", price))),)
            self.do(Several((*edits, Put("places", self.x.new_id("places"), Place(name=label))), "Both"))

    @rule(data=st.data())
    def remove(self, data: st.DataObject) -> None:
        if self.x.ids("equipment"):
            item = data.draw(st.sampled_from(self.x.ids("equipment")))
            runs = [Put("runs", run, None) for run in self.x.runs_at(item)]
            self.do(Several((*runs, Put("equipment", item, None)), "Remove"))

    @rule()
    def undo(self) -> None:
        self.keep(self.history.undo())

    @rule()
    def redo(self) -> None:
        self.keep(self.history.redo())

    @rule()
    def save(self) -> None:
        self.journal.rebase(self.path, save(self.x, self.path), self.x.snapshot(), self.x.last_id)
        self.edits = 0

    @rule()
    def die_and_recover(self) -> None:
        before = dump(self.x)
        self.journal.close(keep=True)
        found = left_behind(self.folder / "recovery")
        if found:
            (left,) = found
            got = left.recover()
            self.open(got.installation, got.base_sha256, got.edits)
            assert left.discard()
        else:
            self.edits = 0
            opened = load(self.path) if self.path.exists() else None
            self.open(opened.installation if opened else Installation(), opened.sha256 if opened else "")
        assert dump(self.x) == before

    @invariant()
    def what_stands_in_the_journal_is_what_is_drawn(self) -> None:
        if not hasattr(self, "journal"):
            return
        assert self.journal.fault == ""
        assert self.journal.file is not None
        copy = self.folder / "copy"
        copy.mkdir()
        shutil.copy(self.journal.file, copy)
        found = left_behind(copy)
        if found:
            (left,) = found
            assert left.edits == self.edits
            assert not left.torn
            assert not left.missing
            assert dump(left.recover().installation) == dump(self.x)
            left.close()
        else:
            in_the_file = load(self.path).installation if self.path.exists() else Installation()
            assert dump(in_the_file) == dump(self.x)
        shutil.rmtree(copy)


TestMachine = Machine.TestCase
TestMachine.settings = settings(max_examples=40, stateful_step_count=25, deadline=None)
