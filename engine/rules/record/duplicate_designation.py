"""Two devices or runs carry one designation.

What it checks
--------------
Every designation of equipment and runs, spaces at its ends not minded. What is to be removed may share the designation
of what takes its place; the empty designation is not compared.

Why it matters
--------------
A designation is what people find a thing by: on the drawing, on the marker aboard, in the schedule, in a finding. With
two things called F3 somebody opens the wrong one.

What to do
----------
Give each its own. Where one replaces the other in a refit, give the old one the status *to remove*.

Limits read
-----------
None.

References
----------
IEC 81346-1: a reference designation identifies one object; from memory, not confirmed.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.builder import Builder
from engine.findings import Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.study import Study
from engine.words import N_, _, inward

SLUG = "duplicate-designation"
WORD: Word = "caution"
TITLE = N_("two devices or runs with one designation")
LOOKS_AT = N_("equipment and runs that have a designation")


def check(study: Study) -> Iterator[Remark]:
    """One finding a designation."""
    bearers: dict[str, list[str]] = {}
    for table in (study.snapshot.equipment, study.snapshot.runs):
        for item, record in table.items():
            designation = record.designation.strip()
            if designation and record.status != "to remove":
                bearers.setdefault(designation, []).append(item)
    for designation, items in bearers.items():
        if len(items) < 2:
            if study.proving:
                only = _("Nothing else is called {designation}.").format(designation=designation)
                yield proved(study, SLUG, items[0], message=only)
            continue
        yield Finding(
            rule=SLUG,
            word=WORD,
            designations=(designation,) * len(items),
            ids=tuple(items),
            message=_("{count} things are called {designation}: {what}.").format(
                count=len(items), designation=designation, what=", ".join(_what(study, item) for item in items)
            ),
            fixes=(_("give each a designation of its own"),),
        )


def _what(study: Study, item: str) -> str:
    """What it is, since its name does not tell."""
    runs = study.snapshot.runs
    if item in runs:
        run = runs[item]
        ends = study.name(run.from_end.equipment), study.name(run.to_end.equipment)
        return _("run from {start} to {stop}").format(start=ends[0], stop=ends[1])
    record = study.snapshot.equipment[item]
    return record.label or inward(_(record.NAME))


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """All but the first get the next free designation of their letter."""
    from engine.edits.designations import for_kind, letters_of, next_designation
    from engine.edits.draft import Draft

    draft = Draft(study.snapshot)
    told = []
    for item in finding.ids[1:]:
        table = "runs" if item in study.snapshot.runs else "equipment"
        letters = "W" if table == "runs" else letters_of(draft.get(table, item).designation)
        now = draft.snapshot()
        name = next_designation(now, letters) if letters else for_kind(now, draft.get(table, item).KIND)
        draft.change(table, item, designation=name)
        told.append(_("the {what} “{name}”").format(what=_what(study, item), name=name))
    text = _("call {what}").format(what=", ".join(told))
    yield Fix(text, draft.done(text))


# -- examples -------------------------------------------------------------------------------------------------------
def _fuses(first: str, second: str, status: str = "existing") -> Installation:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("bus_bar", "W1")
    b.run("W11", "G1.pos", "W1.bar", size="2 AWG", length_m=0.1)
    for name, state in ((first, status), (second, "existing")):
        b.add("fuse", name, rating_a=10, status=state)
        b.run("" if name == first else "W13", "W1.bar", f"{name}.in", size="14 AWG", length_m=0.1)
    return b.installation


def _run_named_as_equipment() -> Installation:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=10)
    b.run("F1", "G1.pos", "F1.in", size="2 AWG", length_m=0.1)
    return b.installation


GOOD = (
    Example("every name its own; runs without a designation are not compared", lambda: _fuses("F1", "F2")),
    Example(
        "the old fuse is to be removed, the new one takes its designation", lambda: _fuses("F1", "F1", "to remove")
    ),
)
BAD = (
    Example("two fuses called F1", lambda: _fuses("F1", "F1"), (("F1", "F1"),)),
    Example("a run called as the fuse it leads to", _run_named_as_equipment, (("F1", "F1"),)),
)
