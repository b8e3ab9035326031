"""Pictures under the sheets of a window: read by a process, shown; told where a file is not as it was."""

from __future__ import annotations

import logging
import sys
import tempfile
from collections import OrderedDict
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import msgspec
from msgspec.structs import replace
from PySide6.QtCore import QObject, QProcess, QTimer, Signal
from PySide6.QtGui import QImage, QPixmap

from app.canvas.underlay import Pixels, UnderPicture
from app.drawing.added.underlay import fitted, path_from, path_of
from app.drawing.changes.underlaying import lay_under, set_under
from app.drawing.placed import paper
from app.window.surroundings import drop_folder, end_now, environment
from engine.edits import Edit
from engine.installation import Underlay
from engine.words import N_, _

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["FAULTS", "PATIENCE_MS", "Picture", "Underlays"]

PATIENCE_MS = 60_000  # for a file to be read
_BYTES = 4 << 20  # of pixels taken in one turn of the event loop
_KEPT = 3  # pictures in memory, the newest
log = logging.getLogger(__name__)

FAULTS = {  # what `reader.py` may say, as a sentence about {name}
    "missing": N_("{name} is not there, or may not be read."),
    "unreadable": N_("{name} is no picture that can be read: photographs (JPEG, PNG, WebP, TIFF) and PDF can."),
    "large": N_("{name} is larger than can be shown; a copy of it with fewer pixels can be laid under the sheet."),
    "locked": N_("{name} is locked by a password; a copy without one can be laid under the sheet."),
    "page": N_("{name} has no page {page}."),
    "disk": N_("{name} cannot be shown: there is no room on the disk for its pixels."),
    "slow": N_("{name} takes longer than a minute to read; it was given up."),
    "ended": N_("{name} could not be read: reading it ended before its time."),
}


class Picture(NamedTuple):
    """A picture as read."""

    pixels: Pixels
    sha256: str
    pages: int
    kind: str  # "photograph" or "pdf"


class _Read(msgspec.Struct, frozen=True):
    """What the reading process tells: a fault, or all the rest. Whatever else it says is no picture."""

    fault: str = ""
    levels: tuple[tuple[str, int, int, int], ...] = ()  # name of the file, width, height, bytes of a row
    width: float = 0.0
    height: float = 0.0
    sha256: str = ""
    pages: int = 0
    kind: str = ""

    @property
    def is_whole(self) -> bool:
        """Whether a picture can be made of it."""
        return bool(self.levels) and self.width > 0 and self.height > 0


