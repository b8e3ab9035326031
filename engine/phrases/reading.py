"""A typed line read: every way to understand all of it, the best first, or what of it is not understood."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from engine.equipment import kinds
from engine.files.errors import quoted
from engine.files.lists.cells import CellError
from engine.installation import Run, Snapshot
from engine.naming import title_of
from engine.phrases.atoms import Atom, atoms_of, is_figure
from engine.phrases.figures import is_quantity, said_fault
from engine.phrases.kinds import entries, rank, words_of
from engine.phrases.steps import Around, Given, Step, Steps
from engine.phrases.telling import told
from engine.phrases.vocabulary import Vocabulary, vocabulary
from engine.words import _

__all__ = ["Given", "Proposal", "Read", "joined_phrases", "place_phrases", "run_phrases", "set_phrases", "split_run"]

MOST = 14  # proposals shown
_MOST_OF_KIND = 6
_MOST_STEPS = 1500  # looked at for one kind
_IN = ("in", "@")
_WORSE = 1.0  # what a reading may cost more than the best one of its kind


class Proposal(NamedTuple):
    """One way to understand a line."""

    kind: str  # of equipment; "" for runs and for what is set on several kinds
    given: tuple[Given, ...]
    told: str  # "Fuse, class T, 300 A"
    template: str = ""
    run: tuple[Given, ...] = ()  # values for the run that joins it


class Read(NamedTuple):
    """What a line can mean; `why` where it means nothing."""

    proposals: tuple[Proposal, ...]
    why: str = ""


class _Found(NamedTuple):
    """The readings of one class: (cost, values); how far the best came; why a value was refused."""

    readings: list[tuple[float, tuple[Given, ...]]]
    reach: int
    refused: str
    says_kind: bool


def split_run(text: str) -> tuple[str, str]:
    """The two parts of "fuse class t 300; 2/0 3 m": what is placed, and the run that joins it."""
    quoted = False
    for n, sign in enumerate(text):
        if sign in '"“”„':
            quoted = not quoted and not (n and text[n - 1].isdigit())  # after a figure it is inches
        if sign == ";" and not quoted:
            return text[:n].strip(), text[n + 1 :].strip()
    return text.strip(), ""


# -- what is placed -------------------------------------------------------------------------------------------------
def place_phrases(text: str, snapshot: Snapshot, recent: Sequence[str] = ()) -> Read:
    """What a line places: a kind with the values that are said of it."""
    atoms = atoms_of(text)
    if not atoms:
        return Read(())
    around, names = _around(snapshot), _Names(snapshot)
    found: list[tuple[float, int, float, int, Proposal]] = []
    stopped: list[tuple[int, int, int, _Found, Any]] = []
    for n, entry in enumerate(entries()):
        cls = kinds()[entry.kind]
        steps = Steps(vocabulary(cls), entry, atoms, around)
        if not steps.may_say_kind:
            continue
        one = _readings(steps, atoms, names)
        used = list(recent).index(entry.kind) if entry.kind in recent else len(recent)
        length = 0.01 * len(entry.named) - 0.1 * (entry.kind == "battery_bank")
        for cost, given in one.readings:
            told_as = told(cls, given, snapshot)
            found.append((round(cost, 3), used, length, n, Proposal(entry.kind, given, told_as)))
        if not one.readings and one.says_kind:
            ranks = [r for a in atoms for w in words_of(a.text) if (r := rank(entry, w)) is not None]
            stopped.append((-one.reach, min(ranks, default=9), n, one, cls))
    if found:
        found.sort(key=lambda f: f[:4])
        best = found[0][0]
        return Read(tuple(p for cost, *_rest, p in found if cost <= best + 6)[:MOST])
    if stopped:
        *_order, one, cls = min(stopped, key=lambda s: s[:3])
        return Read((), _not_understood(atoms, one, _(cls.NAME)))
    return Read((), _fault_of_figures(atoms))


def _readings(steps: Steps, atoms: Sequence[Atom], names: Any, *, must_say: bool = True) -> _Found:
    """Every way to cover all atoms."""
    steps.names = names
    made: dict[frozenset[Given], tuple[float, tuple[Given, ...]]] = {}
    budget, reach, says = _MOST_STEPS, 0, False
    memo: dict[tuple[int, frozenset[str]], list[Step]] = {}
    stack: list[tuple[int, float, tuple[Given, ...], bool]] = [(0, 0.0, (), not must_say)]
    while stack and budget:
        budget -= 1
        at, cost, given, said = stack.pop()
        reach, says = max(reach, at), says or said
        if at == len(atoms):
            if said and _agrees(given):
                key = frozenset(given)
                if key not in made or made[key][0] > cost:
                    made[key] = cost, given
            continue
        if atoms[at].sort == "origin":
            if given and atoms[at].text in ("measured", "nameplate", "typed", "assumed"):
                stack.append((at + 1, cost, (*given[:-1], given[-1]._replace(origin=atoms[at].text)), said))
            continue
        taken = frozenset(g.field for g in given if g.field != "breaking")
        key_here = (at, taken)
        if key_here not in memo:
            memo[key_here] = sorted(steps.at(at, taken), key=lambda s: (s.cost, -s.end), reverse=True)
        for step in memo[key_here]:
            stack.append((step.end, cost + step.cost, given + step.given, said or step.says_kind))
    every = sorted(made.values(), key=lambda m: (round(m[0], 3), -len(m[1])))
    kept = [(cost, _merged(given)) for cost, given in every if cost <= every[0][0] + _WORSE]
    return _Found(kept[:_MOST_OF_KIND], reach, steps.refused, says)


def _merged(given: tuple[Given, ...]) -> tuple[Given, ...]:
    """Breaking capacities at several voltages as one value."""
    breaking = [g for g in given if g.field == "breaking"]
    if len(breaking) < 2:
        return given
    whole = Given("breaking", tuple(b for g in breaking for b in g.value), breaking[-1].origin)
    return (*(g for g in given if g.field != "breaking"), whole)


def _agrees(given: tuple[Given, ...]) -> bool:
    """Whether what is said of direct and of alternating current goes together."""
    values = {g.field: g.value for g in given}
    systems = {b.kind for g in given if g.field == "breaking" for b in g.value}
    systems |= {"DC"} if "rated_dc_v" in values else set()
    systems |= {"AC"} if "rated_ac_v" in values else set()
    if poles := values.get("poles"):
        systems.add("DC" if "+" in poles or "-" in poles else "AC")
    return len(systems) < 2 or "poles" not in values


# -- what is set ----------------------------------------------------------------------------------------------------
def set_phrases(text: str, snapshot: Snapshot, items: Sequence[str]) -> Read:
    """What a line sets on equipment and runs that are chosen: the same fields on all of them."""
    atoms = atoms_of(text)
    classes: dict[Any, str] = {}
    for item in items:
        record: Any = snapshot.equipment.get(item) or snapshot.runs.get(item)
        if record is not None:
            classes.setdefault(type(record), item)
    if not classes:
        return Read((), _("Nothing is chosen that values could be set on."))
    if not atoms:
        return Read(())
    around, names = _around(snapshot), _Names(snapshot)
    by_kind = {entry.kind: entry for entry in entries()}
    common: dict[frozenset[Given], tuple[float, tuple[Given, ...]]] | None = None
    for cls, item in classes.items():
        steps = Steps(vocabulary(cls), by_kind.get(getattr(cls, "KIND", "")), atoms, around)
        one = _readings(steps, atoms, names, must_say=False)
        readings = [(cost, given) for cost, given in one.readings if given]
        if not readings:
            return Read((), _not_understood(atoms, one, title_of(snapshot, _table(snapshot, item), item)))
        here = {frozenset(given): (cost, given) for cost, given in readings}
        common = here if common is None else {k: v for k, v in common.items() if k in here}
    if not common:
        first, other = (title_of(snapshot, _table(snapshot, i), i) for i in list(classes.values())[:2])
        return Read(
            (),
            _("“{text}” does not mean the same fields of {first} and of {other}.").format(
                text=_short(text.strip()), first=first, other=other
            ),
        )
    cls, _item = next(iter(classes.items()))
    kind = getattr(cls, "KIND", "") if len(classes) == 1 else ""
    ordered = sorted(common.values(), key=lambda m: round(m[0], 3))
    return Read(tuple(Proposal(kind, given, told(cls, given, snapshot, alone=True)) for _cost, given in ordered)[:MOST])


def run_phrases(text: str, snapshot: Snapshot) -> Read:
    """What a line says of a run that is not drawn yet."""
    atoms = atoms_of(text)
    if not atoms:
        return Read((Proposal("", (), ""),))
    words: Vocabulary = vocabulary(Run)
    one = _readings(Steps(words, None, atoms, _around(snapshot)), atoms, _Names(snapshot), must_say=False)
    if not one.readings:
        return Read((), _not_understood(atoms, one, _("the run")))
    return Read(tuple(Proposal("", given, told(Run, given, snapshot, alone=True)) for _cost, given in one.readings))


def joined_phrases(text: str, snapshot: Snapshot, recent: Sequence[str] = ()) -> Read:
    """What a line places together with a run: "fuse class t 300; 2/0 3 m"."""
    first, second = split_run(text)
    read = place_phrases(first, snapshot, recent)
    if not second or not read.proposals:
        return read
    runs = run_phrases(second, snapshot)
    if not runs.proposals:
        return runs
    every = [
        p._replace(run=r.given, told=_("{what}; run: {run}").format(what=p.told, run=r.told))
        for p in read.proposals
        for r in runs.proposals
    ]
    return Read(tuple(every[:MOST]))


def _table(snapshot: Snapshot, item: str) -> str:
    return "equipment" if item in snapshot.equipment else "runs"


# -- what is not understood -----------------------------------------------------------------------------------------
def _not_understood(atoms: Sequence[Atom], one: _Found, name: str) -> str:
    if one.refused:
        return _sentence(one.refused)
    culprit = atoms[min(one.reach, len(atoms) - 1)]
    fault = said_fault(culprit.text)
    if fault:
        return _sentence(fault)
    if culprit.sort == "word" and _in_place(atoms, one.reach):
        rest = [a.text for a in atoms[one.reach :] if a.sort == "word"]
        while len(rest) > 1 and rest[0].casefold() in (*_IN, _("in"), _("the")):
            rest.pop(0)
        place = " ".join(rest)
        return _("There is no place and no panel that “{text}” could mean.").format(text=_short(place))
    before = atoms[one.reach - 1] if 0 < one.reach < len(atoms) else culprit
    if (
        culprit.sort == before.sort == "word"
        and is_figure(before.text)
        and is_quantity(f"{before.text} {culprit.text}")
    ):
        culprit = culprit._replace(text=f"{before.text} {culprit.text}")
    text = f"{culprit.field}={culprit.text}" if culprit.sort == "named" else culprit.text
    if culprit.sort == "origin":
        text = f"~{text}"
    return _("“{text}” is not understood for {name}.").format(text=_short(text), name=name)


def _in_place(atoms: Sequence[Atom], at: int) -> bool:
    """Whether what is not understood follows the word that tells where a thing stands."""
    before = [a.text.casefold() for a in atoms[max(at - 2, 0) : at] if a.sort == "word"]
    if at < len(atoms) and atoms[at].text.casefold() in _IN:
        return True
    return any(word in _IN or word == _("in") for word in before)


def _fault_of_figures(atoms: Sequence[Atom]) -> str:
    return next((_sentence(why) for a in atoms if a.sort == "word" and (why := said_fault(a.text))), "")


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."


def _short(text: str) -> str:
    return quoted(text if len(text) <= 40 else f"{text[:39]}…")


# -- the drawing a phrase is read with ------------------------------------------------------------------------------
def _around(snapshot: Snapshot) -> Around:
    places: dict[tuple[str, ...], tuple[str, str]] = {}
    for field, table in (("place", "places"), ("enclosure", "enclosures")):
        for item, record in snapshot.tables[table].items():
            if words_of(record.name):
                places.setdefault(words_of(record.name), (field, item))
    return Around(snapshot.settings.units, places, _volts(snapshot))


def _volts(snapshot: Snapshot) -> tuple[tuple[float, str], ...]:
    """The voltages of the drawing: its systems, what its equipment works at; the usual ones where it has none."""
    found: dict[tuple[float, str], None] = {}
    for system in snapshot.settings.systems:
        if system.nominal_v:
            found[system.nominal_v, system.kind] = None
    for record in snapshot.equipment.values():
        for terminal in record.terminals():
            made = record.nominal_volts(terminal.name)
            if made is not None and made[1]:
                found[float(made[1]), "DC" if made[0] == "dc" else "AC"] = None
    if not found:
        us = snapshot.settings.units == "US"
        found = dict.fromkeys(((12.0, "DC"), (24.0, "DC"), (120.0 if us else 230.0, "AC")))
    return tuple(sorted(found))[:6]


class _Names:
    """What people call things of the drawing, for values that name one."""

    def __init__(self, snapshot: Snapshot) -> None:
        self.snapshot = snapshot

    def id_of(self, table: str, name: str) -> str:
        """The id of what is called `name`. Raises `CellError`."""
        wanted = name.strip().casefold()
        found = [i for i in self.snapshot.tables[table] if title_of(self.snapshot, table, i).casefold() == wanted]
        if len(found) == 1:
            return found[0]
        if found:
            raise CellError(_("{n} things are called {name!r}").format(n=len(found), name=name))
        raise CellError(_("nothing here is called {name!r}").format(name=name))

    def name_of(self, table: str, item: str) -> str:
        """What `item` is called."""
        return title_of(self.snapshot, table, item)
