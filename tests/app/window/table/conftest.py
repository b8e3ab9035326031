"""What the tests of the table share: a small drawing, judged in this process, and the page on it."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from pytestqt.qtbot import QtBot

from app.judgement import Judgement
from app.window.document import Document
from app.window.table import TablePage
from engine.builder import Builder
from engine.check import check


@pytest.fixture
def judge() -> Callable[[Document], None]:
    """Has a drawing judged here and now."""

    def judged(document: Document) -> None:
        result = check(document.snapshot())
        document._judged(Judgement(0, result, {f.key: n for n, f in enumerate(result.findings, 1)}, {}))

    return judged


@pytest.fixture
def document() -> Document:
    b = Builder(name="Knot")
    b.place("Saloon", "accommodation", 30)
    b.place("Bilge", "wet", 30)
    b.add("battery_bank", "G1", label="House bank", unit_v=12, charge_v=14.4)
    for n, rating in ((1, 10), (2, None), (10, 200)):
        b.add("fuse", f"F{n}", label=f"Circuit {n}", rating_a=rating, rated_dc_v=32)
        b.add("load", f"E{n}", dc_v=12, power_w=20)
        b.run(
            f"W{n}", "G1.pos", f"F{n}.in", length_m=0.1, size="14 AWG", insulation_c=105, bundle=1, places=("Saloon",)
        )
        b.run(f"W{n}0", f"F{n}.out", f"E{n}.in", length_m=2, size="14 AWG", insulation_c=105, places=("Saloon",))
    return Document(b.installation)


@pytest.fixture
def judged(document: Document, judge: Callable[[Document], None]) -> Document:
    judge(document)
    return document


@pytest.fixture
def page(qtbot: QtBot, judged: Document) -> TablePage:
    made = TablePage(judged)
    qtbot.addWidget(made)
    made.resize(1000, 500)
    made.show()
    qtbot.waitExposed(made)
    return made
