"""Run under the guard: a window on the drawing named, the pages named shown, else all and things chosen; told as JSON.

Told is what a widget reads as HTML though a person wrote it: labels, and what stands in pages that are HTML; and
whether a tool tip is plain text.
"""

from __future__ import annotations

import json
import re
import sys
import time
from typing import Any

from PySide6.QtCore import QPoint
from PySide6.QtGui import Qt, QTextDocument
from PySide6.QtWidgets import QAbstractItemView, QApplication, QLabel, QTextBrowser, QToolTip, QWidget

from app.window import start
from app.window.pages import Pages

Told = dict[str, set[str]]
MARKS = ("img src", "tern.example", "<script")


def _is_rich(text: str) -> bool:
    return Qt.mightBeRichText(text) and ("<img" in text or "<script" in text)


def _look(window: Any, where: str, told: Told) -> None:
    for widget in [window, *window.findChildren(QWidget)]:
        name = f"{where}: {type(widget).__name__} {widget.objectName()}"
        auto = isinstance(widget, QLabel) and widget.textFormat() == Qt.TextFormat.AutoText
        if auto and _is_rich(widget.text()):
            told["label"].add(f"{name}: {widget.text()[:60]}")
        if isinstance(widget, QTextBrowser):
            text = widget.toPlainText()
            told["seen"].update(mark for mark in MARKS if mark in text)
            if "tern.example" in _links(widget.document()) or re.search("<img[^>]*passwd", widget.toHtml()):
                told["page"].add(name)


def _links(document: QTextDocument) -> str:
    block, found = document.begin(), []
    while block.isValid():
        found.extend(part.format.anchorHref() for part in block.textFormats() if part.format.isAnchor())
        block = block.next()
    return " ".join(found)


def _until(is_so: Any, seconds: float = 60.0) -> None:
    last = time.monotonic() + seconds
    while not is_so():
        assert time.monotonic() < last, "nothing came of it"
        QApplication.processEvents()
        time.sleep(0.005)


def main() -> None:
    application = QApplication(["linewright"])
    start.set_up(application)
    desk = start.Desk()
    desk.wear_look()
    judged: list[object] = []
    window = desk.open_path(sys.argv[1])
    assert window is not None
    window.document.judged.connect(lambda *_told: judged.append(1))
    window.resize(1500, 950)
    _until(lambda: judged)
    told: Told = {"label": set(), "tip": set(), "page": set(), "seen": set()}
    every = sorted(each.removeprefix("_make_") for each in dir(Pages) if each.startswith("_make_"))
    pages = sys.argv[2:] or every
    assert set(pages) <= set(every)
    for page in pages:
        window.show_page(page)
        for _turn in range(4):
            QApplication.processEvents()
        _look(window.pages.currentWidget(), page, told)
    window.show_page("notes")
    lines = window.pages.currentWidget().findChildren(QAbstractItemView)
    for view in lines:
        for row in range(5):
            view.setCurrentIndex(view.model().index(row, 0))
            QApplication.processEvents()
            _look(window.pages.currentWidget(), "notes", told)
    snapshot = window.document.snapshot()
    for page in ("particulars", "notes", "why") if pages == every else ():
        window.show_page(page)
        for thing in [*snapshot.equipment, *snapshot.runs][::9]:
            window.document.select(thing)
            QApplication.processEvents()
            _look(window.pages.currentWidget(), f"{page} of {thing}", told)
    _look(window, "the whole window", told)
    QToolTip.showText(QPoint(5, 5), snapshot.vessel.name, window)
    tips = [w for w in application.topLevelWidgets() if w.metaObject().className() == "QTipLabel"]
    told["tip"] = {str(tip.textFormat() == Qt.TextFormat.PlainText) for tip in tips if isinstance(tip, QLabel)}
    title = window.windowTitle()
    window.leaving = True
    window.close()
    print(json.dumps({name: sorted(each) for name, each in told.items()} | {"title": title}))


if __name__ == "__main__":
    main()
