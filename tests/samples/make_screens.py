"""Pictures of the window in its main states, to be looked at: every look, size and language beside each other.

    python tests/samples/make_screens.py DIR [--samples ketch ...] [--looks light dark contrast]
        [--scales 100 200 screen200] [--languages en de] [--states notes ...]

Of each look, scale and language a process of its own is started, one after the other: a drawing opened from a copy,
with settings of its own, and nobody at the window. A scale is the size of text in percent as the person sets it;
`screen200` is a screen of twice as many dots. Pictures go to `DIR/SAMPLE-LOOK-SCALE-LANGUAGE-STATE.png`. Exit code 1
where a state could not be shown; the others are made all the same.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
import time
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
SAMPLES = ("ketch", "launch", "workboat", "surveyed")
FOLDERS = {"surveyed": "workboat"}  # of samples that stand in another's folder
LOOKS = ("light", "dark", "contrast")
SCALES = ("100", "200", "screen200")
LANGUAGES = ("en", "de")
SIZE = (1500, 950)  # dots of a screen at its usual scale
PATIENCE_S = 90
CALM_S = 1.0  # what is worked out beside the window comes late


def main() -> int:
    """Read what is wanted, and start a process for each look, scale and language."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("folder", type=Path, metavar="DIR")
    parser.add_argument("--samples", nargs="+", default=["ketch"], choices=SAMPLES)
    parser.add_argument("--looks", nargs="+", default=LOOKS, choices=LOOKS)
    parser.add_argument("--scales", nargs="+", default=SCALES, choices=SCALES)
    parser.add_argument("--languages", nargs="+", default=LANGUAGES, choices=LANGUAGES)
    parser.add_argument("--states", nargs="+", default=list(STATES), choices=list(STATES), metavar="STATE")
    parser.add_argument("--one", action="store_true", help=argparse.SUPPRESS)  # this is the process of one of them
    asked = parser.parse_args()
    asked.folder.mkdir(parents=True, exist_ok=True)
    each = [(s, k, c, g) for s in asked.samples for k in asked.looks for c in asked.scales for g in asked.languages]
    if asked.one:
        return _one(asked.folder, *each[0], asked.states)
    return max([_start(asked.folder, *combination, asked.states) for combination in each])


def _start(folder: Path, sample: str, look: str, scale: str, language: str, states: list[str]) -> int:
    words = [str(folder), "--samples", sample, "--looks", look, "--scales", scale, "--languages", language]
    with tempfile.TemporaryDirectory() as home:
        surroundings = os.environ | dict.fromkeys(("HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME"), home)
        surroundings |= {
            "QT_QPA_PLATFORM": "offscreen",
            "QT_SCALE_FACTOR": "2" if scale.startswith("screen") else "1",
            "LINEWRIGHT_LANGUAGE": language,
            "PYTHONPATH": os.pathsep.join(filter(None, (str(ROOT), os.environ.get("PYTHONPATH", "")))),
        }
        command = [sys.executable, __file__, *words, "--one", "--states", *states]
        return int(subprocess.run(command, env=surroundings, check=False).returncode != 0)


def _one(folder: Path, sample: str, look: str, scale: str, language: str, states: list[str]) -> int:
    from PySide6.QtWidgets import QApplication

    from app import words
    from app.window.start import Desk, set_up

    words.load(language)
    application = QApplication([])
    set_up(application)
    desk = Desk()
    values = {"page": "", "look": look, "text_percent": int(scale) if scale.isdigit() else 100, "reduced_motion": True}
    for name, value in values.items():
        desk.settings.set(name, value)
    desk.wear_look()
    drawing = Path(desk.settings.path).parent / f"{sample}.linewright"
    drawing.parent.mkdir(parents=True, exist_ok=True)
    source = ROOT / "samples" / FOLDERS.get(sample, sample)
    shutil.copyfile(source / drawing.name, drawing)
    if (source / "photographs").is_dir():
        shutil.copytree(source / "photographs", drawing.parent / "photographs", dirs_exist_ok=True)
    work = Screens(application, desk, drawing)
    code = 0
    for state in states:
        file = folder / f"{sample}-{look}-{scale}-{language}-{state}.png"
        try:
            STATES[state](work)
            work.keep(file)
        except Exception:
            traceback.print_exc()
            print(f"{file.name} could not be made", file=sys.stderr)
            code = 1
    work.close()
    return code


