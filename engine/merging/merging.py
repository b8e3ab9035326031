"""Two drawings made from one brought together: the whole of it, by id.

New records that got the same id in both are two things: those of `b` get new ids, and all of `b` that names them
follows. What both added alike (the same record, a photograph of the same file) is one. What one removed and the other
left alone goes; what the other changed, or needs anew, is asked.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

import msgspec

from engine.comparing.differences import ids_hold
from engine.deficiencies import next_number
from engine.edits.designations import letters_of, next_designation
from engine.edits.draft import Draft, highest_id
from engine.edits.edit import Put, Several
from engine.edits.rewriting import rewritten
from engine.installation.model import LONE, TABLES, Snapshot
from engine.installation.references import dangling, references
from engine.merging.conflict import Choice, Conflict, Sort
from engine.merging.values import merged_record
from engine.naming import title_of
from engine.record import FieldSpec
from engine.words import _

__all__ = ["MergeError", "Merged", "edit_to", "merge"]

_SPEAKING = ("at", "points_at")  # fields that hold an id of several tables
_ROUNDS = 200  # of references put right; each takes a record away or brings one back, so it ends before


class MergeError(ValueError):
    """Why the three cannot be merged, in one sentence."""


class Merged(NamedTuple):
    """What came of it. `snapshot` is whole only where nothing is `open`: until then what is asked stands as `a` has it.

    `notices`: sentences on what was decided without a person. `renamed`: id in `b` -> id it has now.
    """

    snapshot: Snapshot
    last_id: int
    open: tuple[Conflict, ...]
    settled: tuple[Conflict, ...]
    notices: tuple[str, ...]
    renamed: dict[str, str]


def merge(base: Snapshot, a: Snapshot, b: Snapshot, chosen: Mapping[str, Choice] | None = None) -> Merged:
    """Bring `a` and `b` together, both made from `base`. `chosen`: key of a conflict -> whose is taken.

    Raises `MergeError` where one of them was not made from `base`, or something was chosen that cannot be.
    """
    for other in (a, b):
        if not ids_hold(base, other):
            raise MergeError(
                _("The drawings do not come from one another: an id stands for another thing in each. Compare them.")
            )
    return _Merging(base, a, b, chosen or {}).done()


class _Merging:
    def __init__(self, base: Snapshot, a: Snapshot, b: Snapshot, chosen: Mapping[str, Choice]) -> None:
        self.base, self.a = base, a
        self.last_id = max(highest_id(each) for each in (base, a, b))
        self.renamed: dict[str, str] = {}
        self.notices: list[str] = []
        self.b = self._apart(b)
        self.chosen = chosen
        self.asked: dict[str, Conflict] = {}
        self.tables: dict[str, dict[str, Any]] = {}
        self.lone: dict[str, Any] = {}

    def done(self) -> Merged:
        for table in TABLES:
            self.tables[table] = self._table(table)
        for name in LONE:
            self.lone[name] = self._fields(name, name, self.base.lone[name], self.a.lone[name], self.b.lone[name])
        self._references()
        self._designations()
        self._drawn_twice()
        self._revisions()
        self._sheet_numbers()
        self._deficiency_numbers()
        unknown = self.chosen.keys() - self.asked.keys()
        if unknown:
            raise MergeError(_("There is no conflict {key!r}.").format(key=min(unknown)))
        every = self.asked.values()
        return Merged(
            Snapshot(tables={t: _sorted(rows) for t, rows in self.tables.items()}, lone=self.lone),
            self.last_id,
            tuple(c for c in every if c.chosen is None),
            tuple(c for c in every if c.chosen is not None),
            tuple(self.notices),
            self.renamed,
        )

    # -- ids --------------------------------------------------------------------------------------------------------
    def _apart(self, b: Snapshot) -> Snapshot:
        """`b` with other ids for what it added under an id that `a` gave to another thing."""
        renamed: dict[tuple[str, str], str] = {}
        photographs = {r.sha256: i for i, r in self.a.photographs.items() if i not in self.base.photographs}
        for table in TABLES:
            first, mine = self.base.tables[table], self.a.tables[table]
            for item, record in b.tables[table].items():
                if item in first:
                    continue
                if table == "photographs" and record.sha256 in photographs:
                    if photographs[record.sha256] != item:
                        renamed[table, item] = photographs[record.sha256]
                elif item in mine and mine[item] != record:
                    self.last_id += 1
                    renamed[table, item] = f"{TABLES[table][1]}{self.last_id}"
                elif item in mine:
                    name = title_of(b, table, item)
                    told = _("{name} was added alike by both; it is there once.")
                    self.notices.append(told.format(name=name))
        if not renamed:
            return b
        # a name of `b` that now leads to another record of `b` must not be renamed twice: all at once
        by_id = {item: new for (_table, item), new in renamed.items()}
        self.renamed = by_id

        def rename(table: str, item: str) -> str:
            return renamed.get((table, item), item)

        tables: dict[str, dict[str, Any]] = {}
        for table, rows in b.tables.items():
            made = {}
            for item, record in rows.items():
                changed = rewritten(record, rename)
                for field in _SPEAKING:
                    at = getattr(changed, field, "")
                    if isinstance(at, str) and at in by_id:
                        changed = msgspec.structs.replace(changed, **{field: by_id[at]})
                made[rename(table, item)] = changed
            tables[table] = made
        return Snapshot(tables=tables, lone={name: rewritten(r, rename) for name, r in b.lone.items()})

    # -- records ----------------------------------------------------------------------------------------------------
    def _table(self, table: str) -> dict[str, Any]:
        first, mine, theirs = self.base.tables[table], self.a.tables[table], self.b.tables[table]
        made: dict[str, Any] = {}
        for item in dict.fromkeys((*first, *mine, *theirs)):
            record = self._record(table, item, first.get(item), mine.get(item), theirs.get(item))
            if record is not None:
                made[item] = record
        return made

    def _record(self, table: str, item: str, base: Any, a: Any, b: Any) -> Any:
        if a is b or a == b or b == base:
            return a
        if a == base:
            return b
        if a is None or b is None:  # one took away what the other changed
            choice = self._ask(Conflict(f"{table}/{item}", "removed", table, item, "", base, a, b))
            return {"a": a, "b": b, "base": base}[choice]
        if base is None or not (type(base) is type(a) is type(b)):
            choice = self._ask(Conflict(f"{table}/{item}/kind", "kind", table, item, "", base, a, b))
            return {"a": a, "b": b, "base": base if base is not None else a}[choice]
        return self._fields(table, item, base, a, b)

    def _fields(self, table: str, item: str, base: Any, a: Any, b: Any) -> Any:
        if a == b or b == base:
            return a
        if a == base:
            return b

        def ask(path: str, specs: tuple[FieldSpec, ...], first: Any, mine: Any, theirs: Any) -> Choice:
            key = f"{table}/{item}/{path}"
            return self._ask(Conflict(key, "field", table, item, path, first, mine, theirs, specs=specs))

        return merged_record(base, a, b, ask)

    def _ask(self, conflict: Conflict) -> Choice:
        """What was chosen; until somebody has, what `a` has."""
        choice = self.chosen.get(conflict.key)
        if choice is not None and choice not in conflict.choices:
            raise MergeError(_("{key}: {choice!r} cannot be chosen.").format(key=conflict.key, choice=choice))
        self.asked[conflict.key] = conflict._replace(chosen=choice)
        return choice or conflict.choices[0]

    # -- what must hold of the whole -----------------------------------------------------------------------------------
    def _find(self, table: str, item: str) -> Any:
        return self.lone.get(item) if table in LONE else self.tables[table].get(item)

    def _references(self) -> None:
        """What names a record that is gone: either the record comes back, or what names it lets go or goes too."""
        for _round in range(_ROUNDS):
            broken = self._broken()
            if not broken:
                return
            for (table, item), users in broken.items():
                self._needed(table, item, users)

    def _broken(self) -> dict[tuple[str, str], list[tuple[str, str]]]:
        """Records that are missing, or lack a terminal or position, with who names them."""
        found: dict[tuple[str, str], list[tuple[str, str]]] = {}
        for table, item, record in self._everything():
            faults = list(dangling(record, "", self._find))
            if not faults:
                continue
            missing = [r for r in references(record) if self._find(r.table, r.id) is None]
            owners = [(r.table, r.id) for r in missing] or self._owners(record)
            for owner in dict.fromkeys(owners):
                found.setdefault(owner, []).append((table, item))
        return found

    def _owners(self, record: Any) -> list[tuple[str, str]]:
        """Equipment without the terminal or position that a record names."""
        named = [(r.table, r.id) for r in references(record) if r.table == "equipment"]
        changed = [o for o in named if self._find(*o) not in (self.a.tables[o[0]].get(o[1]), None)]
        unlike = [o for o in named if self.a.tables[o[0]].get(o[1]) != self.b.tables[o[0]].get(o[1])]
        return (changed or unlike or named)[:1]

    def _everything(self) -> Iterator[tuple[str, str, Any]]:
        for table, rows in self.tables.items():
            for item, record in list(rows.items()):
                yield table, item, record
        for name, record in self.lone.items():
            yield name, name, record

    def _needed(self, table: str, item: str, users: list[tuple[str, str]]) -> None:
        base, a, b = (s.tables[table].get(item) for s in (self.base, self.a, self.b))
        there = self._find(table, item)
        key = f"{table}/{item}/needed"
        # who has what the users need: the side that still has it, or has it with the terminal
        keeps: Choice = "a" if a is not None and (b is None or self._serves(users, table, item, a)) else "b"
        loses: Choice = "b" if keeps == "a" else "a"
        before = self.asked.get(key)
        if (before is not None and before.chosen == loses) or self._gone_by_choice(table, item):
            self._let_go(table, item, users, there)
            return
        conflict = Conflict(key, "needed", table, item, "", base, a, b, ("a", "b"), others=tuple(users))
        choice = self._ask(conflict)
        if before is None and self.asked[key].chosen is None:
            choice = keeps
        kept = {"a": a, "b": b}[choice]
        if choice == loses or kept is None or kept == there:
            self._let_go(table, item, users, there)
        else:
            self.tables[table][item] = kept

    def _serves(self, users: list[tuple[str, str]], table: str, item: str, candidate: Any) -> bool:
        """Whether with that version nobody misses anything."""

        def find(t: str, i: str) -> Any:
            return candidate if (t, i) == (table, item) else self._find(t, i)

        return not any(list(dangling(self._find(t, i), "", find)) for t, i in users if self._find(t, i) is not None)

    def _gone_by_choice(self, table: str, item: str) -> bool:
        settled = self.asked.get(f"{table}/{item}")
        return settled is not None and settled.chosen is not None and self._find(table, item) is None

    def _let_go(self, table: str, item: str, users: list[tuple[str, str]], there: Any) -> None:
        """Those that name what is gone name it no longer; what must name something goes with it, and that is told."""
        for of, user in users:
            record = self._find(of, user)
            if record is None:
                continue
            made = None if there is not None else rewritten(record, lambda t, i: "" if (t, i) == (table, item) else i)
            name = title_of(self._whole(), of, user)
            if of in LONE:
                if made is not None:
                    self.lone[of] = made
            elif made is None:
                del self.tables[of][user]
                self.notices.append(
                    _("{name} goes with {thing}, which it cannot be without.").format(
                        name=name, thing=self._title(table, item)
                    )
                )
            else:
                self.tables[of][user] = made
                self.notices.append(
                    _("{name} no longer names {thing}, which is gone.").format(
                        name=name, thing=self._title(table, item)
                    )
                )

    def _title(self, table: str, item: str) -> str:
        for snapshot in (self.a, self.b, self.base):
            if item in snapshot.tables[table]:
                return title_of(snapshot, table, item)
        return item

    def _whole(self) -> Snapshot:
        return Snapshot(tables=self.tables, lone=self.lone)

    def _designations(self) -> None:
        """One name for two things, where neither drawing had it so: the other's gets the next free one."""
        for names in _twice(self._whole()):
            if any(self._twice_in(side, names) for side in (self.base, self.a, self.b)):
                continue
            (table, item), *others = sorted(names, key=lambda n: (n[1] not in self.a.tables[n[0]], n))
            for of, other in others:
                record = self._find(of, other)
                key = f"{of}/{other}/designation"
                mine, theirs = self._find(table, item), record
                conflict = Conflict(
                    key,
                    "designation",
                    of,
                    other,
                    "designation",
                    None,
                    mine,
                    theirs,
                    ("a", "b"),
                    others=((table, item),),
                )
                choice = self._ask(conflict)
                loser = (of, other) if choice == "a" else (table, item)
                kept = self._find(*loser)
                free = next_designation(self._whole(), letters_of(kept.designation) or "X")
                self.tables[loser[0]][loser[1]] = msgspec.structs.replace(kept, designation=free)
                told = _("{name} is called {free}: both drawings had given the name {name}.")
                if self.asked[key].chosen is not None:
                    self.notices.append(told.format(name=kept.designation, free=free))

    def _twice_in(self, side: Snapshot, names: list[tuple[str, str]]) -> bool:
        there = [side.tables[t].get(i) for t, i in names]
        called = [r.designation.casefold() for r in there if r is not None]
        return len(called) != len(set(called))

    def _drawn_twice(self) -> None:
        """A terminal that two symbols show: both had put the same thing on a sheet."""
        shown: dict[tuple[str, str], str] = {}
        for item, placement in list(self.tables["placements"].items()):
            owner = self.tables["equipment"].get(placement.equipment)
            if owner is None:
                continue
            for terminal in placement.terminals or [t.name for t in owner.terminals()]:
                other = shown.setdefault((placement.equipment, terminal), item)
                if other == item or other not in self.tables["placements"]:
                    continue
                if all({other, item} <= s.tables["placements"].keys() for s in (self.a,)) or all(
                    {other, item} <= s.tables["placements"].keys() for s in (self.b,)
                ):
                    break  # one of the drawings had it so
                self._one_of("placements", other, item, "drawn twice")
                break
        routed: dict[tuple[str, str], str] = {}
        for item, route in list(self.tables["routes"].items()):
            other = routed.setdefault((route.run, route.sheet), item)
            if other != item and other in self.tables["routes"]:
                # a way on the sheet is worked out: what `a` drew stays, nothing is lost with the other
                del self.tables["routes"][item]

    def _one_of(self, table: str, first: str, second: str, sort: Sort) -> None:
        mine, theirs = (first, second) if first in self.a.tables[table] else (second, first)
        rows = self.tables[table]
        conflict = Conflict(
            f"{table}/{theirs}/twice", sort, table, theirs, "", None, rows[mine], rows[theirs], ("a", "b"),
            others=((table, mine),),
        )  # fmt: skip
        rows.pop(theirs if self._ask(conflict) == "a" else mine)

    def _revisions(self) -> None:
        """Two issues of one index."""
        seen: dict[str, str] = {}
        for item, record in list(self.tables["revisions"].items()):
            index = record.index.strip().casefold()
            other = seen.setdefault(index, item)
            both = {other, item}
            if other != item and not any(both <= s.revisions.keys() for s in (self.base, self.a, self.b)):
                self._one_of("revisions", other, item, "revision")

    def _sheet_numbers(self) -> None:
        """Two sheets of one number: the one of `b` goes behind the last."""
        seen: dict[int, str] = {}
        rows = self.tables["sheets"]
        for item, sheet in list(rows.items()):
            other = seen.setdefault(sheet.number, item)
            if other == item or any({other, item} <= s.sheets.keys() for s in (self.base, self.a, self.b)):
                continue
            moved = item if item not in self.a.sheets else other
            number = max(s.number for s in rows.values()) + 1
            told = _("{sheet} of the second drawing is sheet {number} now.")
            self.notices.append(told.format(sheet=title_of(self._whole(), "sheets", moved), number=number))
            rows[moved] = msgspec.structs.replace(rows[moved], number=number)
            seen[number] = moved

    def _deficiency_numbers(self) -> None:
        """Two surveyors gave one number: the deficiency of `b` gets the next; no number stands in two squares."""
        seen: dict[int, str] = {}
        rows = self.tables["deficiencies"]
        for item in sorted(rows, key=lambda i: (i not in self.a.deficiencies, i)):
            number = rows[item].number
            if number is None or seen.setdefault(number, item) == item:
                continue
            if any({seen[number], item} <= s.deficiencies.keys() for s in (self.base, self.a, self.b)):
                continue
            free = next_number(self._whole())
            told = _("Deficiency {n} of the second drawing is number {free} now.")
            self.notices.append(told.format(n=number, free=free))
            rows[item] = msgspec.structs.replace(rows[item], number=free)
            seen[free] = item


def _twice(snapshot: Snapshot) -> list[list[tuple[str, str]]]:
    named: dict[str, list[tuple[str, str]]] = {}
    for table in ("equipment", "runs"):
        for item, record in snapshot.tables[table].items():
            if record.designation:
                named.setdefault(record.designation.casefold(), []).append((table, item))
    return [names for names in named.values() if len(names) > 1]


def _sorted(rows: dict[str, Any]) -> dict[str, Any]:
    return dict(sorted(rows.items(), key=lambda row: (int(row[0][1:]) if row[0][1:].isdecimal() else 0, row[0])))


def edit_to(now: Snapshot, wanted: Snapshot, last_id: int, words: str) -> Several:
    """The one edit that makes `now` into `wanted`."""
    draft = Draft(now, last_id)
    for table in TABLES:
        mine, theirs = now.tables[table], wanted.tables[table]
        for item in dict.fromkeys((*mine, *theirs)):
            if mine.get(item) != theirs.get(item):
                draft.put(table, item, theirs.get(item))
    made = draft.done(words)
    lone = tuple(Put(n, n, wanted.lone[n]) for n in LONE if now.lone[n] != wanted.lone[n])
    return Several((*made.edits, *lone), words)
