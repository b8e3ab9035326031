"""Looks of the window: light, dark, high contrast, in palettes of our own over one style; size of text; motion.

Every pair of colours that carries words is at least 4.5 to 1 (7 to 1 in high contrast); a test reckons it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QFontDatabase, QPalette
from PySide6.QtWidgets import QApplication

from app.canvas.inks import Inks, use_inks
from engine.words import N_

if TYPE_CHECKING:
    from app.settings import Settings

__all__ = ["FRAMED", "LOOKS", "Look", "is_still", "look_now", "palette_of", "text_size", "wear"]

Look = Literal["light", "dark", "contrast"]
LOOKS = {  # as stored -> as a person reads it
    "system": N_("as the system"),
    "light": N_("light"),
    "dark": N_("dark"),
    "contrast": N_("high contrast"),
}
LEAST_POINTS = 11.0  # of type at 100 %
MOST_PERCENT = 200
_Role = QPalette.ColorRole
_LIGHT = {
    _Role.Window: "#f0f0ee",
    _Role.WindowText: "#15171a",
    _Role.Base: "#ffffff",
    _Role.AlternateBase: "#e9ebee",
    _Role.Text: "#15171a",
    _Role.PlaceholderText: "#5c6066",
    _Role.Button: "#e6e6e3",
    _Role.ButtonText: "#15171a",
    _Role.BrightText: "#8c1010",
    _Role.ToolTipBase: "#fffbe6",
    _Role.ToolTipText: "#15171a",
    _Role.Highlight: "#1d5fae",
    _Role.HighlightedText: "#ffffff",
    _Role.Link: "#0b4f9e",
    _Role.LinkVisited: "#5b3a8c",
    _Role.Light: "#ffffff",
    _Role.Midlight: "#f6f6f4",
    _Role.Mid: "#a9abae",
    _Role.Dark: "#85878a",
    _Role.Shadow: "#55575a",
    _Role.Accent: "#1d5fae",
}
_DARK = {
    _Role.Window: "#26282b",
    _Role.WindowText: "#e8e8e4",
    _Role.Base: "#1c1e20",
    _Role.AlternateBase: "#2d3033",
    _Role.Text: "#e8e8e4",
    _Role.PlaceholderText: "#a3a7ab",
    _Role.Button: "#34373b",
    _Role.ButtonText: "#e8e8e4",
    _Role.BrightText: "#ff9c9c",
    _Role.ToolTipBase: "#3d4146",
    _Role.ToolTipText: "#f2f2ee",
    _Role.Highlight: "#2f6fbe",
    _Role.HighlightedText: "#ffffff",
    _Role.Link: "#9cc8ff",
    _Role.LinkVisited: "#cdb4ff",
    _Role.Light: "#4a4e53",
    _Role.Midlight: "#3f4347",
    _Role.Mid: "#5d6166",
    _Role.Dark: "#17191b",
    _Role.Shadow: "#000000",
    _Role.Accent: "#5f9fe8",
}
_CONTRAST = {
    _Role.Window: "#000000",
    _Role.WindowText: "#ffffff",
    _Role.Base: "#000000",
    _Role.AlternateBase: "#1a1a1a",
    _Role.Text: "#ffffff",
    _Role.PlaceholderText: "#d0d0d0",
    _Role.Button: "#101010",
    _Role.ButtonText: "#ffffff",
    _Role.BrightText: "#ffb3b3",
    _Role.ToolTipBase: "#000000",
    _Role.ToolTipText: "#ffffff",
    _Role.Highlight: "#ffe14d",
    _Role.HighlightedText: "#000000",
    _Role.Link: "#8fd0ff",
    _Role.LinkVisited: "#e2c4ff",
    _Role.Light: "#ffffff",
    _Role.Midlight: "#c8c8c8",
    _Role.Mid: "#b0b0b0",
    _Role.Dark: "#8a8a8a",
    _Role.Shadow: "#ffffff",
    _Role.Accent: "#ffe14d",
}
# The style draws frames in a darker shade of the window, which nobody sees where that is dark itself: what has a frame
# is told of a lighter one. Not the tabs of sheets, which would be filled with it.
FRAMED = ("QAbstractItemView", "QAbstractSpinBox", "QCheckBox", "QComboBox", "QLineEdit", "QPlainTextEdit",
           "QProgressBar", "QPushButton", "QRadioButton", "QSlider", "QTabWidget", "QTextEdit",
           "QToolButton")  # fmt: skip
_AROUND = {"dark": "#a0a4a9", "contrast": "#ffffff"}
_AROUND_CELLS = {"dark": "#6a6e73"}  # lines of a table are drawn with it too
_OFF = {"light": "#6f7276", "dark": "#8f9397", "contrast": "#a8a8a8"}  # words of what cannot be done now
_OF: dict[str, dict[QPalette.ColorRole, str]] = {"light": _LIGHT, "dark": _DARK, "contrast": _CONTRAST}
# what a person wrote stands in many a tool tip: none is taken for HTML, which Qt does where it looks like some
_PLAIN_TIPS = "QToolTip { qproperty-textFormat: PlainText; }"
_EFFECTS = (
    Qt.UIEffect.UI_AnimateMenu,
    Qt.UIEffect.UI_FadeMenu,
    Qt.UIEffect.UI_AnimateCombo,
    Qt.UIEffect.UI_AnimateTooltip,
    Qt.UIEffect.UI_FadeTooltip,
    Qt.UIEffect.UI_AnimateToolBox,
)
_now: Look = "light"
_still = False
_usual: tuple[int, tuple[Qt.UIEffect, ...]] | None = None  # ms of a blink, effects that were on


def palette_of(look: Look) -> QPalette:
    """The palette of a look, all roles, all groups."""
    made = QPalette()
    group = QPalette.ColorGroup
    for role, name in _OF[look].items():
        for each in (group.Active, group.Inactive, group.Disabled):
            made.setColor(each, role, QColor(name))
    for role in (_Role.WindowText, _Role.Text, _Role.ButtonText, _Role.PlaceholderText):
        made.setColor(group.Disabled, role, QColor(_OFF[look]))
    made.setColor(group.Disabled, _Role.Highlight, QColor(_OF[look][_Role.Mid]))
    made.setColor(group.Disabled, _Role.HighlightedText, QColor(_OF[look][_Role.Base]))
    return made


def look_now() -> Look:
    """The look worn."""
    return _now


def _wanted(settings: Settings, application: QApplication) -> Look:
    asked = settings.get("look")
    if asked in ("light", "dark", "contrast"):
        return asked  # type: ignore[no-any-return]
    hints = application.styleHints()
    told = getattr(getattr(hints, "accessibility", lambda: None)(), "contrastPreference", None)
    if callable(told) and "High" in str(told()):
        return "contrast"
    return "dark" if hints.colorScheme() == Qt.ColorScheme.Dark else "light"


def text_size(settings: Settings) -> float:
    """Points of the window's type."""
    percent = min(max(settings.get("text_percent"), 100), MOST_PERCENT)
    own = QFontDatabase.systemFont(QFontDatabase.SystemFont.GeneralFont).pointSizeF()
    return float(max(LEAST_POINTS, own) * percent / 100)


