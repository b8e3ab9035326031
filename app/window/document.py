"""A drawing that is open in a window: the installation, its history, its file, its judge. Everything listens to it.

`do`, `undo` and `redo` are the only ways a drawing changes. Each writes the recovery journal first, then tells the
window and the study process.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

import msgspec
from PySide6.QtCore import QObject, Signal

from app.drawing.in_condition import State, positions_shown
from app.drawing.whole.in_view import VIEWS
from app.judgement import Judgement, Layer, LiveParts, SheetPicture
from app.window.figured import Figured
from engine.books import ENDING
from engine.edits import Edit, EditError, History, touched
from engine.files.issues import home
from engine.installation import Snapshot
from engine.installation.model import TABLES, Installation
from engine.words import _

if TYPE_CHECKING:
    from app.window.judge import Judge
    from app.worker_messages import FigureAnswer
    from engine.files.journal import Journal
    from engine.files.lock import Lock

__all__ = ["Change", "Document", "ShownState"]


class Change(NamedTuple):
    """What an edit, an undo or a redo touched."""

    items: tuple[tuple[str, str], ...]  # (table, id); gone where the drawing has it no longer
    words: str
    how: Literal["do", "undo", "redo"]


class ShownState(NamedTuple):
    """A state that is shown and no condition stores: what it is called, where everything stands, what is marked."""

    title: str
    state: State


class Document(QObject):
    """One open drawing. Emits ids and values, never items or widgets."""

    changed = Signal(object)  # Change
    judged = Signal(object)  # Judgement
    drawn = Signal(object)  # SheetPicture
    lit = Signal(object)  # LiveParts
    figured = Signal()  # `figures` changed
    layered = Signal()  # `layer` changed: figures over the sheet came, or hold no more
    exampled = Signal(object)  # Examples: what was asked of the judge by `show_examples`
    offered = Signal(object)  # Offered: what was asked of the judge by `mend`
    explained = Signal(object)  # Explained: what was asked of the judge by `explain`
    measured = Signal(object)  # Measured: what was asked of the judge by `measure`
    switched = Signal(object)  # Switched: what was asked of the judge about switch positions
    sized = Signal(object)  # Sized: what was asked of the judge by `size`
    headed = Signal()  # name, unsaved changes or read-only changed
    selected = Signal()  # `selection` changed
    turned_to = Signal()  # `sheet` changed
    conditioned = Signal()  # `condition` or `state` changed
    viewed = Signal()  # `view` changed
    surveyed = Signal()  # `survey` changed

    def __init__(self, installation: Installation, path: Path | None = None, sha256: str = "") -> None:
        super().__init__()
        self.installation = installation
        self.history = History(installation)
        self.path = path
        self.sha256 = sha256  # of the file as opened or last saved, "" for a drawing without a file
        self.read_only = installation.read_only  # why nothing may be changed, "" where it may
        self.journal: Journal | None = None
        self.judge: Judge | None = None
        self.lock: Lock | None = None  # on the file, while it is open for writing
        self.selection: tuple[str, ...] = ()  # ids of equipment and runs (or one of any other table), last chosen first
        self.condition = ""  # the operating condition that is shown, "" as drawn
        self.state: ShownState | None = None  # shown in place of the condition
        self.sheet = next(iter(self.sheets()), "")
        self.photographs_at: tuple[Path, ...] = ()  # folders where they may lie still, the newest first
        self.survey = ""  # the survey chosen in this window, "" the newest (app/window/deficiencies/current.py)
        self.view = "all"  # of `app.drawing.whole.in_view.VIEWS`: before the work, after it, one status alone
        self.judgement: Judgement | None = None
        self.pictures: dict[str, SheetPicture] = {}  # the newest of each sheet
        self.live: LiveParts | None = None
        self.figures = Figured()
        self.wanted_layer = ""  # of `LAYERS`: figures that are to lie over the sheet, "" none
        self.layer: Layer | None = None  # over the sheet that is shown, true for what the drawing is now
        self._snapshot: Snapshot | None = None
        self._behind: set[tuple[str, str]] = set()  # (table, id) of what has changed since
        self._saved = self.history.mark
        self._ever_unsaved = False  # recovered work is unsaved whatever the history says

    # -- reading ------------------------------------------------------------------------------------------------
    def snapshot(self) -> Snapshot:
        """All records at this moment; the same object until the next edit."""
        made = self._snapshot
        if made is None:
            made = self.installation.snapshot()
        elif self._behind:
            made = self.installation.snapshot_after(made, self._behind)
        self._behind.clear()
        self._snapshot = made
        return made

    def sheets(self) -> list[str]:
        """Ids of the sheets in the order of their numbers."""
        every = self.installation.tables["sheets"]
        return sorted(every, key=lambda s: (every[s].number, int(s[1:]) if s[1:].isdecimal() else 0))

    def find(self, item: str) -> tuple[str, Any] | None:
        """`(table, record)` of an id, `None` where there is none. Ids are unique over all tables."""
        for table in TABLES:
            record = self.installation.get(table, item)
            if record is not None:
                return table, record
        return None

    @property
    def folder(self) -> Path | None:
        """Where its file is kept; `None`: not saved yet."""
        return None if self.path is None else home(self.path)

    @property
    def name(self) -> str:
        """What the window calls it: the file's name, or the vessel's while it has no file."""
        if self.path is not None:
            return self.path.name
        return self.installation.vessel.name

    @property
    def is_dirty(self) -> bool:
        """Whether there is something that is not in the file."""
        return self._ever_unsaved or self.history.mark is not self._saved

    @property
    def saved_step(self) -> int | None:
        """After how many edits of the history it is as in its file; `None` where no step is."""
        if self._ever_unsaved or (self.path is None and self._saved is None):
            return None
        return self.history.step_of(self._saved)

    # -- changing -----------------------------------------------------------------------------------------------
    def do(self, edit: Edit) -> None:
        """Change the drawing. Raises `EditError` and changes nothing when it cannot be done."""
        if self.read_only:
            raise EditError(_("The drawing is open to read only: {why}").format(why=self.read_only))
        self._after(self.history.do(edit), "do")

    def undo(self) -> None:
        """Take back the last edit, if there is one."""
        edit = self.history.undo()
        if edit is not None:
            self._after(edit, "undo")

    def redo(self) -> None:
        """Do again what was taken back, if there is something."""
        edit = self.history.redo()
        if edit is not None:
            self._after(edit, "redo")

    def _after(self, edit: Edit, how: Literal["do", "undo", "redo"]) -> None:
        self._behind.update(touched(edit))
        self.figures.forget()
        self._drop_layer()
        if self.journal is not None:
            self.journal.record(edit, self.snapshot, self.installation.last_id, how)
        here = tuple(item for item in self.selection if self.find(item) is not None)
        lost_selection, self.selection = here != self.selection, here
        if self.condition and self.condition not in self.installation.tables["conditions"]:
            self.set_condition("")
        if self.sheet not in self.installation.tables["sheets"]:
            self.turn_to(next(iter(self.sheets()), ""))
        for gone in self.pictures.keys() - self.installation.tables["sheets"].keys():
            del self.pictures[gone]
        if self.judge is not None:
            self.judge.edit(edit)
        self.changed.emit(Change(touched(edit), edit.words, how))
        if lost_selection:
            self.selected.emit()
        self.headed.emit()

    # -- what is looked at --------------------------------------------------------------------------------------
    def select(self, *items: str) -> None:
        """Choose records; what does not exist is left out."""
        wanted = tuple(dict.fromkeys(item for item in items if self.find(item) is not None))
        if wanted != self.selection:
            self.selection = wanted
            self.selected.emit()

    def turn_to(self, sheet: str) -> None:
        """Show another sheet."""
        if sheet != self.sheet:
            self.sheet = sheet
            self._drop_layer()
            self._tell_view()
            self.turned_to.emit()

    def set_condition(self, condition: str) -> None:
        """Show another operating condition, "" as drawn; a state that is shown is left."""
        if condition != self.condition or self.state is not None:
            self.condition, self.state = condition, None
            self.live = None
            self._drop_layer()
            self._tell_view()
            self.conditioned.emit()

    def show_state(
        self,
        positions: Mapping[str, str],
        title: str,
        running: Iterable[str] | None = None,
        marks: Iterable[str] = (),
        gone: Iterable[str] = (),
        silent: Iterable[str] = (),
    ) -> None:
        """Show the drawing with switches in other positions, all others as they stand now; nothing is changed.

        `running`: the sources that run; `None`: any may. `marks`: ids of what is to be marked. `gone`: what joins and
        gives nothing; `silent`: what gives nothing and joins as before.
        """
        standing = positions_shown(self.snapshot(), self.condition, self._told_state) | dict(positions)
        runs = None if running is None else tuple(running)
        state = State(tuple(sorted(standing.items())), runs, tuple(marks), tuple(gone), tuple(silent))
        self._show_state(ShownState(title, state))

    def end_state(self) -> None:
        """Back to the condition that was shown before."""
        if self.state is not None:
            self._show_state(None)

    def move_in_state(self, equipment: str, position: str) -> None:
        """Move a switch in the state that is shown."""
        if self.state is not None:
            moved = dict(self.state.state.positions) | {equipment: position}
            state = msgspec.structs.replace(self.state.state, positions=tuple(sorted(moved.items())))
            self._show_state(self.state._replace(state=state))

    def standing(self) -> dict[str, str]:
        """Where everything that has positions stands in what is shown."""
        return positions_shown(self.snapshot(), self.condition, self._told_state)

    def _show_state(self, shown: ShownState | None) -> None:
        if shown != self.state:
            other = (None if shown is None else shown.state) != self._told_state
            self.state = shown
            if other:
                self.live = None
                self._drop_layer()
                self._tell_view()
            self.conditioned.emit()

    @property
    def _told_state(self) -> State | None:
        return None if self.state is None else self.state.state

    def set_view(self, view: str) -> None:
        """Show the drawing before, during or after the work, or one status of it; nothing is changed."""
        if view != self.view and view in VIEWS:
            self.view = view
            self._drop_layer()
            self._tell_view()
            self.viewed.emit()

    def want_layer(self, what: str) -> None:
        """Have figures laid over the sheet, "" none."""
        if what != self.wanted_layer:
            self.wanted_layer = what
            self._drop_layer()
            self._tell_view()

    def _tell_view(self) -> None:
        if self.judge is not None:
            # what flows is worked out for conditions: over a state that none stores no figures lie
            layer = self.wanted_layer if self.state is None else ""
            self.judge.view(self.sheet, self.condition, layer, self._told_state, self.view)

    def _drop_layer(self) -> None:
        """What lies over the sheet is not true any more: it goes at once."""
        if self.layer is not None:
            self.layer = None
            self.layered.emit()

    # -- what the study process tells ----------------------------------------------------------------------------
    def take_judge(self, judge: Judge) -> None:
        """Have the drawing judged from now on."""
        self.judge = judge
        judge.judged.connect(self._judged)
        judge.drawn.connect(self._drawn)
        judge.lit.connect(self._lit)
        judge.figured.connect(self._figured)
        judge.layered.connect(self._layered)
        judge.sized.connect(self.sized)
        judge.offered.connect(self.offered)
        judge.explained.connect(self.explained)
        judge.measured.connect(self.measured)
        judge.exampled.connect(self.exampled)
        judge.switched.connect(self.switched)
        judge.wanting.connect(self._open_judge)
        self._tell_view()
        self._open_judge()

    def _open_judge(self) -> None:
        if self.judge is not None:
            self.judge.open(self.snapshot(), self.installation.last_id, "" if self.folder is None else str(self.folder))

    def judge_anew(self) -> None:
        """Have all judged and drawn again: what it is judged by has changed outside of the drawing."""
        self._open_judge()

    def _judged(self, judgement: Judgement) -> None:
        self.judgement = judgement
        self.judged.emit(judgement)

    def _drawn(self, picture: SheetPicture) -> None:
        if picture.sheet in self.installation.tables["sheets"]:
            self.pictures[picture.sheet] = picture
            self.drawn.emit(picture)

    def _lit(self, live: LiveParts) -> None:
        if live.condition == self.condition:
            self.live = live
            self.lit.emit(live)

    def _figured(self, told: FigureAnswer) -> None:
        self.figures.take(told)
        self.figured.emit()

    def _layered(self, layer: Layer) -> None:
        if (layer.sheet, layer.condition, layer.what) == (
            self.sheet,
            self.condition,
            self.wanted_layer,
        ) and self.state is None:
            self.layer = layer
            self.layered.emit()

    # -- the file -----------------------------------------------------------------------------------------------
    def saved_as(self, path: Path, sha256: str) -> None:
        """The drawing now stands in a file as it is."""
        before = self.folder
        self.path, self.sha256 = path, sha256
        self._saved, self._ever_unsaved = self.history.mark, False
        if before != self.folder and self.snapshot().settings.book.endswith(
            ENDING
        ):  # a yard's own book is looked for beside it
            self._open_judge()
        self.headed.emit()

    def recovered(self) -> None:
        """What is shown came out of a recovery journal and stands in no file yet."""
        self._ever_unsaved = True
        self.headed.emit()

    def handed_on(self) -> Document:
        """Another on the same drawing, for another window: history, file, journal and lock go over to it."""
        made = Document(self.installation, self.path, self.sha256)
        made.history, made.read_only = self.history, self.read_only
        made._saved, made._ever_unsaved = self._saved, self._ever_unsaved
        made.sheet, made.selection = self.sheet, self.selection
        made.condition, made.state, made.wanted_layer = self.condition, self.state, self.wanted_layer
        made.survey, made.photographs_at = self.survey, self.photographs_at
        made.journal, self.journal = self.journal, None
        made.lock, self.lock = self.lock, None
        return made
