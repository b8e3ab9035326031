"""Whether an own rule left this process as it was: what it prints, replaces, starts or leaves behind is noticed.

It need not find everything: each rule judges a study of its own, and a process that was changed is used no more.
"""

from __future__ import annotations

import builtins
import io
import os
import sys
import threading
from collections.abc import Iterator
from types import ModuleType
from typing import Any

from engine.equipment import kinds
from engine.installation.model import Snapshot
from engine.rules import rules
from engine.words import _

__all__ = ["Mute", "Watch"]

OURS = ("app", "engine", "symbols")
LONGEST = 60  # characters of what was printed that are told


class Mute(io.TextIOBase):
    """Stands where output goes: nothing is written, what was is remembered."""

    def __init__(self) -> None:
        super().__init__()
        self.heard = ""

    @property
    def encoding(self) -> str:  # type: ignore[override]
        """As of any stream of text."""
        return "utf-8"

    def writable(self) -> bool:
        """It takes everything."""
        return True

    def write(self, text: str) -> int:
        """Remember the beginning."""
        if len(self.heard) < LONGEST:
            self.heard += text[:LONGEST]
        return len(text)


class Watch:
    """The state of this process when it was made; what was printed and what has changed since.

    `before`: an earlier one, since which nothing has changed.
    """

    def __init__(self, mute: Mute, snapshot: Snapshot | None = None, before: Watch | None = None) -> None:
        mute.heard = ""
        self._mute = mute
        self._snapshot = snapshot
        self._records = _records(snapshot)
        self._folder = _folder()
        self._environment = dict(os.environ)
        self._threads = set(threading.enumerate())
        self._modules = len(sys.modules)
        is_same = before is not None and before._modules == self._modules
        self._known: list[tuple[ModuleType | type, str, Any]] = (
            before._known if before is not None and is_same else list(_attributes())
        )
        self._tables = _tables()

    def printed(self) -> str:
        """What was printed, as part of a sentence; `""` where nothing was."""
        if not self._mute.heard:
            return ""
        text = " ".join(self._mute.heard.split())[:LONGEST]
        return _("it printed {text!r}, where a rule only yields what it finds").format(text=text)

    def changed(self) -> str:
        """What was changed, as part of a sentence; `""` where nothing was. If so, the process is of no more use."""
        if sys.stdout is not self._mute:
            return _("it replaced the output of the program")
        if _folder() != self._folder:
            return _("it changed the working folder")
        if dict(os.environ) != self._environment:
            return _("it changed the environment of the program")
        if [thread for thread in threading.enumerate() if thread not in self._threads]:
            return _("it left a thread running")
        if _records(self._snapshot) != self._records:
            return _("it changed the drawing it was given")
        if any(was is not None and was != now for was, now in zip(self._tables, _tables(), strict=True)):
            return _("it changed the rules or the kinds of equipment of the program")
        for owner, name, value in self._known:
            if vars(owner).get(name) is not value:
                return _("it replaced {name} of {owner}").format(name=name, owner=owner.__name__)
        return ""


def _attributes() -> Iterator[tuple[ModuleType | type, str, Any]]:
    """What modules and classes hold: of ours everything, of others the functions and classes one may call."""
    for module in (builtins, *list(sys.modules.values())):
        name = getattr(module, "__name__", "")
        if not isinstance(module, ModuleType) or name.startswith("linewright_own_rule_") or name == __name__:
            continue
        is_ours = name.partition(".")[0] in OURS
        for key, value in list(vars(module).items()):
            if is_ours:
                yield module, key, value
                if isinstance(value, type) and value.__module__ == name:
                    for inner, held in list(vars(value).items()):
                        yield value, inner, held
            elif callable(value) and not key.startswith("_"):
                yield module, key, value


def _records(snapshot: Snapshot | None) -> list[tuple[str, str, int]]:
    if snapshot is None:
        return []
    return [(name, item, id(record)) for name, table in snapshot.tables.items() for item, record in table.items()]


def _tables() -> list[dict[str, Any] | None]:
    """Rules and kinds, as far as anything has asked for them."""
    return [
        dict(rules()) if rules.cache_info().currsize else None,
        dict(kinds()) if kinds.cache_info().currsize else None,
    ]


def _folder() -> str:
    try:
        return os.getcwd()
    except OSError:
        return ""
