"""A yard's own book: what it changes, laid over one of the books of this program.

```toml
base = "trade-na"
title = "Practice of the yard"
edition = "3"

[rules.far-from-source]
bare = { value = 0.1, text = "100 mm", source = "yard standard 12", confirmed = true }
```

Sections and options merge key by key; a value is replaced whole, so that it never keeps a source, a clause or a text
that speak of another figure. Its unit is the base's.

What the yard sets is cited as the yard's and is good practice: no law says it. A value that it leaves alone keeps its
clause and the standing of it.
"""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from engine.books.errors import BookError, told
from engine.toml_text import InShort, TomlFault, read_toml
from engine.words import _

__all__ = ["overlaid"]

_LONGEST_SHOWN = 400  # characters of a path


def overlaid(path: Path, load: Callable[[str], dict[str, Any]]) -> dict[str, Any]:
    """The whole of a yard's book; `load` gives that of a book of this program. Raises `BookError`."""
    from engine.books.schema import book_faults, known
    from engine.rules import rules
    from engine.rules.own import allowed_in_book

    own = _read(path)
    faults, base = [], {}
    if "base" not in own:
        faults.append("base: " + _("missing; expected the name of a rule book"))
    else:
        try:
            base = load(own["base"]) if isinstance(own["base"], str) else {}
            if not base:
                faults.append("base: " + _("expected the name of a rule book"))
        except BookError as fault:
            faults.append(f"base: {fault}")
    named = own.get("rules")
    theirs = [rule for rule in named if allowed_in_book(rule)] if isinstance(named, dict) else []
    faults += book_faults(own, (*rules(), *known(), *theirs), base)
    if not faults:
        return _merged(path.name, base, own)
    raise BookError(told(path.name, faults))


def _read(path: Path) -> dict[str, Any]:
    shown = InShort(str(path), _LONGEST_SHOWN)
    try:
        return read_toml(path)
    except FileNotFoundError:
        raise BookError(_("there is no rule book {path}").format(path=shown)) from None
    except OSError as fault:
        raise BookError(
            _("the rule book {path} cannot be read: {why}").format(path=shown, why=fault.strerror or fault)
        ) from None
    except TomlFault as fault:
        raise BookError(_("the rule book {path} is no TOML: {why}").format(path=shown, why=fault)) from None
    except ValueError:  # a zero byte, or half of a character: no file has such a name
        raise BookError(_("there is no rule book {path}").format(path=shown)) from None


def _merged(name: str, base: dict[str, Any], own: dict[str, Any]) -> dict[str, Any]:
    made = copy.deepcopy(base)
    keys: list[str] = []
    made |= {
        "slug": name,
        "title": own["title"],
        "edition": _("{edition}, on {base} {base_edition}").format(
            edition=own["edition"], base=base["slug"], base_edition=base["edition"]
        ),
        "basis": own.get("basis", base["basis"]),
        "base": base["slug"],
        "listed": False,
    }
    if "binds" in own:
        made["binds"] = base["binds"] | own["binds"]
    if "standard_ratings" in own:
        made["standard_ratings"] = own["standard_ratings"]
        keys.append("standard_ratings")
    if "ampacity" in own:
        made["ampacity"] = _table(base["ampacity"], own["ampacity"])
        keys += [f"ampacity.{key}" for key in own["ampacity"] if key not in ("source", "confirmed")]
    for rule, entry in own.get("rules", {}).items():
        made["rules"][rule] = _rule(own["title"], base["rules"].get(rule, {}), entry)
        for key, value in entry.items():
            keys += [f"rules.{rule}.options.{option}" for option in value] if key == "options" else []
            keys += [f"rules.{rule}.{key}"] if key not in ("options", "confirmed", "good_practice") else []
    made["own"] = sorted(keys)
    return made


def _table(base: Mapping[str, Any], own: Mapping[str, Any]) -> dict[str, Any]:
    if "table" in own:
        import engine.books as books  # the folder of the tables

        with (books.FOLDER / "tables" / f"{own['table']}.toml").open("rb") as file:
            base = tomllib.load(file) | {"bundle_from_v": base.get("bundle_from_v", 0)}
    made = {**base, **own}
    if "rows" in own and "insulation_c" not in own and "amps_per_mm2" not in base:
        made["rows"] = {**base["rows"], **own["rows"]}
    if "rows" in own:
        made.pop("amps_per_mm2", None)
    return made


def _rule(title: str, base: Mapping[str, Any], own: Mapping[str, Any]) -> dict[str, Any]:
    """A rule's section: values of the base keep what was said of them, the yard's are cited as its own."""
    made: dict[str, Any] = copy.deepcopy(dict(base))
    values = {key: value for key, value in own.items() if isinstance(value, dict) and key != "options"}
    changed = bool(values or own.get("options"))
    if changed and base.get("clause"):
        for key, value in made.items():
            if isinstance(value, dict) and key != "options" and "clause" not in value:
                # what stays goes on being cited as before
                value["clause"] = base["clause"]
                if base.get("good_practice"):
                    value["good_practice"] = True
    for key, value in own.items():
        if key == "options":
            made["options"] = {**base.get("options", {}), **value}
        elif key not in values:
            made[key] = value
    for key, value in values.items():
        unit = base.get(key, {}).get("unit", value.get("unit", ""))
        made[key] = {"clause": title, "good_practice": True, **value, "unit": unit}
        if "clause" in value and "good_practice" not in value:
            made[key]["good_practice"] = True
    if changed and "clause" not in own:
        clause = base.get("clause", "")
        made["clause"] = _("{title} ({clause})").format(title=title, clause=clause) if clause else title
        made["confirmed"] = bool(base.get("confirmed", True)) if clause else True
    if changed or "clause" in own:
        made["good_practice"] = True
    return made
