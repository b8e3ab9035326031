"""What is exported and imported again is the same boat up to its ids, for every kind and every field."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.edits import Put, apply
from engine.equipment import kinds
from engine.files.drawing import dump, load, read_bytes
from engine.files.lists import list_losses, write_lists
from engine.installation import (
    LONE,
    Condition,
    ConditionDuty,
    Enclosure,
    End,
    Held,
    Installation,
    Interlock,
    Place,
    Run,
    Setting,
)
from engine.installation.references import references
from engine.record import ORIGINS, FieldSpec, field_specs
from engine.units import AWG_SIZES, METRIC_SIZES

LETTERS = st.characters(exclude_categories=("Cs", "Cc"))
# texts that spreadsheets, separators and our own marks would make something else of
AWKWARD = st.sampled_from(
    [
        *(
            "=1+1",
            "+5",
            "-",
            "@x",
            "'",
            "''a",
            ' "q" ',
            "a;b",
            "a,b",
            "unknown",
            "yes",
            "105",
            "60 °C",
            "?",
            "?e1",
            "#",
        ),
        *("x ~measured", "~typed", "x ~unsaid", "name=1", "a\nb", "1.5 m", "Cabin 2 m", "Cabin: 2", "2/0", "~", " x"),
        *("(unsheathed 1 m)", "x ", "a.b", "F1#2", "a:b", "\u00a0", "0", "label=x", "sep=;"),
    ]
)
WORD = st.text(LETTERS, max_size=8) | AWKWARD
NAME = st.text(LETTERS, min_size=1, max_size=8).filter(str.strip) | AWKWARD.filter(str.strip)


def plain(name: str) -> str:
    return " ".join(name.split()).casefold()


def number(spec: FieldSpec) -> st.SearchStrategy[float]:
    low = -1e6 if spec.fact.low is None else spec.fact.low
    high = 1e6 if spec.fact.high is None else spec.fact.high
    whole = st.integers(int(low), int(high)).map(float)
    made = whole | st.floats(low, high, allow_subnormal=False).map(lambda v: v + 0.0)
    above = spec.fact.above
    return made if above is None else made.filter(lambda v: v > above)


def value(draw: Any, spec: FieldSpec, ids: dict[str, list[str]]) -> Any:
    """Any value a field takes; `ids` are what it may name."""
    if spec.optional and draw(st.integers(0, 3)) == 0:
        return None
    if spec.shape == "number":
        return draw(number(spec))
    if spec.shape == "whole":
        low, high = int(spec.fact.low or 0), int(spec.fact.high or 2000)
        return draw(st.integers(low, high))
    if spec.shape == "yesno":
        return draw(st.booleans())
    if spec.shape == "choice":
        return draw(st.sampled_from(sorted(spec.literals)))
    if spec.shape == "words":
        some = st.sampled_from(ids[spec.fact.refers]) if spec.fact.refers else WORD
        return tuple(draw(st.lists(st.sampled_from(spec.choices) if spec.choices else some, max_size=3)))
    if spec.shape == "records":
        return tuple(struct(draw, spec.item, ids) for _each in range(draw(st.integers(0, 2))))
    if spec.fact.unit == "size":
        return draw(st.sampled_from(["", "3 mm2", "7 AWG", *AWG_SIZES, *METRIC_SIZES]))
    if spec.fact.refers:
        needed = [""] if spec.default == "" else []
        return draw(st.sampled_from([*needed, *ids[spec.fact.refers]]))
    return draw(WORD)


def struct(draw: Any, cls: Any, ids: dict[str, list[str]]) -> Any:
    return cls(**{spec.name: value(draw, spec, ids) for spec in field_specs(cls)})


def some_fields(draw: Any, cls: Any, ids: dict[str, list[str]], *not_these: str) -> dict[str, Any]:
    """A few fields with a value, a few with a word about where it comes from."""
    specs = [s for s in field_specs(cls) if s.name not in not_these and s.shape != "record"]
    chosen = draw(st.lists(st.sampled_from(specs), max_size=6, unique_by=lambda s: s.name)) if specs else []
    marked = draw(st.lists(st.sampled_from(specs), max_size=2, unique_by=lambda s: s.name)) if specs else []
    origins = tuple(sorted((s.name, draw(st.sampled_from(ORIGINS))) for s in marked))
    return {"origins": origins} | {s.name: value(draw, s, ids) for s in chosen}


@st.composite
def boats(draw: Any) -> Installation:
    """An installation with everything that lists hold."""
    x = Installation()
    ids: dict[str, list[str]] = {}
    last = 0

    def give(table: str, letter: str, count: int) -> list[str]:
        nonlocal last
        made = [f"{letter}{last + n}" for n in range(1, count + 1)]
        last += count
        ids[table] = made
        return made

    def names(count: int) -> list[str]:
        return draw(st.lists(NAME, min_size=count, max_size=count, unique_by=plain))

    puts: list[Put] = []
    for item, name in zip(give("places", "p", 2), names(2), strict=True):
        fields = some_fields(draw, Place, ids, "name")
        puts.append(Put("places", item, Place(name=name, **fields)))
    for item, name in zip(give("enclosures", "b", 1), names(1), strict=True):
        puts.append(Put("enclosures", item, Enclosure(name=name, **some_fields(draw, Enclosure, ids, "name"))))
    conditions = list(zip(give("conditions", "c", 2), names(2), strict=True))
    classes = draw(st.lists(st.sampled_from(sorted(kinds())), min_size=2, max_size=5))
    designations = draw(st.lists(st.just("") | NAME, min_size=len(classes), max_size=len(classes)))
    equipment = give("equipment", "e", len(classes))
    records: dict[str, Any] = {}
    taken: set[str] = set()
    for item, kind, designation in zip(equipment, classes, designations, strict=True):
        fields = some_fields(draw, kinds()[kind], ids, "designation", "in_position")
        record = kinds()[kind](designation="" if designation in taken else designation, **fields)
        taken.add(designation)
        if record.positions() and draw(st.booleans()):
            record = type(record)(
                **{f: getattr(record, f) for f in record.__struct_fields__ if f != "in_position"},
                in_position=draw(st.sampled_from(record.positions())),
            )
        records[item] = record
        puts.append(Put("equipment", item, record))
    joinable = [item for item in equipment if records[item].terminals()]
    inner = [s for s in field_specs(End) if s.name not in ("equipment", "terminal")]
    for item in give("runs", "r", draw(st.integers(0, 3)) if joinable else 0):
        ends = []
        for _each in range(2):
            at = draw(st.sampled_from(joinable))
            terminal = draw(st.sampled_from([t.name for t in records[at].terminals()]))
            extra = {s.name: value(draw, s, ids) for s in inner if draw(st.booleans())}
            ends.append(End(equipment=at, terminal=terminal, **extra))
        puts.append(Put("runs", item, Run(from_end=ends[0], to_end=ends[1], **some_fields(draw, Run, ids))))
    switches = [item for item in equipment if records[item].positions()]
    for item, name in conditions:
        set_ones = draw(st.lists(st.sampled_from(switches), max_size=2, unique=True)) if switches else []
        settings = tuple(Setting(equipment=s, position=draw(st.sampled_from(records[s].positions()))) for s in set_ones)
        running = tuple(draw(st.lists(st.sampled_from(equipment), max_size=2)))
        duties = tuple(
            ConditionDuty(equipment=draw(st.sampled_from(equipment)), hours_a_day=draw(st.floats(0, 24)) + 0.0)
            for _each in range(draw(st.integers(0, 2)))
        )
        fields = some_fields(draw, Condition, ids, "name", "settings", "running", "duties")
        puts.append(
            Put("conditions", item, Condition(name=name, settings=settings, running=running, duties=duties, **fields))
        )
    for item in give("interlocks", "i", draw(st.integers(0, 2)) if switches else 0):
        held = tuple(
            Held(equipment=s, positions=tuple(draw(st.lists(st.sampled_from(records[s].positions()), max_size=2))))
            for s in draw(st.lists(st.sampled_from(switches), min_size=1, max_size=3))
        )
        fields = some_fields(draw, Interlock, ids, "held")
        puts.append(Put("interlocks", item, Interlock(held=held, **fields)))
    for name, cls in LONE.items():
        puts.append(Put(name, name, cls(**some_fields(draw, cls, ids))))
    order = ["places", "enclosures", "equipment", "runs", "conditions", "interlocks", *LONE]
    for put in sorted(puts, key=lambda p: order.index(p.table)):
        # conditions and the loads that name them wait for one another, so references are not looked at one by one
        x._put(put.table, put.id, put.record)
    for table in order[:6]:
        for _item, record in x.items(table):
            assert all(x.get(r.table, r.id) is not None for r in references(record))
    return x


@given(boats())
def test_what_is_exported_and_imported_again_is_the_same_boat(imported: Any, without_ids: Any, x: Installation) -> None:
    result = imported(x)
    assert [str(f) for f in result.faults] == []
    assert without_ids(result.installation()) == without_ids(x)


@settings(max_examples=30)
@given(boats())
def test_exporting_twice_gives_the_same_lists(imported: Any, x: Installation) -> None:
    again = imported(x).installation()
    strip = {"equipment.csv", "runs.csv", "states.csv", "interlocks.csv"}  # these hold ids of what has no designation
    first, second = write_lists(x.snapshot()), write_lists(again.snapshot())
    assert {k: v for k, v in first.items() if k not in strip} == {k: v for k, v in second.items() if k not in strip}
    if all(record.designation for record in x.equipment.values()):
        assert first == second


@settings(max_examples=30)
@given(boats())
def test_the_drawing_of_such_a_boat_opens_again(x: Installation) -> None:
    data = dump(x)
    assert dump(read_bytes(data).installation) == data


@settings(max_examples=30)
@given(boats())
def test_no_cell_that_leaves_the_program_can_be_taken_for_a_formula(x: Installation) -> None:
    for rows in write_lists(x.snapshot()).values():
        for cell in (cell for row in rows for cell in row):
            if cell.startswith(("=", "+", "-", "@", "\t", "\r")):
                float(cell.partition(" ~")[0])  # only a number may begin so


SAMPLES = sorted((Path(__file__).parents[4] / "samples").glob("*/*.linewright"))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_samples_come_back_from_their_lists(imported: Any, without_ids: Any, path: Path) -> None:
    x = load(path).installation
    result = imported(x)
    assert [str(f) for f in result.faults] == []
    # what is drawn, decided and surveyed stays in the drawing
    drawn = ("sheets", "placements", "routes", "remarks", "revisions", "waivers", "deficiencies")
    drawn += ("surveys", "photographs", "inspections", "instruments", "readings")
    ours, theirs = without_ids(result.installation()), without_ids(x)
    assert {k: v for k, v in ours.items() if k not in drawn} == {k: v for k, v in theirs.items() if k not in drawn}


@pytest.mark.parametrize("kind", sorted(kinds()))
def test_every_field_of_every_kind_has_a_column(kind: str) -> None:
    from engine.files.lists.columns import targets

    for spec in field_specs(kinds()[kind]):
        (found,) = targets(kinds()[kind], spec.file_name, "")
        assert found.spec == spec


def test_what_lists_do_not_hold_is_said() -> None:
    from engine.installation import Sheet, Waiver

    surveyed = load(SAMPLES[0].parents[1] / "workboat" / "surveyed.linewright").installation.snapshot()
    told = " ".join(list_losses(surveyed))
    assert all(what in told for what in ("deficiencies", "photographs", "inspected", "instruments", "measured"))
    x = Installation()
    apply(x, Put("sheets", "s1", Sheet()))
    apply(x, Put("waivers", "w2", Waiver(rule="x")))
    for item in ("e3", "e4"):
        apply(x, Put("equipment", item, kinds()["fuse"](designation="F1")))
    for item, name in (("p5", "Bilge"), ("p6", " bilge")):
        apply(x, Put("places", item, Place(name=name)))
    assert list_losses(x.snapshot()) == (
        "Lists do not hold the sheets and what stands where on them.",
        "Lists do not hold the waivers.",
        "F1 is the designation of several pieces: the lists cannot be read again.",
        "Several things are called 'bilge': the lists cannot be read again.",
    )
