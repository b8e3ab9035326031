"""A document or the whole pack written to where the person says, by a process of its own."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QFileDialog

from app.window.ask import Answer, Question
from app.window.handover.making import Making
from engine.files.errors import reason
from engine.words import _, ngettext

if TYPE_CHECKING:
    from app.handover.documents import Maker
    from app.window.handover.page import HandoverPage

__all__ = ["Writing"]

log = logging.getLogger(__name__)


def _forms(is_worded: bool = False) -> tuple[tuple[str, str], ...]:
    return (
        (".pdf", _("Pages, PDF (*.pdf)")),
        *(((".docx", _("Text to go on working on, DOCX (*.docx)")),) if is_worded else ()),
        (".xlsx", _("Tables as a workbook (*.xlsx)")),
        (".csv", _("Tables as text (*.csv)")),
        (".json", _("Tables for programs (*.json)")),
        (".svg", _("Pages, SVG (*.svg)")),
        (".png", _("Pages, PNG (*.png)")),
        (".dxf", _("Pages, DXF (*.dxf)")),
    )


class Writing(QObject):
    """What is being written; one at a time. Nothing stands half written, whatever happens."""

    went = Signal(int, int, str)  # n of m, title
    noted = Signal(object, list)  # where it was written, None where it was stopped; what was said
    refused = Signal(str, list)  # a sentence; what was said

    def __init__(self, page: HandoverPage) -> None:
        super().__init__(page)
        self.page = page
        self._making: Making | None = None
        self._target = Path()
        self._copies = False

    @property
    def is_going(self) -> bool:
        """Whether something is being written."""
        return self._making is not None

    def give_up(self) -> None:
        """The person does not want it any more."""
        if self._making is not None:
            self._making.give_up()

    def write_one(self, maker: Maker) -> bool:
        """Ask where and in what form, then write one document; whether it has begun."""
        asked = self.page.arguments([maker.name])
        if asked is None:
            return False
        forms = _forms(maker.is_worded)
        name = self.page.folder_of / f"{self.page.stem} - {maker.name}.pdf"
        title = _("Write: {title}").format(title=_(maker.title))
        text, form = QFileDialog.getSaveFileName(
            self.page.window(), title, str(name), ";;".join(words for _ending, words in forms)
        )
        if not text:
            return False
        path = Path(text)
        if path.suffix.lower() not in {ending for ending, _words in forms}:  # never over a drawing, whatever was typed
            ending = next((ending for ending, words in forms if words == form), ".pdf")
            path = path.with_name(path.name + ending)
            if path.exists() and not self._may_write_over([path]):
                return False
        return self._start(("paper", maker.name), path.name, asked, path, copies=True)

    def write_zip(self, names: list[str]) -> bool:
        """Ask for a file, then write the pack into it; whether it has begun."""
        asked = self._pack(names)
        if asked is None:
            return False
        name = self.page.folder_of / f"{self.page.stem} - hand-over.zip"
        text, _form = QFileDialog.getSaveFileName(
            self.page.window(), _("Write the pack as a zip file"), str(name), _("Zip files (*.zip)")
        )
        if not text:
            return False
        path = Path(text).absolute()
        if path.suffix.lower() != ".zip":
            path = path.with_name(path.name + ".zip")
            if path.exists() and not self._may_write_over([path]):
                return False
        return self._start(("pack",), str(path), asked, path)

    def write_folder(self, names: list[str]) -> bool:
        """Ask for a folder, then write the pack into it, or into one of its own in it; whether it has begun."""
        from app.handover.placing import PlaceError, place_for

        asked = self._pack(names)
        if asked is None:
            return False
        text = QFileDialog.getExistingDirectory(
            self.page.window(), _("Write the pack into a folder"), str(self.page.folder_of)
        )
        if not text:
            return False
        path = Path(text).absolute()
        try:
            place_for(path)
        except PlaceError:  # somebody's files lie there: the pack gets a folder of its own among them
            path = path / f"{self.page.stem} - hand-over"
        except OSError as fault:
            self.refused.emit(_("{path} cannot be used: {why}").format(path=path, why=reason(fault)), [])
            return False
        return self._start(("pack",), str(path), asked, path)

    def _pack(self, names: list[str]) -> tuple[str, ...] | None:
        asked = self.page.arguments(names)
        if asked is None:
            return None
        return (*asked, *(f"--only={name}" for name in names))

    def _start(
        self, command: tuple[str, ...], target: str, asked: tuple[str, ...], path: Path, *, copies: bool = False
    ) -> bool:
        self._target, self._copies = path, copies
        self._making = making = Making(self.page, self.page.document)
        making.went.connect(self.went)
        making.made.connect(self._made)
        making.failed.connect(self._failed)
        making.stopped.connect(self._stopped)
        making.start(command, target, asked, None if copies else path.parent)
        return self._making is not None  # where it could not even be begun that has been told

    def _made(self, said: list[str]) -> None:
        making = self._making
        if making is None:
            return
        where: Path = self._target
        told = [line.replace(str(making.out), str(where.parent)).removeprefix("linewright: ") for line in said]
        if self._copies:
            others = [where.with_name(file.name) for file in making.files()]
            there = [path for path in others if path != where and path.exists()]
            if there and not self._may_write_over(there):
                self._stopped()
                return
            try:
                written = making.write_beside(where)
            except OSError as fault:
                self._failed(reason(fault))
                return
            if len(written) > 1:
                told.insert(0, ngettext("{n} file: {names}", "{n} files: {names}", len(written)).format(
                    n=len(written), names=", ".join(path.name for path in written[:4]) + (" …" if written[4:] else "")
                ))  # fmt: skip
        self._end()
        self.noted.emit(where, told)

    def _stopped(self) -> None:
        self._end()
        self.noted.emit(None, [])

    def _failed(self, why: str) -> None:
        self._end()
        why = why.removeprefix(f"{self._target}: ")  # its name is said
        self.refused.emit(_("{name} is not written: {why}").format(name=self._target.name, why=why), [])

    def _end(self) -> None:
        making, self._making = self._making, None
        if making is not None:
            making.put_away()

    def _may_write_over(self, paths: list[Path]) -> bool:
        from app.window import ask as asking

        names = ", ".join(path.name for path in paths[:4]) + (" …" if paths[4:] else "")
        question = Question(
            _("The file exists"),
            ngettext("{names} exists already.", "{names} exist already.", len(paths)).format(names=names),
            (Answer("over", _("Write over it"), loses=True), Answer("stay", _("Do not write"))),
            "stay",
        )
        return asking.ask(self.page.window(), question) == "over"
