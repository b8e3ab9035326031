"""The title block as it stands on the sheet, to look at while it is written, and to click."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.drawing.title_block import HEIGHT, TitleFields, field_boxes, title_block
from app.window.help.painted import painted
from engine.picture import Box, Picture
from engine.words import _

__all__ = ["BlockPicture"]

_WIDE = 180.0  # mm, of the block
_EDGE = 0.6  # mm round it, so that its frame is whole


class BlockPicture(QWidget):
    """`clicked` tells the field that was clicked."""

    clicked = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("The title block as it stands on the sheet"))
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        policy = QSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setMinimumHeight(60)
        self._fields = TitleFields()
        self._cut: tuple[str, ...] = ()

    def show_fields(self, fields: TitleFields) -> tuple[str, ...]:
        """Show these; returns the captions of fields that the block has no room for."""
        self._fields = fields
        _primitives, self._cut = title_block(self._box(), fields)
        self.setAccessibleDescription(", ".join(str(v) for v in fields if v not in ("", None)))
        self.update()
        return self._cut

    def heightForWidth(self, width: int) -> int:
        """Qt's own name."""
        return round(width * (HEIGHT + 2 * _EDGE) / (_WIDE + 2 * _EDGE))

    def sizeHint(self) -> QSize:
        """Qt's own name."""
        return QSize(340, self.heightForWidth(340))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Qt's own name. As high as its width asks for."""
        super().resizeEvent(event)
        self.setFixedHeight(self.heightForWidth(self.width()))

    def paintEvent(self, event: QPaintEvent) -> None:
        """Qt's own name."""
        primitives, _cut = title_block(self._box(), self._fields)
        picture = Picture(_WIDE + 2 * _EDGE, HEIGHT + 2 * _EDGE, tuple(primitives), "")
        image = painted(picture, self.width() / picture.width, self.devicePixelRatioF())
        painter = QPainter(self)
        painter.drawImage(0, 0, image)
        painter.end()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Qt's own name."""
        name = self.field_at(event.position().x(), event.position().y())
        if event.button() == Qt.MouseButton.LeftButton and name:
            self.clicked.emit(name)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Qt's own name. The fields beside it are what one types into."""
        event.ignore()

    def field_at(self, x: float, y: float) -> str:
        """The field at a point of the picture, "" none."""
        scale = (_WIDE + 2 * _EDGE) / max(1, self.width())
        for name, box in field_boxes(self._box(), self._fields):
            if box.left <= x * scale <= box.right and box.top <= y * scale <= box.bottom:
                return name
        return ""

    @staticmethod
    def _box() -> Box:
        return Box(_EDGE, _EDGE, _EDGE + _WIDE, _EDGE + HEIGHT)
