"""What documents are made from: one drawing, judged once, and what was asked for."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from app.drawing.frame import text_size
from app.drawing.title_block import TitleFields, judged_by, title_fields
from app.handover.labels.wanted import LabelsWanted
from app.handover.parts.wanted import PartsWanted, QuotationWanted
from app.handover.survey.wanted import SurveyWanted
from engine.books import load, load_beside
from engine.check import CheckResult, check
from engine.installation.model import Snapshot
from engine.pausing import pause
from engine.rules.own import Heard
from engine.study import Study
from engine.tracing.resting import with_resting
from engine.words import _

__all__ = ["Job", "Options"]


class Options(NamedTuple):
    """What may be asked of documents. Every one has a usual answer."""

    size: str = ""  # paper of the sheets, "" each sheet's own
    dpi: int = 150  # of PNG
    mono: bool = False  # black and grey instead of colours
    lay_out: bool = False  # sheets are drawn anew for `size`, else they keep their own paper where it is too small
    view: str = "all"  # of `app.drawing.whole.in_view.VIEWS`
    tile: str = ""  # printer's paper that large sheets are cut to, "" uncut
    parts: PartsWanted = PartsWanted()  # drums, spares, heat-shrink
    quotation: QuotationWanted = QuotationWanted()  # prices, taxes, validity, customer
    schedules: tuple[str, ...] = ()  # names of those wanted, () all
    calculations: tuple[str, ...] = ()  # sections wanted, () all
    door_size: tuple[float, float] = (148.0, 210.0)  # mm, what panel-door cards are cut to (A5)
    door_enclosure: str = ""  # the panel whose table they show, "" all
    door_film: bool = False  # mirrored, for film read from the back
    labels: LabelsWanted = LabelsWanted()  # which, on what sheets
    survey: SurveyWanted = SurveyWanted()  # which survey is reported, where its photographs are


class Job:
    """One drawing to be handed over. Nothing here depends on the day or the machine.

    `before` is the drawing as last issued, where there is one to compare with; `file_name` the drawing's own, without
    its folder.
    """

    def __init__(
        self,
        study: Study,
        result: CheckResult,
        *,
        file_name: str = "",
        before: Snapshot | None = None,
        options: Options | None = None,
    ) -> None:
        self.study = study
        self.result = result
        self.snapshot = study.snapshot
        self.file_name = file_name
        self.before = before
        self.options = options or Options()

    @classmethod
    def of(
        cls,
        snapshot: Snapshot,
        *,
        book: str | None = None,
        own: Heard | None = None,
        file_name: str = "",
        before: Snapshot | None = None,
        options: Options | None = None,
        go_on: Callable[[], object] = pause,
    ) -> Job:
        """Judge a snapshot by a book, its own where none is named, proving what passes. Raises `BookError`."""
        study = Study(snapshot, load(book) if book else load_beside(snapshot.settings.book, None), proving=True)
        result = check(snapshot, study=study, proving=True, own=own, go_on=go_on)
        result = with_resting(result, snapshot, study.book, go_on=go_on)
        return cls(study, result, file_name=file_name, before=before, options=options)

    @property
    def text_size(self) -> str:
        """Paper for text and tables: Letter where the drawing's is North American, else A4."""
        return text_size(self.options.size or self.snapshot.settings.sheet_size)

    def fields(self, title: str, document_type: str = "") -> TitleFields:
        """The title block of a document: the drawing's own fields, its title below, what the check found."""
        base = title_fields(self.snapshot)
        own = ", ".join(part for part in (base.title, base.supplementary_title) if part)
        named = base._replace(title=title, supplementary_title=own, document_type=document_type or base.document_type)
        return judged_by(named, self.result)

    @property
    def boat(self) -> str:
        """Her name, or that none is recorded."""
        return self.snapshot.vessel.name or _("vessel without a name")