class Screens:
    """One window, brought into one state after the other."""

    def __init__(self, application: Any, desk: Any, drawing: Path) -> None:
        self.application, self.desk, self.drawing = application, desk, drawing
        self.first: Any = None
        self._window: Any = None

    @property
    def window(self) -> Any:
        """The window on the sample, opened and judged when it is first wanted."""
        if self._window is None:
            self._window = window = self.desk.open_path(self.drawing)
            window.resize(*SIZE)
            self._judged(window.document)
            window.board.fit()
            self.calm()
        return self._window

    def until(self, done: Callable[[], bool]) -> None:
        """Wait for something."""
        end = time.monotonic() + PATIENCE_S
        while not done():
            self.application.processEvents()
            assert time.monotonic() < end, "what was waited for did not come"

    def _judged(self, document: Any) -> None:
        self.until(lambda: document.judgement is not None and len(document.pictures) == len(document.sheets()))

    def calm(self, seconds: float = CALM_S) -> None:
        """Let what was begun come to an end."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            self.application.processEvents()
            time.sleep(0.005)

    def keep(self, file: Path) -> None:
        """What is seen now, as a file."""
        window = self.first or self.window
        self.calm()
        assert window.grab().save(str(file)), file
        if self.first is not None:
            self._shut(self.first)
            self.first = None

    def _shut(self, window: Any) -> None:
        window.leaving = True
        window.close()
        self.calm(0.3)

    def close(self) -> None:
        """Put the window away, and its process."""
        if self._window is not None:
            self._shut(self._window)

    # -- states -----------------------------------------------------------------------------------------------------
    def first_sheet(self) -> None:
        """The first start."""
        from app.window.first.sheet import open_first

        self.first = open_first(self.desk)
        self.first.resize(*SIZE)
        self._judged(self.first.document)
        self.first.board.fit()

    def sheet(self) -> None:
        """The sheet alone."""
        self.page("")
        self.window.board.fit()

    def sheet_in_look(self) -> None:
        """The sheet in the inks of the window, figures over it."""
        self._inks("look")
        self.page("")
        self.window.show_layer("flow")
        self.calm()

    def _inks(self, which: str) -> None:
        self.desk.settings.set("sheet_in", which)
        self.desk.wear_look()

    def placing(self) -> None:
        """A phrase typed over the sheet, and how it is read."""
        from app.window.quick.fast import fast_of

        self.window.show_layer("")
        self._inks("paper")
        self.page("")
        fast = fast_of(self.window.board)
        fast.place()
        fast.line.line.setText("class t 300 a")

    def page(self, name: str) -> None:
        """A side page, and nothing chosen."""
        from app.window.quick.fast import fast_of

        window = self.window
        fast = fast_of(window.board)
        if fast.is_open:
            fast.line.close_line()
        window.document.select()
        window.show_page(name)

    def particulars(self) -> None:
        """A fuse that is chosen."""
        self.page("particulars")
        self.window.reveal(self._fuse())

    def _fuse(self) -> str:
        snapshot = self.window.document.snapshot()
        fuses = [item for item, piece in snapshot.equipment.items() if type(piece).__name__ == "Fuse"]
        return min(fuses, key=lambda item: (len(snapshot.name(item)), snapshot.name(item)))

    def notes(self) -> None:
        """The first finding, and where it is."""
        self.page("notes")
        judgement = self.window.document.judgement
        key = next(f.key for f in judgement.result.findings if judgement.numbers[f.key] == 1)
        self.window.pages.notes().show_finding(key)
        self.window.show_finding(key)

    def find(self) -> None:
        """A word that is looked for."""
        self.page("seeking")
        self.window.pages._page("seeking").line.setText("300 A")

    def handover(self) -> None:
        """What is handed over, with its pages to look at."""
        self.page("handover")
        self.calm(4 * CALM_S)

    def deficiencies(self) -> None:
        """What was noted, the first of it chosen."""
        self.page("deficiencies")
        noted = self.window.document.snapshot().deficiencies
        if noted:
            self.window.document.select(next(iter(noted)))
        self.calm()

    def comparing(self) -> None:
        """The drawing beside the one it was made from."""
        source = ROOT / "samples" / "workboat" / "workboat.linewright"
        self.page("comparing")
        page = self.window.pages.currentWidget()
        page.compare(source)
        self.until(lambda: page.comparing is None or not (page.comparing.is_working or page.comparing.is_behind))
        self.calm()

    def history(self) -> None:
        """Some edits, one taken back."""
        self.page("")
        window = self.window
        window.document.select(self._fuse())
        window.board.setFocus()
        for name in ("mirror", "turn", "undo"):
            window.menus.of[name].trigger()
        window.show_page("history")


def _page(name: str) -> Callable[[Screens], None]:
    return lambda work: work.page(name)


STATES: dict[str, Callable[[Screens], None]] = {
    "first": Screens.first_sheet,
    "sheet": Screens.sheet,
    "sheet-in-look": Screens.sheet_in_look,
    "placing": Screens.placing,
    "equipment": _page("kinds"),
    "particulars": Screens.particulars,
    "notes": Screens.notes,
    "table": _page("table"),
    "conditions": _page("conditions"),
    "handover": Screens.handover,
    "preferences": _page("preferences"),
    "find": Screens.find,
    "sheets": _page("sheets"),
    "title-block": _page("titling"),
    "revisions": _page("revisions"),
    "deficiencies": Screens.deficiencies,
    "walk": _page("walk"),
    "readings": _page("readings"),
    "tracing": _page("tracing"),
    "surveys": _page("surveys"),
    "merging": _page("merging"),
    "comparing": Screens.comparing,
    "history": Screens.history,  # last: it changes the drawing
}


if __name__ == "__main__":
    sys.exit(main())
