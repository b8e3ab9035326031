"""What the tests of the page of conditions share: the launch, its energy worked out in this process, the page on it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.window.document import Document
from app.window.figures.page import ConditionsPage
from app.worker_figures import fault_figures, flow_figures
from app.worker_messages import EnergyTold, FaultsTold, FlowTold
from engine.books import load as load_book
from engine.files.drawing import load
from engine.study import Study

LAUNCH = Path(__file__).parents[4] / "samples" / "launch" / "launch.linewright"
Tell = Callable[[Document], None]


@pytest.fixture
def tell() -> Tell:
    """Has the figures of a drawing told here and now, as the study process tells them."""

    def told(document: Document) -> None:
        snapshot = document.snapshot()
        study = Study(snapshot, load_book(snapshot.settings.book))
        shown = study.operation(document.condition).condition
        document._figured(FlowTold(1, flow_figures(study.flow(shown))))
        document._figured(EnergyTold(1, study.energy(shown)))
        document._figured(FaultsTold(1, fault_figures(study.faults)))
        for operation in study.operations:
            document._figured(EnergyTold(1, study.energy(operation.condition)))
        QApplication.processEvents()

    return told


@pytest.fixture
def launch() -> Document:
    document = Document(load(LAUNCH).installation, LAUNCH)
    by_name = {record.name: item for item, record in document.snapshot().conditions.items()}
    document.set_condition(by_name["Under way"])
    return document


@pytest.fixture
def page(qtbot: QtBot, launch: Document, tell: Tell) -> ConditionsPage:
    made = ConditionsPage(launch)
    qtbot.addWidget(made)
    made.resize(620, 800)
    made.show()
    qtbot.waitExposed(made)
    made.activateWindow()
    tell(launch)
    return made
