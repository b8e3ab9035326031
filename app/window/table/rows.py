"""The rows of the table: a record each, its cells as text, worked out when they are first asked for."""

from __future__ import annotations

from typing import Any

from app.judgement import Judgement
from app.text_report import WORD_NAMES
from app.window.table.columns import Column, asked_of, kind_title, specs_of
from app.window.table.reading import CellReading
from engine.equipment.base import Equipment
from engine.findings import WORDS, Finding
from engine.installation.model import Snapshot
from engine.installation.records import Run
from engine.naming import natural
from engine.record import FieldSpec
from engine.units import show, show_size
from engine.words import _, ngettext

__all__ = ["Facts", "Row", "natural"]

_NOTHING = (None, "", ())
_DRAWN = ("equipment", "runs")  # tables of what stands on the sheets


class Row:
    """One record and what was worked out of it."""

    __slots__ = ("called", "item", "lacking", "record", "searched", "table", "texts")

    def __init__(self, table: str, item: str, record: Any) -> None:
        self.table, self.item, self.record = table, item, record
        self.texts: dict[str, str] = {}
        self.searched: str | None = None
        self.lacking: bool | None = None
        self.called: tuple[tuple[int, str], ...] | None = None

    def forget(self) -> None:
        """What was worked out is not true any more."""
        self.texts.clear()
        self.searched = self.lacking = self.called = None


