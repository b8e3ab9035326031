"""What a calculation sheet is made of, in plain values."""

from __future__ import annotations

import math
import re
from typing import Literal, NamedTuple, TypeAlias

from engine.findings import ROUNDING, Word
from engine.units import number

__all__ = ["SECTIONS", "VERDICTS", "Calculation", "Check", "Formula", "Input", "Mark", "Section", "Verdict", "figure"]

Section: TypeAlias = Literal["load-analysis", "short-circuit", "devices", "cables"]
SECTIONS: tuple[Section, ...] = ("load-analysis", "short-circuit", "devices", "cables")
Verdict: TypeAlias = Literal["fails", "not judged", "waived", "in order", "not compared"]
VERDICTS: tuple[Verdict, ...] = ("fails", "not judged", "waived", "in order", "not compared")  # what needs a look first
# where a value comes from; "recorded": nobody said
Mark: TypeAlias = Literal["measured", "nameplate", "typed", "recorded", "assumed", "worked out", "not known"]

_SYMBOL = re.compile(r"[A-Za-z_][A-Za-z_0-9]*(?:\([^()]*\))?")


def figure(value: float, digits: int = 4) -> str:
    """A number of a formula: so many figures that its result can be checked by hand."""
    return number(value, digits)


class Input(NamedTuple):
    """Something put in: by its symbol in formulas, its name, or both. `text` has the unit; `""`: not known."""

    symbol: str
    name: str
    text: str
    mark: Mark


class Formula(NamedTuple):
    """`symbol = terms = numbers = value unit`. The numbers are the terms' own, in the units named in the inputs."""

    symbol: str
    terms: str
    numbers: str
    value: float
    unit: str = ""
    by: str = ""  # the source whose own formula it is, where that is another than the analysis'

    @classmethod
    def of(cls, symbol: str, terms: str, values: dict[str, float], value: float, unit: str = "") -> Formula:
        """The terms with every symbol replaced by its number."""

        def put(found: re.Match[str]) -> str:
            name = found[0]
            if name not in values:
                return name
            text = figure(values[name])
            return f"({text})" if values[name] < 0 else text

        return cls(symbol, terms, _SYMBOL.sub(put, terms), value, unit)

    @property
    def text(self) -> str:
        """As printed."""
        parts = [self.symbol, self.terms]
        if self.numbers != self.terms:
            parts.append(self.numbers)
        parts.append(f"{figure(self.value)} {self.unit}".rstrip())
        text = " = ".join(parts)
        return f"{self.by}: {text}" if self.by else text


class Check(NamedTuple):
    """One thing looked at: formulas, what was found against what is allowed, by which clause, with what margin.

    `found` and `limit` in `unit`; `None`: not known, or without limit. `at_least`: the limit is to be reached.
    """

    what: str
    rule: str = ""
    formulas: tuple[Formula, ...] = ()
    notes: tuple[str, ...] = ()
    found: float | None = None
    limit: float | None = None
    unit: str = ""
    at_least: bool = False
    clause: str = ""  # "": the book has none
    confirmed: bool = False
    verdict: Verdict = "not compared"
    word: Word | None = None
    condition: str = ""
    missing: tuple[str, ...] = ()  # fields, those of the thing itself first
    more_missing: int = 0  # how many others a question left open for many things names
    beside: str = ""  # what else it speaks of: the device of a cable, the cable of a device
    ids: tuple[str, ...] = ()  # the things of the remark it shows, as the remark has them

    @property
    def margin(self) -> float | None:
        """Share of the limit that is left; below 0 where it is passed."""
        if self.found is None or self.limit is None or not self.limit or not math.isfinite(self.found):
            return None
        share = self.found / self.limit
        margin = share - 1 if self.at_least else 1 - share
        if self.verdict == "in order" and -ROUNDING < margin < 0:
            return 0.0  # just at the limit, but for what arithmetic and a book's last decimal make of it
        return 0.0 if abs(margin) < 1e-9 else margin


class Calculation(NamedTuple):
    """One block of a sheet: a cable, a device, a bus, a load, a source."""

    section: Section
    item: str
    designation: str
    title: str
    inputs: tuple[Input, ...] = ()
    checks: tuple[Check, ...] = ()

    @property
    def verdict(self) -> Verdict:
        """The worst of its checks; `"not compared"` where none has a limit."""
        made = {check.verdict for check in self.checks}
        return next((verdict for verdict in VERDICTS if verdict in made), "not compared")

    @property
    def margin(self) -> float | None:
        """The least of its checks; of a block with something beyond its limit, of that alone: `None` if no figure."""
        beyond = [check for check in self.checks if check.verdict == self.verdict in ("fails", "waived")]
        margins = [m for check in beyond or self.checks if (m := check.margin) is not None]
        return min(margins, default=None)
