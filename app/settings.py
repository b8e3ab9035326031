"""What a person's own program remembers: recent drawings, where windows stood, how wide pages were. Settings as data.

One JSON file in the system's place for settings, written whole or not at all. A file that cannot be read is set aside
(`settings.json.bad`) and never stops the program; what this version does not know is written back.
"""

from __future__ import annotations

import contextlib
import json
import logging
import stat
from collections.abc import Callable
from pathlib import Path
from typing import Any

from engine.files.atomic import write_bytes

__all__ = ["DEFAULTS", "Settings", "folder"]

log = logging.getLogger(__name__)

VERSION = 1
MOST_RECENT = 12
LARGEST = 2**22  # bytes of the file
BEYOND = 1e9  # no number set is so large
# every setting: name -> what stands there until the person changes it
DEFAULTS: dict[str, Any] = {
    "first_seen": False,  # the first sheet, which shows how to draw, was shown
    "recent": [],  # absolute paths, the newest first
    "window": "",  # geometry of the last window closed, base64
    "page": "notes",  # the side page shown, "" none
    "page_widths": {},  # page -> px
    "layer": "",  # figures that lie over the sheet: "flow", "faults", "" none
    "kinds_used": [],  # kinds placed, the newest first
    "values_from": "",  # where values come from that are entered among the facts to read, of `engine.record.ORIGINS`
    "language": "",  # of `app.words.languages()`, "" the system's
    "look": "system",  # of the window: "system", "light", "dark", "contrast"
    "sheet_in": "paper",  # the sheet on the screen: "paper" (white) or "look" (as the window)
    "text_percent": 100,  # size of text and controls, 100 to 200
    "reduced_motion": False,  # nothing blinks, fades or glides
    "new_book": "",  # of new drawings: rule book, "" the program's own choice; so the next three
    "new_units": "",  # "metric", "US"
    "new_symbols": "",  # "IEC 60617", "IEEE 315"
    "new_sheet_size": "",  # "A3", ...
    "views": {},  # path of a drawing -> how it was looked at last (app/window/comfort/kept.py)
    "rules_folder": "",  # whole path of a folder of own rules, "" none
    "symbols_folder": "",  # whole path of a folder of own symbols, "" none
    "rules_limit_s": 5.0,  # how long an own rule may take on one drawing
    "rules_start_s": 30.0,  # how long its file may take to be read and run
}


def folder() -> Path:
    """The system's place for a person's settings of this program."""
    import platformdirs

    return Path(platformdirs.user_config_dir("linewright", appauthor=False))


class Settings:
    """Settings by name; a change is kept in memory until `save`."""

    def __init__(self, path: Path | None = None) -> None:
        self.path = path or folder() / "settings.json"
        self._values: dict[str, Any] = {}
        self._saved = b""
        self._changed: set[str] = set()  # what this program has set: all else is as another last wrote it
        self._read()

    def _read(self) -> None:
        try:
            self._values, self._saved = self._contents()
        except OSError:
            return
        except ValueError as fault:
            log.warning("%s cannot be read (%s); it is set aside", self.path, fault)
            with contextlib.suppress(OSError):
                self.path.replace(self.path.with_name(self.path.name + ".bad"))

    def _contents(self) -> tuple[dict[str, Any], bytes]:
        """What the file holds, and its bytes. Raises `OSError` where there is none, `ValueError` where it is spoilt."""
        from engine.record import is_deep

        status = self.path.stat()
        if not stat.S_ISREG(status.st_mode):  # opening a pipe nobody writes to would hang
            raise OSError("no file")
        if status.st_size > LARGEST:
            raise ValueError("too large")
        data = self.path.read_bytes()
        try:
            found = json.loads(data)
        except RecursionError:
            found = None
        if not isinstance(found, dict) or is_deep(found):  # it could be read, but maybe not written
            raise ValueError("no object, or nested too deeply")
        return found, data

    def get(self, name: str) -> Any:
        """A setting; its default where it is missing, of another type or a number beyond all use."""
        default = DEFAULTS[name]
        value = self._values.get(name, default)
        if isinstance(default, float) and type(value) is int and abs(value) < BEYOND:
            value = float(value)
        if type(value) is not type(default) or (isinstance(value, (int, float)) and not abs(value) < BEYOND):
            return default
        return value

    def set(self, name: str, value: Any) -> None:
        """Change a setting. Raises `KeyError` for one that is not declared."""
        if not isinstance(value, type(DEFAULTS[name])):
            raise TypeError(name)
        self._values[name] = value
        self._changed.add(name)

    def save(self) -> bool:
        """Write what changed; `False` where it cannot be written (the person works on all the same).

        What another running program has set meanwhile stays.
        """
        self._take_in()
        values = dict(sorted((self._values | {"version": VERSION}).items()))
        text = json.dumps(values, ensure_ascii=False, indent=2) + "\n"
        data = text.encode("utf-8", "backslashreplace")  # in JSON it is the same: a name of a file that is no UTF-8
        if data == self._saved:
            return True
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            write_bytes(self.path, data)
        except OSError as fault:
            log.info("settings are not kept: %s", fault)
            return False
        self._saved = data
        return True

    def _take_in(self) -> None:
        """What the file holds by now, but for what was changed here."""
        with contextlib.suppress(OSError, ValueError):
            found, data = self._contents()
            if data != self._saved:
                self._values = found | {name: self._values[name] for name in self._changed}
                self._saved = data

    # -- recent drawings ------------------------------------------------------------------------------------------
    def recent(self, still_there: Callable[[str], bool] = lambda path: Path(path).is_file()) -> list[str]:
        """Recent drawings that still exist, the newest first."""
        return [path for path in self.get("recent") if isinstance(path, str) and still_there(path)]

    def used(self, path: Path) -> None:
        """A drawing was opened or saved."""
        name = str(path)
        rest = [each for each in self.get("recent") if each != name]
        self.set("recent", [name, *rest][:MOST_RECENT])