class Facts:
    """What cells say beyond their own record: ends, sheets, findings."""

    def __init__(self, snapshot: Snapshot) -> None:
        self.findings: dict[str, list[str]] = {}  # id -> signal words
        self.gaps: dict[str, int] = {}
        self.missing: set[str] = set()  # ids of which the check misses a field
        self.judged = False
        self.columns: tuple[Column, ...] = ()
        self._specs: dict[tuple[type, str], FieldSpec | None] = {}
        self._plans: dict[type, list[tuple[Column, str]]] = {}
        self.snapshot = snapshot
        self.take(snapshot)

    def take(self, snapshot: Snapshot) -> None:
        """Read another state of the drawing."""
        self.snapshot = snapshot
        self.system = snapshot.settings.units
        self.reading = CellReading(snapshot)
        numbers = {item: sheet.number for item, sheet in snapshot.sheets.items()}
        shown_on: dict[str, set[int]] = {}
        for placement in snapshot.placements.values():
            shown_on.setdefault(placement.equipment, set()).add(numbers.get(placement.sheet, 0))
        for route in snapshot.routes.values():
            shown_on.setdefault(route.run, set()).add(numbers.get(route.sheet, 0))
        self.sheets = {item: sorted(on) for item, on in shown_on.items()}
        self.arrivals: dict[str, list[str]] = {}
        for run in snapshot.runs.values():
            for end in (run.from_end, run.to_end):
                self.arrivals.setdefault(end.equipment, []).append(end.terminal)
        self._used: dict[str, tuple[int, int]] | None = None

    def judge(self, judgement: Judgement | None) -> None:
        """Count findings and questions by what they speak of."""
        self.findings, self.gaps, self.missing = {}, {}, set()
        self.judged = judgement is not None
        if judgement is None:
            return
        for finding in judgement.result.findings:
            for item in spoken_of(finding):
                self.findings.setdefault(item, []).append(finding.word)
        for gap in judgement.result.not_judged:
            for item in dict.fromkeys(gap.ids):
                self.gaps[item] = self.gaps.get(item, 0) + 1
                if gap.missing:
                    self.missing.add(item)

    def used(self, item: str) -> tuple[int, int]:
        """How much equipment and how many runs name a place or an enclosure."""
        if self._used is None:
            counts: dict[str, list[int]] = {}
            for record in self.snapshot.equipment.values():
                for named in (record.place, record.enclosure):
                    counts.setdefault(named, [0, 0])[0] += 1
            for run in self.snapshot.runs.values():
                for named in {p.place for p in run.places}:
                    counts.setdefault(named, [0, 0])[1] += 1
            self._used = {named: (n[0], n[1]) for named, n in counts.items()}
        return self._used.get(item, (0, 0))

    # -- cells --------------------------------------------------------------------------------------------------
    def name(self, row: Row) -> str:
        """What a row's record is called."""
        return self.reading.name_of(row.table, row.item)

    def spec(self, row: Row, column: Column) -> FieldSpec | None:
        """The field a cell shows, `None` where it shows none."""
        cls = type(row.record)
        try:
            return self._specs[cls, column.key]
        except KeyError:
            field = next((field for table, field in column.fields if table == row.table), "")
            found = self._specs[cls, column.key] = specs_of(cls).get(field)
            return found

    def show_columns(self, columns: tuple[Column, ...]) -> None:
        """The columns are others: which field stands where is asked anew."""
        self._specs.clear()
        self._plans.clear()
        self.columns = columns

    def _plan(self, row: Row) -> list[tuple[Column, str]]:
        """Columns that can say something of a row: with the field whose value says it, "" where it is worked out."""
        cls = type(row.record)
        if cls not in self._plans:
            made = []
            for column in self.columns:
                spec = self.spec(row, column)
                if self._is_worked_out(row, column):
                    made.append((column, ""))
                elif spec is not None:
                    made.append((column, spec.name))
            self._plans[cls] = made
        return self._plans[cls]

    def text(self, row: Row, column: Column) -> str:
        """What a cell says, "" where nothing is recorded or the column does not apply."""
        text = row.texts.get(column.key)
        if text is None:
            text = row.texts[column.key] = self._text(row, column)
        return text

    def _text(self, row: Row, column: Column) -> str:
        if self._is_worked_out(row, column):
            return _TELLERS[column.key](self, row)
        spec = self.spec(row, column)
        return "" if spec is None else self.reading.shown(spec, getattr(row.record, spec.name))

    @staticmethod
    def _is_worked_out(row: Row, column: Column) -> bool:
        return column.key in _TELLERS and (row.table in _DRAWN or column.key == "used")

    def edit_text(self, row: Row, column: Column) -> str:
        """What stands in a cell when it is about to be changed."""
        spec = self.spec(row, column)
        if spec is None:
            return self.text(row, column)
        return self.reading.typed(spec, getattr(row.record, spec.name))

    def sort_key(self, row: Row, column: Column) -> Any:
        """A key to sort by, `None` for what is not recorded."""
        if column.key == "findings":
            words = self.findings.get(row.item)
            return None if not words else (min(WORDS.index(w) for w in words), -len(words))  # type: ignore[call-overload]
        if column.key == "gaps":
            return -self.gaps[row.item] if row.item in self.gaps else None
        spec = self.spec(row, column)
        if spec is not None and spec.shape in ("number", "whole", "yesno"):
            return getattr(row.record, spec.name)
        text = self.text(row, column)
        return natural(text) if text else None

    def searched(self, row: Row) -> str:
        """All that a row says, for the filter line."""
        if row.searched is None:
            record, said = row.record, []
            for column, field in self._plan(row):
                if not field or getattr(record, field) not in _NOTHING:
                    said.append(self.text(row, column))
            row.searched = "\n".join(said).casefold()
        return row.searched

    def called(self, row: Row) -> tuple[tuple[int, str], ...]:
        """A key that sorts rows by what they are called."""
        if row.called is None:
            row.called = natural(self.name(row))
        return row.called

    def lacks(self, row: Row) -> bool:
        """Whether something is not recorded that describes it or that the check asks for."""
        if row.lacking is None:
            asked = asked_of(type(row.record))
            row.lacking = any(getattr(row.record, name) in _NOTHING for name in asked)
        return row.lacking or row.item in self.missing

    # -- what is worked out -------------------------------------------------------------------------------------
    def _kind(self, row: Row) -> str:
        record = row.record
        if isinstance(record, Run):
            return _("run: {function}").format(function=_(record.function))
        return kind_title(record.KIND) if record.KIND else _(record.NAME)

    def _ends(self, row: Row) -> str:
        record = row.record
        if isinstance(record, Run):
            ends = (record.from_end, record.to_end)
            return " – ".join(f"{self.reading.name_of('equipment', e.equipment)}.{e.terminal}" for e in ends)
        in_use = set(self.arrivals.get(row.item, ()))
        return ", ".join(t.name for t in record.terminals() if t.name in in_use)

    def _sheets(self, row: Row) -> str:
        return ", ".join(map(str, self.sheets.get(row.item, ())))

    def _findings(self, row: Row) -> str:
        words = self.findings.get(row.item)
        if not words:
            return ""
        worst = _(WORD_NAMES[min(words, key=WORDS.index)]).lower()
        if len(words) == 1:
            return _("1: {word}").format(word=worst)
        return _("{n}, worst: {word}").format(n=len(words), word=worst)

    def _gaps(self, row: Row) -> str:
        return str(self.gaps[row.item]) if row.item in self.gaps else ""

    def _ratings(self, row: Row) -> str:
        record = row.record
        if isinstance(record, Run):
            length = "" if record.length_m is None else show(record.length_m, "m", self.system)
            return ", ".join(filter(None, (show_size(record.size) if record.size else "", length)))
        return ", ".join(record.summary()) if isinstance(record, Equipment) else ""

    def _used_by(self, row: Row) -> str:
        equipment, runs = self.used(row.item)
        told = []
        if equipment:
            told.append(ngettext("{n} piece", "{n} pieces", equipment).format(n=equipment))
        if runs:
            told.append(ngettext("{n} run", "{n} runs", runs).format(n=runs))
        return ", ".join(told)


def spoken_of(finding: Finding) -> tuple[str, ...]:
    """What a finding speaks of; all it names, where their designations do not tell one from the other."""
    alike = len(set(finding.designations)) < len(finding.designations)
    return tuple(dict.fromkeys(finding.ids)) if alike else finding.ids[:1]


_TELLERS = {
    "kind": Facts._kind,
    "ends": Facts._ends,
    "sheets": Facts._sheets,
    "findings": Facts._findings,
    "gaps": Facts._gaps,
    "ratings": Facts._ratings,
    "used": Facts._used_by,
}