def wear(application: QApplication, settings: Settings) -> bool:
    """Have the whole program look as the settings say. Returns whether the sheet on the screen has other inks now."""
    global _now
    if application.style().objectName() != "fusion":
        application.setStyle("Fusion")
    hints = application.styleHints()
    asked = settings.get("look")
    if asked == "system":
        hints.unsetColorScheme()
    _now = look = _wanted(settings, application)
    if asked != "system":  # frames of windows, which the system draws, go with it
        hints.setColorScheme(Qt.ColorScheme.Light if look == "light" else Qt.ColorScheme.Dark)
    palette = palette_of(look)
    if application.palette() != palette:
        application.setPalette(palette)
        for name in FRAMED:
            around = _AROUND_CELLS.get(look, "") if name == "QAbstractItemView" else ""
            around = around or _AROUND.get(look, "")
            if around:
                palette.setColor(_Role.Window, QColor(around))
            application.setPalette(palette, name)
    font = QFont(application.font())
    size = text_size(settings)
    if font.pointSizeF() != size:
        font.setPointSizeF(size)
        application.setFont(font)
    sheet = _controls(settings.get("text_percent"))
    if application.styleSheet() != sheet:
        application.setStyleSheet(sheet)
    _move(application, bool(settings.get("reduced_motion")))
    inks: Inks = "paper" if settings.get("sheet_in") != "look" or look == "light" else look
    return use_inks(inks)


def _controls(percent: int) -> str:
    """What the style measures in pixels whatever the type: boxes to tick and bars to scroll grow with it."""
    percent = min(max(percent, 100), MOST_PERCENT)
    if percent < 115:
        return _PLAIN_TIPS
    box, bar = round(14 * percent / 100), round(14 * percent / 100)
    return (
        f"{_PLAIN_TIPS} QCheckBox::indicator, QRadioButton::indicator, QAbstractItemView::indicator "
        f"{{ width: {box}px; height: {box}px; }} "
        f"QScrollBar:vertical {{ width: {bar}px; }} QScrollBar:horizontal {{ height: {bar}px; }} "
        f"QTabBar::scroller {{ width: {3 * bar}px; }}"
    )


def is_still() -> bool:
    """Whether nothing is to blink, fade or glide."""
    return _still


def _move(application: QApplication, still: bool) -> None:
    """Menus that roll out, tips that fade, a cursor that blinks: none of them, or what the system had at first."""
    global _still, _usual
    hints = application.styleHints()
    if _usual is None:
        _usual = hints.cursorFlashTime(), tuple(e for e in _EFFECTS if application.isEffectEnabled(e))
    if still != _still:
        _still = still
        flash, effects = (0, ()) if still else _usual
        hints.setCursorFlashTime(flash)
        for effect in _EFFECTS:
            application.setEffectEnabled(effect, effect in effects)