class _Reading(QObject):
    """One file being read."""

    done = Signal(object)  # Picture, or a word of FAULTS

    def __init__(self, parent: QObject, path: Path, page: int) -> None:
        super().__init__(parent)
        self.setObjectName("printing")  # by which the desk finds it
        self._told = False
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        self._left: list[tuple[str, int, int, int]] = []
        self._levels: list[QPixmap] = []
        self._said = _Read()
        self._patience = QTimer(self)
        self._patience.setSingleShot(True)
        self._patience.timeout.connect(partial(self._end, "slow"))
        self.process = QProcess(self)
        self.process.setProcessEnvironment(environment())
        self.process.finished.connect(self._finished)
        self.process.errorOccurred.connect(self._failed)
        try:
            self._folder = tempfile.TemporaryDirectory(prefix="linewright-")
        except OSError:
            QTimer.singleShot(0, self, partial(self._end, "disk"))
            return
        arguments = ["-P", "-m", "app.window.underlay.reader", str(path), str(page), self._folder.name]
        self.process.start(sys.executable, arguments)
        self._patience.start(PATIENCE_MS)

    def _failed(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:
            self._end("ended")

    def _finished(self, code: int, status: QProcess.ExitStatus) -> None:
        said = bytes(self.process.readAllStandardOutput().data()).decode(errors="replace").strip()
        try:
            read = msgspec.json.decode(said.splitlines()[-1], type=_Read) if said else _Read()
        except ValueError:
            read = _Read()
        self._said = read
        is_normal = code == 0 and status == QProcess.ExitStatus.NormalExit
        if not is_normal or not (read.fault or read.is_whole):
            told = bytes(self.process.readAllStandardError().data()).decode(errors="replace").strip()
            log.info("a picture could not be read (%d): %s", code, told[-500:])
            self._end("ended")
        elif read.fault:
            self._end(read.fault)
        else:
            self._left = list(read.levels)
            QTimer.singleShot(0, self, self._take_one)

    def _take_one(self) -> None:
        """Little by little: the largest level is some 27 MB."""
        if self._told or self._folder is None:
            return
        if not self._left:
            said = self._said
            pixels = Pixels(said.width, said.height, tuple(self._levels))
            self._end(Picture(pixels, said.sha256, said.pages, said.kind))
            return
        name, width, height, _stride = self._left.pop(0)
        image = QImage(width, height, QImage.Format.Format_RGB32)  # rows of 32-bit pixels follow each other in both
        if image.isNull():
            self._end("large")
            return
        self._take_rows(Path(self._folder.name) / Path(name).name, image, 0)

    def _take_rows(self, path: Path, image: QImage, at: int) -> None:
        """Some rows; once all are there, the next level."""
        if self._told:
            return
        try:
            with path.open("rb") as file:
                file.seek(at)
                data = file.read(min(_BYTES, image.sizeInBytes() - at))
        except OSError:
            data = b""
        if not data:
            self._end("disk")
            return
        image.bits()[at : at + len(data)] = data
        at += len(data)
        if at < image.sizeInBytes():
            QTimer.singleShot(0, self, partial(self._take_rows, path, image, at))
            return
        self._levels.append(QPixmap.fromImage(image))
        QTimer.singleShot(0, self, self._take_one)

    def stop(self) -> None:
        """The window goes: it is given up."""
        self._told = True
        self._put_away()

    def _end(self, what: Picture | str) -> None:
        if not self._told:
            self._told = True
            self._put_away()
            self.done.emit(what)
            self.deleteLater()

    def _put_away(self) -> None:
        self._patience.stop()
        end_now(self.process)
        folder, self._folder = self._folder, None
        drop_folder(folder)


class Underlays(QObject):
    """The pictures under the sheets of a window."""

    shown_changed = Signal()

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window_of = window
        self.document = window.document
        self.under = UnderPicture(window.board)
        self.is_on = True  # whether pictures are shown
        self._kept: OrderedDict[tuple[str, int, int], Picture] = OrderedDict()
        self._faults: dict[tuple[str, int, int], str] = {}
        self._reading: dict[tuple[str, int, int], _Reading] = {}
        self._record: Underlay | None = None
        self._where: tuple[str, Path | None] = ("", None)  # the sheet and the folder it was looked for
        self.document.changed.connect(self._follow)
        self.document.turned_to.connect(self._follow)
        self.document.headed.connect(self._follow)
        QTimer.singleShot(0, self, self._follow)

    # -- what lies there ------------------------------------------------------------------------------------------
    @property
    def record(self) -> Underlay | None:
        """The picture of the sheet that is shown, as the drawing has it."""
        sheet = self.document.installation.get("sheets", self.document.sheet)
        return None if sheet is None else sheet.underlay

    @property
    def picture(self) -> Picture | None:
        """The same as read, `None` while it is not."""
        record = self.record
        return None if record is None else self._kept.get(self._key(record))

    def switch(self, on: bool) -> None:
        """Show pictures or hide them."""
        self.is_on = on
        self._show()
        self.shown_changed.emit()

    def _key(self, record: Underlay) -> tuple[str, int, int]:
        path = path_of(record, self.document.folder)
        try:
            changed = path.stat().st_mtime_ns
        except (OSError, ValueError):
            changed = 0
        return str(path), record.page, changed

    def _follow(self, _change: object = None) -> None:
        """Another sheet, another picture, or the same elsewhere."""
        where = self.document.sheet, self.document.folder
        if self.record is self._record and where == self._where:
            return
        self._record, self._where = self.record, where
        self.look_again()

    def look_again(self) -> None:
        """Show what the sheet has; read it first where that has not been."""
        record = self.record
        self._show()
        self.shown_changed.emit()
        if record is None:
            self._banner(None)
            return
        key = self._key(record)
        if key in self._kept:
            self._told(key)
        elif key not in self._reading:
            self._faults.pop(key, None)
            self._read(key, partial(self._told, key))

    def _read(self, key: tuple[str, int, int], then: Callable[[], None]) -> None:
        reading = _Reading(self, Path(key[0]), key[1])
        self._reading[key] = reading
        reading.done.connect(partial(self._done, key, then))

    def _done(self, key: tuple[str, int, int], then: Callable[[], None], what: Picture | str) -> None:
        self._reading.pop(key, None)
        if isinstance(what, Picture):
            self._kept[key] = what
            self._kept.move_to_end(key)
            while len(self._kept) > _KEPT:
                self._kept.popitem(last=False)
        else:
            self._faults[key] = what
        then()

    def _told(self, key: tuple[str, int, int]) -> None:
        record = self.record
        if record is not None and self._key(record) == key:
            self._banner(record)
            self._show()
            self.shown_changed.emit()

    def _show(self) -> None:
        record, picture = self.record, self.picture
        shown = record is not None and picture is not None and self.is_on
        self.under.show(picture.pixels if picture is not None and shown else None, record if shown else None)

    def _banner(self, record: Underlay | None) -> None:
        """Say so where the file is missing, cannot be read, or is not the one that was laid."""
        banner = self.window_of.banner
        if record is None:
            banner.drop("underlay")
            return
        key, picture = self._key(record), self.picture
        name = Path(record.file).name
        if picture is None:
            fault = self._faults.get(key)
            if fault is None:
                banner.drop("underlay")
                return
            why = _(FAULTS.get(fault, FAULTS["ended"])).format(name=name, page=record.page)
            text = _("The picture under this sheet does not show: {why}").format(why=why)
            self._tell(text, (_("Look for it…"), self.look_for))
        elif record.sha256 and picture.sha256 != record.sha256:
            text = _("{name}, which lies under this sheet, is not what it was when it was laid there.").format(
                name=name
            )
            self._tell(text, (_("Take it as it is"), self.take_as_it_is), (_("Look for another…"), self.look_for))
        else:
            banner.drop("underlay")

    def _tell(self, text: str, *buttons: tuple[str, Callable[[], None]]) -> None:
        self.window_of.banner.tell("underlay", text, *(() if self.document.read_only else buttons))

    # -- what a person does -----------------------------------------------------------------------------------------
    def lay(self, path: Path) -> None:
        """Lay a picture under the sheet that is shown, as large as it fits; then it can be placed."""
        window = self.window_of
        if self.document.read_only:
            window.foot.refuse(_("The drawing is open to read only: {why}").format(why=self.document.read_only))
            return
        if not self.document.sheet:
            window.foot.refuse(_("There is no sheet to lay it under; add one first."))
            return
        record = Underlay(file=path_from(path, self.document.folder))
        key = self._key(record)
        window.foot.say(_("Reading {name} ...").format(name=path.name))
        if key in self._reading:
            return
        self._faults.pop(key, None)
        self._read(key, partial(self._lay, key, record, self.document.sheet))

    def _lay(self, key: tuple[str, int, int], record: Underlay, sheet: str) -> None:
        picture, window = self._kept.get(key), self.window_of
        if picture is None:
            why = FAULTS.get(self._faults.get(key, "ended"), FAULTS["ended"])
            window.foot.refuse(_(why).format(name=Path(record.file).name, page=record.page))
            return
        found = self.document.installation.get("sheets", sheet)
        if found is None:
            return
        pixels = picture.pixels
        record = fitted(
            replace(record, sha256=picture.sha256), pixels.width, pixels.height, paper(found.size).drawing_box
        )
        self.is_on = True
        window.try_edit(partial(lay_under, self.document.snapshot(), sheet, record))
        if sheet == self.document.sheet and self.record is not None:
            from app.window.taking import take_tool

            take_tool(window, "underlay")

    def change(self, words: str, **fields: Any) -> bool:
        """One edit of the picture under the sheet that is shown."""
        made: list[Edit | None] = []

        def edit() -> Edit | None:
            made.append(set_under(self.document.snapshot(), self.document.sheet, words, **fields))
            return made[-1]

        return self.window_of.board.try_edit(edit) and bool(made) and made[-1] is not None

    def take_as_it_is(self) -> None:
        """The file that is there now is the right one."""
        picture = self.picture
        if picture is not None:
            self.change(_("Take the picture under the sheet as it is now"), sha256=picture.sha256)

    def look_for(self) -> None:
        """Choose the file anew; where it lies stays."""
        from app.window.underlay.choosing import ask_file

        path, record = ask_file(self.window_of), self.record
        if path is None or record is None:
            return
        wanted = replace(record, file=path_from(path, self.document.folder))
        key = self._key(wanted)
        if key in self._kept:
            self._found(key, wanted, self.document.sheet)
        elif key not in self._reading:
            self._faults.pop(key, None)
            self._read(key, partial(self._found, key, wanted, self.document.sheet))

    def _found(self, key: tuple[str, int, int], wanted: Underlay, sheet: str) -> None:
        picture = self._kept.get(key)
        if picture is None:
            why = FAULTS.get(self._faults.get(key, "ended"), FAULTS["ended"])
            self.window_of.foot.refuse(_(why).format(name=Path(wanted.file).name, page=wanted.page))
        elif sheet == self.document.sheet and self.record is not None:
            told = _("Say where the picture under the sheet is")
            if not self.change(told, file=wanted.file, sha256=picture.sha256):
                self.look_again()
