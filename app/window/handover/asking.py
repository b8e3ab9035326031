"""What documents may be asked, read from what the command line takes for them: so every one has its field here."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Mapping
from typing import Any, Literal, NamedTuple

from engine.words import N_, _

__all__ = ["COMMON", "Option", "arguments_for", "options_of"]

Form = Literal["yes", "choice", "file", "text"]
COMMON = ("size", "tile", "mono", "since")  # what every document is asked
_LEFT_OUT = ("help", "file", "output", "book", "dpi", "photographs")
_FILES = ("FILE", "OLD", "LIST", "CSV", "PRICES", "PATH")
# what the command line says in a sentence said in a word, where it is known
_TITLES = {
    "size": N_("Paper"),
    "mono": N_("Black and grey instead of colours"),
    "since": N_("Drawing as last issued"),
    "tile": N_("Cut larger sheets into"),
    "view": N_("Sheets show"),
    "lay_out": N_("Draw sheets anew for that paper"),
    "prices": N_("Price list"),
    "survey": N_("Survey"),
    "follow_up": N_("As a follow-up of the survey before"),
}


class Option(NamedTuple):
    """Something that may be asked. `usual` stands where the person says nothing."""

    name: str
    flag: str
    title: str
    help: str
    form: Form
    usual: str = ""
    choices: tuple[str, ...] = ()
    action: argparse.Action | None = None

    def fault(self, text: str) -> str:
        """Why the command line would not take it, "" where it does."""
        kind = None if self.action is None else self.action.type
        if not text or not callable(kind):
            return ""
        try:
            kind(text)
        except (argparse.ArgumentTypeError, ValueError, TypeError) as fault:
            return str(fault)
        return ""


def options_of(names: Iterable[str]) -> tuple[Option, ...]:
    """What is common to all, then what the documents `names` are asked besides, each once."""
    from app.commands.documents import add_common, add_options

    parser = argparse.ArgumentParser(add_help=False, conflict_handler="resolve")
    add_common(parser)
    for name in names:
        add_options(parser, name)
    found = [_option(action) for action in parser._actions if action.dest not in _LEFT_OUT and action.option_strings]
    common = {option.name: option for option in found if option.name in COMMON}
    return (*(common[name] for name in COMMON), *(option for option in found if option.name not in common))


def _option(action: argparse.Action) -> Option:
    from app.commands.documents import SIZES, TILE_SIZES

    words = (action.help or "").strip()
    title = _TITLES.get(action.dest)
    told = _(title) if title else words[:1].upper() + words[1:] or action.dest
    choices = tuple(map(str, action.choices)) if action.choices is not None else ()
    if action.dest in ("size", "tile"):  # these are told by a function of theirs
        choices = SIZES if action.dest == "size" else TILE_SIZES
    usual = _plain(action.default)
    form: Form = "text"
    if action.nargs == 0:
        form = "yes"
    elif choices:
        form = "choice"
    elif action.metavar in _FILES:
        form = "file"
    flag = next((flag for flag in action.option_strings if flag.startswith("--")), action.option_strings[0])
    return Option(action.dest, flag, told, words, form, usual, choices, action)


def _plain(value: Any) -> str:
    """A default as it would be typed; "" where it cannot be: nothing is said then."""
    return str(value) if isinstance(value, (int, float, str)) and not isinstance(value, bool) else ""


def arguments_for(names: Iterable[str], values: Mapping[str, str]) -> tuple[str, ...]:
    """The arguments of the command line for what the person has answered. Raises `ValueError`: a sentence."""
    made: list[str] = []
    for option in options_of(names):
        value = values.get(option.name, "").strip()
        if not value or value == option.usual:
            continue
        fault = option.fault(value)
        if fault:
            raise ValueError(_("{option}: {fault}").format(option=option.title, fault=fault))
        if option.form == "yes":
            made.append(option.flag)
        else:
            made.append(f"{option.flag}={value}")
    return tuple(made)
