"""A drawing in every text of which somebody has written something that another program might obey."""

from __future__ import annotations

import json
from typing import Any

from engine.equipment import kind_named
from engine.installation.model import LONE, TABLES
from engine.record import field_specs

# words that name something: they must be what they name, or the drawing is refused
NAMES = {"book", "copy", "sha256", "file", "in_position", "terminal", "position"}

TEXTS = {
    "markup": '<b>&amp;</b><img src="file:///etc/passwd"/><a href="http://tern.example/y">z</a></para><script>1</script>',
    "formula": '=HYPERLINK("http://tern.example","y")',
    "minus": "-2+3+cmd|' /C calc'!A0",
    "command": "@SUM(1)`id`$(id);|id&&id %n %s {0} {owner}",
    "controls": 'a\x00b\x1b[31mred\x1b]0;title\x07\r\nnext\tt\x85\u2028u<b>&amp;</b><img src="file:///etc/passwd"/>',
    "direction": "\u202egnorw \u2067\u05e9\u05dc\u05d5\u05dd\u2069 \u0645\u0631\u062d\u0628\u0627",
    "marks": "e" + "\u0301\u0300" * 40,
    "long": "W" * 500,
    "path": "../../etc/passwd\x00/CON.txt. ",
    "odd": "\ufffe\U0001f6a2\u200b\ue000\ufdd0",
}


def hostile(data: bytes, text: str) -> bytes:
    """The drawing of these bytes with `text` in every field that takes any text, found from the records themselves."""
    members: dict[str, Any] = json.loads(data)
    for table, (cls, _prefix) in TABLES.items():
        for record in members.get(table, {}).values():
            _fill(kind_named(record["kind"]) if table == "equipment" else cls, record, text)
    for name, cls in LONE.items():
        _fill(cls, members.setdefault(name, {}), text)
    return json.dumps(members).encode()


def _fill(cls: Any, record: dict[str, Any], text: str) -> None:
    for spec in field_specs(cls):
        if spec.fact.refers or spec.file_name in NAMES:
            continue
        if spec.shape == "word" and spec.fact.unit == "":
            record[spec.file_name] = text
        elif spec.shape == "records":
            for each in record.get(spec.file_name, []):
                _fill(spec.item, each, text)
        elif spec.shape == "record" and spec.file_name in record:
            _fill(spec.item, record[spec.file_name], text)
