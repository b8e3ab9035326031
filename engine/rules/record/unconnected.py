"""A terminal that must be connected is not, or a run ends loose.

What it checks
--------------
* A terminal its kind says must be connected, at which no run arrives. What is *spare* or *to remove* is skipped.
* A run that ends at an open end, unless the run or its end is *spare* or *to remove*.
* A conductor that a run brings to a terminal which has no place for it and which is not live (an earth, a neutral, a
  negative): it ends there. Live ones are `voltage-mismatch`.

Equipment whose negative is not drawn returns to its system's negative; that is an assumed return and no finding. A
control terminal takes whatever controls it.

Why it matters
--------------
What is not connected on the drawing is either not connected aboard or not drawn. The first does not work; the second is
not judged by any other rule.

What to do
----------
Draw the missing run, or give what is kept for later the status *spare*.

Limits read
-----------
None.

References
----------
Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from engine.builder import Builder
from engine.equipment.base import LIVE
from engine.findings import Finding, Remark, Word
from engine.fixes import Fix, set_fields
from engine.installation.model import Installation
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import named
from engine.study import Study
from engine.words import N_, _, ngettext

SLUG = "unconnected"
WORD: Word = "caution"
TITLE = N_("terminal not connected, or run with a loose end")
LOOKS_AT = N_("equipment with terminals that must be connected, and runs")
SKIPPED = ("spare", "to remove")


def check(study: Study) -> Iterator[Remark]:
    """One finding a piece of equipment, one a loose run, one a conductor without a place."""
    snapshot = study.snapshot
    arrives = {(end.equipment, end.terminal) for run in snapshot.runs.values() for end in (run.from_end, run.to_end)}
    for item, record in snapshot.equipment.items():
        if record.status in SKIPPED:
            continue
        bare = [t.name for t in record.terminals() if t.must and (item, t.name) not in arrives]
        if bare:
            yield _bare(study, item, bare)
        elif study.proving and any(t.must for t in record.terminals()):
            joined = _("A run arrives at every terminal of {name} that must have one.")
            yield proved(study, SLUG, item, message=joined.format(name=named(study, item)))
    for item, run in snapshot.runs.items():
        loose = [
            end.equipment
            for end in (run.from_end, run.to_end)
            if snapshot.equipment[end.equipment].KIND == "open_end"
            and snapshot.equipment[end.equipment].status not in SKIPPED
        ]
        if loose and run.status not in SKIPPED:
            yield _loose(study, item, loose)
        elif study.proving and run.status not in SKIPPED:
            joined = _("Run {run} is connected at both ends.").format(run=study.name(item))
            yield proved(study, SLUG, item, message=joined, detail="loose end")
    yield from _no_place(study)


def _bare(study: Study, item: str, terminals: list[str]) -> Finding:
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(item),),
        ids=(item,),
        message=ngettext(
            "Nothing is connected to terminal {terminals} of {name}.",
            "Nothing is connected to terminals {terminals} of {name}.",
            len(terminals),
        ).format(terminals=", ".join(terminals), name=named(study, item)),
        fixes=(
            _("draw the run that arrives there"),
            _("give {name} the status spare, where it is kept for later").format(name=study.name(item)),
        ),
    )


def _loose(study: Study, item: str, ends: list[str]) -> Finding:
    run = study.snapshot.runs[item]
    both = (run.from_end.equipment, run.to_end.equipment)
    held = [study.name(end) for end in both if end not in ends]
    if held:
        message = _("Run {run} from {name} ends loose.").format(run=study.name(item), name=held[0])
    else:
        message = _("Run {run} is loose at both ends.").format(run=study.name(item))
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(item),),
        ids=(item, *ends),
        message=message,
        fixes=(
            _("connect its end"),
            _("give run {run} the status spare, where it is kept for later").format(run=study.name(item)),
        ),
        detail="loose end",
    )


def _no_place(study: Study) -> Iterator[Finding]:
    snapshot = study.snapshot
    brought: dict[tuple[str, str], list[str]] = {}
    for item, end, conductor in study.circuit.refused:
        if conductor not in LIVE:
            brought.setdefault((item, end), []).append(conductor)
    for (item, end), conductors in brought.items():
        run = snapshot.runs[item]
        at = run.from_end if end == "from" else run.to_end
        record = snapshot.equipment[at.equipment]
        takes = next((t.conductors for t in record.terminals() if t.name == at.terminal), ())
        if takes == ("S",) or run.status in SKIPPED or record.status in SKIPPED:
            continue
        yield Finding(
            rule=SLUG,
            word=WORD,
            designations=(study.name(item), study.name(at.equipment)),
            ids=(item, at.equipment),
            message=_("Run {run} brings {conductors} to {name}.{terminal}, which has no place for it.").format(
                run=study.name(item),
                conductors=", ".join(conductors),
                name=study.name(at.equipment),
                terminal=at.terminal,
            ),
            fixes=(
                _("record that the run has no such conductor"),
                _("end it at the terminal it belongs to, by a run of its own"),
            ),
            detail=f"{end} end",
        )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """Recorded as a spare, where it is kept for later; as without the conductor that has no place."""
    item = finding.ids[0]
    table = "runs" if item in study.snapshot.runs else "equipment"
    if finding.detail.endswith(" end") and finding.detail != "loose end":
        run, left = study.snapshot.runs[item], {"N": "neutral", "PE": "earth"}
        brought = {c for of, end, c in study.circuit.refused if of == item and finding.detail == f"{end} end"} - set(
            LIVE
        )
        if run.function == "ac" and brought <= left.keys():
            text = _("record run {run} without {conductors}").format(
                run=study.name(item), conductors=", ".join(sorted(brought))
            )
            yield set_fields(text, "runs", item, {left[conductor]: False for conductor in sorted(brought)})
        return
    text = _("record {name} as a spare, kept for later").format(name=study.name(item))
    yield set_fields(text, table, item, {"status": "spare"})


# -- examples -------------------------------------------------------------------------------------------------------
def _fuse(*, out: bool, status: str = "existing") -> Installation:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=10, status=status)
    b.run("W1", "G1.pos", "F1.in", size="14 AWG", length_m=0.1)
    if out:
        b.add("load", "E1", dc_v=12)
        b.run("W2", "F1.out", "E1.in", function="dc positive", size="14 AWG", length_m=2)
    return b.installation


def _open(run: str = "existing", end: str = "existing") -> Installation:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("open_end", "X1", status=end)
    b.run("W1", "G1.pos", "X1.at", size="14 AWG", length_m=2, status=run)
    return b.installation


def _neutral(*, neutral: bool) -> Installation:
    b = Builder()
    b.add("alternator", "G2", output="AC")
    b.add("rectifier", "T1", dc_v=12)
    b.add("battery_bank", "G1", unit_v=12)
    b.run("W1", "G2.pos", "T1.ac", function="ac", phases="L1 L2 L3", neutral=neutral, earth=False)
    b.run("W2", "T1.pos", "G1.pos", size="2 AWG", length_m=1)
    return b.installation


GOOD = (
    Example("everything connected; the lamp's negative is an assumed return", lambda: _fuse(out=True)),
    Example("a spare fuse with nothing on it", lambda: _fuse(out=False, status="spare")),
    Example("a spare run laid for later", lambda: _open(run="spare")),
    Example("three phases without neutral to a rectifier", lambda: _neutral(neutral=False)),
)
BAD = (
    Example("nothing on the load side of a fuse", lambda: _fuse(out=False), (("F1",),)),
    Example("a run that ends loose", _open, (("W1",),)),
    Example("a neutral brought from a machine that has none", lambda: _neutral(neutral=True), (("W1", "G2"),)),
)
