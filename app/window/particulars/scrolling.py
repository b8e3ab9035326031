"""What scrolls on the page, and texts over several lines."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QSize, Qt, QTimer
from PySide6.QtWidgets import QApplication, QLabel, QScrollArea, QSizePolicy, QWidget

__all__ = ["Inside", "bring_into_sight", "wrapping"]


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


def bring_into_sight(widget: QWidget) -> None:
    """Scroll until all of a part of the page is seen that has just grown."""
    area = widget.parentWidget()
    while area is not None and not isinstance(area, QScrollArea):
        area = area.parentWidget()
    if area is None or not widget.isVisible():
        return
    for _n in range(2):  # sizes are known once the layout has run; one that changes asks for another round
        QApplication.sendPostedEvents(None, QEvent.Type.LayoutRequest.value)
        area.widget().updateGeometry()
    QApplication.sendPostedEvents(None, QEvent.Type.LayoutRequest.value)
    area.ensureWidgetVisible(widget, 0, 20)


def wrapping(label: QLabel) -> QLabel:
    """A label of plain text over as many lines as it needs."""
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
    return label
