"""From bytes to the members of a drawing file of this version: text, JSON, format, version, migration."""

from __future__ import annotations

import json
from typing import Any, NamedTuple

from engine.files.errors import FileError
from engine.files.migrations import CURRENT, migrate
from engine.record import FieldFault
from engine.words import _

__all__ = ["Parsed", "parse"]


class Parsed(NamedTuple):
    """The members of the file, the version it was written in, members that stand twice."""

    members: dict[str, Any]
    version: int
    faults: tuple[FieldFault, ...]


class _Refused(ValueError):
    """What a hook of the JSON parser refuses."""


def parse(data: bytes, name: str, wanted: str) -> Parsed:
    """The members of a file of format `wanted`, brought to the version of this program. Raises `FileError`."""
    members, twice = _json(data, name)
    if not isinstance(members, dict) or members.get("format") != wanted:
        raise FileError(name, _('it is no drawing of this program: "format" is not "{wanted}"').format(wanted=wanted))
    version = members.get("version")
    if type(version) is not int or version < 1:
        raise FileError(name, _('"version" should be a whole number from 1, the version of the file\'s format'))
    if version < CURRENT:
        members = migrate(members)
    faults = tuple(FieldFault(member, _("stands twice in the same object")) for member in twice)
    return Parsed(members, version, faults)


def _json(data: bytes, name: str) -> tuple[Any, list[str]]:
    if not data.strip():
        raise FileError(name, _("it is empty"))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = data.count(b"\n", 0, fault.start) + 1
        raise FileError(name, _("it is not UTF-8 text: line {line}").format(line=line)) from None
    twice: list[str] = []

    def members(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        made = dict(pairs)
        if len(made) < len(pairs):
            seen: set[str] = set()
            twice.extend(key for key, _value in pairs if key in seen or seen.add(key))  # type: ignore[func-returns-value]
        return made

    try:
        found = json.loads(text, object_pairs_hook=members, parse_constant=_no_constant, parse_float=_finite)
        if "\\ud" in text or "\\uD" in text:
            # half of a pair of surrogates is no character and could not be saved again
            json.dumps(found, ensure_ascii=False).encode()
    except json.JSONDecodeError as fault:
        raise FileError(
            name,
            _("it is not JSON: line {line}, column {column}: {why}").format(
                line=fault.lineno, column=fault.colno, why=fault.msg
            ),
        ) from None
    except _Refused as fault:
        raise FileError(name, str(fault)) from None
    except RecursionError:
        raise FileError(name, _("it is nested too deeply to be a drawing")) from None
    except UnicodeEncodeError:
        raise FileError(name, _("it holds half of a character (a lone surrogate)")) from None
    except ValueError:
        raise FileError(name, _("it holds a number with too many digits")) from None
    return found, twice


def _no_constant(text: str) -> Any:
    raise _Refused(_("it holds {text}, which is no number").format(text=text))


def _finite(text: str) -> float:
    value = float(text)
    if value - value != 0:
        raise _Refused(_("it holds the number {text}, which is beyond all use").format(text=text[:40]))
    return value
