"""How a drawing was looked at last: sheet, zoom, place, side page. Kept for the drawings used last, by their path."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from app.canvas.view import NEAREST, Looked

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["MOST", "keep", "kept_page", "restore"]

MOST = 50  # drawings


def keep(window: Window) -> None:
    """Remember how the window's drawing is looked at now; one without a file is not remembered."""
    document = window.document
    if document.path is None:
        return
    looked = window.board.view_now()
    views = {path: view for path, view in window.desk.settings.get("views").items() if path != _key(window)}
    views[_key(window)] = {
        "sheet": document.sheet,
        "fits": looked.fits,
        "x_mm": round(looked.x, 2),
        "y_mm": round(looked.y, 2),
        "px_per_mm": round(looked.px_per_mm, 4),
        "page": window.page,
    }
    window.desk.settings.set("views", dict(list(views.items())[-MOST:]))


def restore(window: Window) -> bool:
    """Show the drawing as it was looked at last; `False` where nobody knows."""
    view = _view(window)
    if view is None:
        return False
    sheet = view.get("sheet")
    if isinstance(sheet, str) and sheet in window.document.installation.tables["sheets"]:
        window.document.turn_to(sheet)
        if _is_place(view):
            window.board.show_view(Looked(view["fits"], view["x_mm"], view["y_mm"], view["px_per_mm"]))
            return True
    return False


def kept_page(window: Window) -> str | None:
    """The side page that stood beside it, "" none, `None` where nobody knows."""
    view = _view(window)
    page = None if view is None else view.get("page")
    return page if isinstance(page, str) else None


def _key(window: Window) -> str:
    return str(window.document.path.absolute()) if window.document.path is not None else ""


def _view(window: Window) -> dict[str, Any] | None:
    view = window.desk.settings.get("views").get(_key(window))
    return view if isinstance(view, dict) else None


def _is_place(view: dict[str, Any]) -> bool:
    """Settings are a file that people edit."""
    numbers = [view.get(name) for name in ("x_mm", "y_mm", "px_per_mm")]
    if view.get("fits") not in ("page", "width", ""):
        return False
    if not all(isinstance(n, int | float) and not isinstance(n, bool) and abs(n) < 1e5 for n in numbers):
        return False
    scale = numbers[2]
    return scale is not None and 0.01 <= scale <= NEAREST
