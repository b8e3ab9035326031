"""The sheets of a drawing as the window shows them: by owner, and what an edit leaves as it was is not drawn again.

The same strokes as on paper (`app.drawing.sheets`), sorted by what they show. Placing labels is what takes time, so the
body of a sheet is kept with everything it was made from and made again only when some of that has changed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any, NamedTuple

from app.drawing.added.remarks import remarks_on
from app.drawing.figures import FigureWords, Placed, place_figures
from app.drawing.frame import Frame, frame
from app.drawing.in_condition import State, in_condition
from app.drawing.labels import Sight
from app.drawing.notes import Note, collect, numbered
from app.drawing.placed import RunPart, Scene, paper, set_scene
from app.drawing.routes import find_missing
from app.drawing.sheet import Body, draw_sheet
from app.drawing.sheets import Dressed, dress, grid_of, more_notes, pages_of_notes, sheet_fields
from app.drawing.title_block import TitleFields
from app.drawing.whole.in_view import in_view, told_of
from app.judgement import SheetPicture
from engine.installation import Snapshot
from engine.picture import Primitive

if TYPE_CHECKING:
    from engine.check import CheckResult

__all__ = ["Screen"]

_KEPT = 3  # bodies of one sheet: as drawn and in the conditions last looked at


class _Kept(NamedTuple):
    """A body and what it was made from."""

    made_from: Any
    body: Body


class Screen:
    """Draws the sheets of one drawing at one moment after another."""

    def __init__(self, go_on: Callable[[], object] | None = None) -> None:
        self._go_on = go_on  # called now and then; may raise, and then what is asked of it is simply not done
        self.scene = Scene(Snapshot({"sheets": {}, "equipment": {}}, {}))
        self._homes = self.scene  # with everything that is drawn: notes keep number and sheet in every view
        self._snapshot: Snapshot | None = None
        self._shown: Snapshot | None = None
        self._result: CheckResult | None = None
        self._notes: dict[str, list[Note]] = {}
        self._bodies: dict[str, list[_Kept]] = {}
        self._dressed: dict[str, Dressed] = {}
        self._frames: dict[str, tuple[tuple[str, TitleFields], Frame]] = {}
        self._pages_of_notes = 0  # as counted last
        self.bodies_drawn = 0  # for tests and benchmarks

    def set(self, snapshot: Snapshot, condition: str = "", state: State | None = None, view: str = "all") -> None:
        """What is shown from now on: a drawing, its switches as in a condition or a state, before or after the work."""
        whole = in_condition(snapshot, condition, state)
        shown = in_view(whole, view)
        self.scene = set_scene(shown, self.scene if self._shown is not None else None)
        self.scene.view, self.scene.remarks = view, told_of(view, snapshot)
        self._homes = self.scene if shown is whole else set_scene(whole)
        self._snapshot, self._shown, self._result = snapshot, shown, None
        find_missing(self.scene, {item: grid_of(sheet) for item, sheet in self.scene.sheets})
        self._dressed = {}
        self._notes = collect(self._homes, None)  # deficiencies are known before anything is judged
        for table in (self._bodies, self._frames):
            for gone in table.keys() - self._notes.keys():
                del table[gone]

    def note(self, result: CheckResult) -> tuple[dict[str, int], dict[str, str]]:
        """Take a judgement of what is shown: the number of every open finding, the sheet whose margin tells it."""
        self._result = result
        self._notes = collect(self._homes, result)
        self._dressed = {}
        told = numbered(self._homes, result)
        return {t.finding.key: t.number for t in told}, {t.finding.key: t.sheet for t in told}

    @property
    def sheets(self) -> tuple[str, ...]:
        """Ids of the sheets in the order of their numbers."""
        return tuple(item for item, _sheet in self.scene.sheets)

    def count_pages(self) -> bool:
        """Count the pages of notes, every sheet having been drawn; whether the title blocks now say something else."""
        before, drawn = self._pages_of_notes, [self._dressed[item] for item in self.sheets if item in self._dressed]
        self._pages_of_notes = len(pages_of_notes(drawn, self.scene.number))
        return self._pages_of_notes != before

    def picture(self, sheet: str, at: int) -> SheetPicture:
        """The picture of a sheet; the number of pages it names is that of `count_pages`."""
        dressed = self._dress(sheet)
        made = self._frame(sheet, len(self.scene.sheets) + self._pages_of_notes)
        last = more_notes(dressed, len(self.scene.sheets) + 1)
        of = _by_owner((*made.primitives, *dressed.body.primitives, *dressed.notes, *last))
        return SheetPicture(sheet, at, made.width, made.height, of, dressed.note_boxes)

    def figures(self, sheet: str, words: Mapping[str, FigureWords]) -> Placed:
        """Figures over a sheet, off everything that its picture shows."""
        dressed = self._dress(sheet)
        made = dressed.frame
        sight = Sight(sheet, made.size, made.border.left, made.border.top, made.drawing_box.grown(2.5))
        return place_figures(self.scene, sight, dressed.body, dressed.notes, words, self._go_on)

    def _dress(self, sheet: str) -> Dressed:
        dressed = self._dressed.get(sheet)
        if dressed is None:
            dressed = dress(self.scene, sheet, self._body(sheet), self._notes, self._result)
            self._dressed[sheet] = dressed
        return dressed

    # -- what is kept -----------------------------------------------------------------------------------------------
    def _body(self, sheet: str) -> Body:
        made_from = _ingredients(self.scene, sheet)
        kept = self._bodies.setdefault(sheet, [])
        for n, each in enumerate(kept):
            if each.made_from == made_from:
                kept.insert(0, kept.pop(n))
                return each.body
        body = draw_sheet(self.scene, sheet, paper(dict(self.scene.sheets)[sheet].size), self._go_on)
        self.bodies_drawn += 1
        kept.insert(0, _Kept(made_from, body))
        del kept[_KEPT:]
        return body

    def _frame(self, sheet: str, pages: int) -> Frame:
        assert self._shown is not None
        record = dict(self.scene.sheets)[sheet]
        fields = sheet_fields(self.scene, self._result, record.title, self.scene.number[sheet], pages)
        kept = self._frames.get(sheet)
        if kept is None or kept[0] != (record.size, fields):
            kept = self._frames[sheet] = (record.size, fields), frame(record.size, fields)
        return kept[1]


def _ingredients(scene: Scene, sheet: str) -> Any:
    """Everything the body of a sheet is made from, to be compared: it is drawn again when any of it differs."""
    snapshot = scene.snapshot
    parts = scene.parts_on(sheet)
    pieces = scene.on(sheet)
    return (
        dict(scene.sheets)[sheet].size,
        snapshot.settings.units,
        snapshot.settings.symbols,
        pieces,
        [(part, snapshot.runs[part.run], _far(scene, part)) for part in parts],
        # where else what has several symbols stands: told beside each of them
        [scene.of[piece.equipment] for piece in pieces if piece.several],
        [(scene.number[p.placement.sheet], _size(scene, p.placement.sheet)) for p in _elsewhere(scene, sheet)],
        snapshot.interlocks,
        {item: (record.name, record.outline) for item, record in snapshot.enclosures.items()},
        remarks_on(snapshot, sheet),
    )


def _far(scene: Scene, part: RunPart) -> Any:
    """What an arrow tells of the other end of its run."""
    if part.kind == "whole":
        return None
    run = scene.snapshot.runs[part.run]
    far = run.to_end if part.kind == "from" else run.from_end
    piece = scene.pieces.get(part.far)
    where = None
    if piece is not None:
        where = scene.number[piece.placement.sheet], _size(scene, piece.placement.sheet), scene.far_point(part)
    return scene.snapshot.equipment[far.equipment], where


def _elsewhere(scene: Scene, sheet: str) -> list[Any]:
    return [other for piece in scene.on(sheet) if piece.several for other in scene.of[piece.equipment]]


def _size(scene: Scene, sheet: str) -> str:
    return dict(scene.sheets)[sheet].size


def _by_owner(primitives: Iterable[Primitive]) -> dict[str, tuple[Primitive, ...]]:
    """In the order of painting: what belongs to no one first, flags last."""
    some: dict[str, list[Primitive]] = {"": []}
    for primitive in primitives:
        some.setdefault(primitive.owner, []).append(primitive)
    order = sorted(some, key=lambda owner: (owner.startswith("flag:"), owner.startswith("note:")) if owner else ())
    return {owner: tuple(some[owner]) for owner in order}
