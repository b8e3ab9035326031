"""Make the README's picture of the window: the ketch, judged, at a finding.

QT_QPA_PLATFORM=offscreen python tests/samples/make_window_picture.py [FILE]
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
import time
from pathlib import Path

KETCH = Path(__file__).parents[2] / "samples/ketch"
SIZE = (1360, 850)
PATIENCE_S = 60


def main() -> int:
    """Open the window, wait for the notes, keep what is seen."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    with tempfile.TemporaryDirectory() as home:
        for name in ("HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME"):
            os.environ[name] = home
        drawing = Path(home) / "ketch.linewright"
        shutil.copyfile(KETCH / "ketch.linewright", drawing)
        return _picture(drawing, Path(sys.argv[1]) if len(sys.argv) > 1 else KETCH / "window.png")


def _picture(drawing: Path, out: Path) -> int:
    from PySide6.QtWidgets import QApplication

    from app.window.start import Desk, set_up

    application = QApplication([])
    set_up(application)
    desk = Desk()
    desk.settings.set("page", "")
    window = desk.open_path(drawing)
    assert window is not None
    window.resize(*SIZE)
    document = window.document
    _until(application, lambda: document.judgement is not None and len(document.pictures) == len(document.sheets()))
    window.show_page("notes")
    judgement = document.judgement
    assert judgement is not None
    key = next(f.key for f in judgement.result.findings if judgement.numbers[f.key] == 1)
    window.pages.notes().show_finding(key)
    window.show_finding(key)
    _for(application, 2.5)  # the flash at the thing is over
    window.board.fit()
    _for(application, 0.5)
    seen = window.grab().toImage()
    with tempfile.TemporaryDirectory() as folder:
        raw = str(Path(folder) / "window.png")
        seen.save(raw)
        from PIL import Image

        Image.open(raw).convert("RGB").quantize(colors=128, method=2, dither=0).save(out, optimize=True)
    window.leaving = True
    window.close()
    _for(application, 0.2)
    return 0


def _until(application: object, done: object) -> None:
    end = time.monotonic() + PATIENCE_S
    while not done():  # type: ignore[operator]  # a question
        application.processEvents()  # type: ignore[attr-defined]  # a QApplication
        assert time.monotonic() < end, "the notes did not come"


def _for(application: object, seconds: float) -> None:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        application.processEvents()  # type: ignore[attr-defined]  # as above


if __name__ == "__main__":
    sys.exit(main())
