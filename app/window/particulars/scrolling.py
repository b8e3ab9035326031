"""What scrolls on the page, and texts over several lines."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QSize, Qt, QTimer
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

__all__ = ["Inside", "wrapping"]


class Inside(QWidget):
    """What scrolls. Its height hangs on its width, which Qt asks for a round too early when something opens or closes.

    It is as high as its texts are at its width: by itself Qt would keep room for them at the narrowest.
    """

    def __init__(self) -> None:
        super().__init__()
        self._again = QTimer(self)
        self._again.setSingleShot(True)
        self._again.timeout.connect(self._fit)

    def minimumSizeHint(self) -> QSize:
        """Its width alone."""
        return QSize(super().minimumSizeHint().width(), 0)

    def event(self, event: QEvent) -> bool:
        """Once its layout has settled, the room it takes is asked for again."""
        if event.type() == QEvent.Type.LayoutRequest:
            self._again.start(0)
        return super().event(event)

    def _fit(self) -> None:
        if self.layout().totalHeightForWidth(self.width()) != self.height():
            self.updateGeometry()


def wrapping(label: QLabel) -> QLabel:
    """A label of plain text over as many lines as it needs."""
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
    return label
