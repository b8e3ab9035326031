"""A curve on axes, of path items, in the palette's own colours; its figures in words for a screen reader."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QPainter, QPainterPath, QPalette, QPen, QResizeEvent
from PySide6.QtWidgets import QFrame, QGraphicsPathItem, QGraphicsScene, QGraphicsSimpleTextItem, QGraphicsView, QWidget

from app.window.figures.curves import Curve, ticks
from engine.units import number
from engine.words import _

__all__ = ["Plot"]

_LINES, _EMPTY = 13, 4  # how many lines of type a plot is high, one without a curve
_PAD = 8.0  # px


class Plot(QGraphicsView):
    """Percent over hours. It takes the focus so that its figures can be heard; it cannot be worked."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.curve = Curve("", (), 1.0)
        self.setScene(QGraphicsScene(self))
        self.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setInteractive(False)
        self._set_height()

    def show_curve(self, curve: Curve) -> None:
        """Show another curve."""
        if curve == self.curve:
            return
        self.curve = curve
        self.setAccessibleName(curve.title)
        self.setAccessibleDescription(curve.words)
        self.setToolTip(curve.words)
        self._set_height()
        self._draw()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Qt's own name. Drawn anew in the room there is."""
        super().resizeEvent(event)
        self._draw()

    def changeEvent(self, event: QEvent) -> None:
        """Qt's own name. Drawn anew in another palette or type."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.FontChange):
            self._set_height()
            self._draw()

    def wheelEvent(self, event: object) -> None:
        """Qt's own name. The page scrolls, not the plot."""
        event.ignore()  # type: ignore[attr-defined]  # a QWheelEvent

    def _set_height(self) -> None:
        self.setFixedHeight(self.fontMetrics().height() * (_LINES if self.curve.points else _EMPTY))

    # -- drawing ------------------------------------------------------------------------------------------------
    def _draw(self) -> None:
        scene = self.scene()
        scene.clear()  # nobody holds any of its items
        view = self.viewport().rect()
        scene.setSceneRect(0, 0, view.width(), view.height())
        metrics = self.fontMetrics()
        high = metrics.height()
        plain = self.palette().color(QPalette.ColorRole.Text)
        self.setBackgroundBrush(QBrush(self.palette().color(QPalette.ColorRole.Base)))
        self._write(_PAD, 4, self.curve.title, plain, bold=True)
        left = _PAD + metrics.horizontalAdvance("100 %") + 6
        right, top, bottom = view.width() - 2 * _PAD, 4 + high * 1.8, view.height() - high * 1.6
        if not self.curve.points:
            self._write(_PAD, top, self.curve.words, plain)
            return
        if right - left < 40 or bottom - top < 20:
            return

        def x(hours: float) -> float:
            return left + (right - left) * hours / self.curve.hours

        def y(percent: float) -> float:
            return bottom - (bottom - top) * percent / 100.0

        grid = QPainterPath()
        for share in range(0, 101, 25 if bottom - top > 4 * high else 50):
            grid.moveTo(left, y(share))
            grid.lineTo(right, y(share))
            text = f"{share} %"
            self._write(left - 6 - metrics.horizontalAdvance(text), y(share) - high / 2, text, plain)
        most = max(2, int((right - left) / (metrics.horizontalAdvance("000 h") + 10)))
        for hours in ticks(self.curve.hours, most):
            grid.moveTo(x(hours), top)
            grid.lineTo(x(hours), bottom + 3)
            text = _("{n} h").format(n=number(hours))
            wide = metrics.horizontalAdvance(text)
            self._write(min(x(hours) - wide / 2, view.width() - wide - 2), bottom + 4, text, plain)
        self._stroke(grid, QPen(self._pale(plain), 1))
        self._stroke(self._marks(x, y, (left, top, right, bottom), plain), self._dashed(plain))
        path = QPainterPath()
        for n, (hours, percent) in enumerate(self.curve.points):
            if n:
                path.lineTo(x(hours), y(percent))
            else:
                path.moveTo(x(hours), y(percent))
        self._stroke(path, QPen(plain, 2.2, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin))

    def _marks(
        self,
        x: Callable[[float], float],
        y: Callable[[float], float],
        field: tuple[float, float, float, float],
        plain: QColor,
    ) -> QPainterPath:
        """Dashed lines for what is wanted, each with its words beside it."""
        left, top, right, bottom = field
        metrics = self.fontMetrics()
        path = QPainterPath()
        for mark in self.curve.marks:
            wide = metrics.horizontalAdvance(mark.text)
            if mark.upright:
                at = x(mark.at)
                path.moveTo(at, top)
                path.lineTo(at, bottom)
                beside = at - wide - 4 if at + wide + 6 > right else at + 4
                self._write(beside, bottom - metrics.height() - 2, mark.text, plain)
            else:
                at = y(mark.at)
                path.moveTo(left, at)
                path.lineTo(right, at)
                self._write(left + 6, at - metrics.height() - 1, mark.text, plain)
        return path

    def _stroke(self, path: QPainterPath, pen: QPen) -> None:
        item = QGraphicsPathItem(path)
        item.setPen(pen)
        self.scene().addItem(item)

    def _write(self, x: float, y: float, text: str, colour: QColor, bold: bool = False) -> None:
        item = QGraphicsSimpleTextItem(text)
        font = QFont(self.font())
        font.setBold(bold)
        item.setFont(font)
        item.setBrush(QBrush(colour))
        item.setPos(x, y)
        self.scene().addItem(item)

    def _pale(self, plain: QColor) -> QColor:
        base = self.palette().color(QPalette.ColorRole.Base)
        pairs = ((plain.red(), base.red()), (plain.green(), base.green()), (plain.blue(), base.blue()))
        return QColor(*(round(0.25 * a + 0.75 * b) for a, b in pairs))

    @staticmethod
    def _dashed(plain: QColor) -> QPen:
        pen = QPen(plain, 1.2)
        pen.setDashPattern([5.0, 4.0])
        return pen
