"""Random edits to a copy are exactly what a comparison reports; the oracle reads the two files as plain JSON."""

from __future__ import annotations

import json
import random
from pathlib import Path
from typing import Any

import pytest

from engine.comparing import Differences, differences, told
from engine.edits import EditError, Put, SetFields, apply
from engine.edits.removing import remove
from engine.equipment import kind_named
from engine.files.drawing import dump, load, read_bytes
from engine.installation import LONE, TABLES, End, Installation, Run
from engine.record import field_specs, to_builtins

SAMPLES = Path(__file__).parents[3] / "samples"
FILES = [SAMPLES / name / f"{name}.linewright" for name in ("launch", "ketch", "workboat")]
WORDS = ("label", "note", "designation", "old_marking", "text", "observation", "name", "title", "reason")


def copy_of(installation: Installation) -> Installation:
    return read_bytes(dump(installation)).installation


def any_edit(x: Installation, rng: random.Random) -> None:
    """Something a person may do, of any sort; an edit that is refused changes nothing."""
    snapshot = x.snapshot()
    table = rng.choice([t for t in TABLES if snapshot.tables[t]])
    item = rng.choice(list(snapshot.tables[table]))
    act = rng.random()
    try:
        if act < 0.6:
            name = rng.choice(list(LONE)) if rng.random() < 0.15 else table
            item = name if name in LONE else item
            record: Any = x.get(name, item)
            spec = rng.choice(field_specs(type(record)))
            apply(x, SetFields(name, item, ((spec.name, other_value(spec, record, rng)),)), again=True)
        elif act < 0.75:
            apply(x, remove(snapshot, x.last_id, [item], with_runs=rng.random() < 0.7), again=True)
        elif act < 0.9:
            cls: Any = kind_named(rng.choice(["fuse", "load", "bus_bar", "circuit_breaker"]))
            fresh = x.new_id("equipment")
            apply(x, Put("equipment", fresh, cls(designation=f"N{fresh}", label=str(rng.random()))))
            far = rng.choice(list(snapshot.equipment))
            ends = [End(equipment=e, terminal=x.get("equipment", e).terminals()[0].name) for e in (fresh, far)]
            apply(x, Put("runs", x.new_id("runs"), Run(from_end=ends[0], to_end=ends[1])))
        else:
            apply(x, SetFields(table, item, (("origins", [("note", "measured")]),)))
    except (EditError, IndexError):
        pass


def other_value(spec: Any, record: Any, rng: random.Random) -> Any:
    value = getattr(record, spec.name)
    if spec.shape == "number":
        return None if spec.optional and rng.random() < 0.2 else round(rng.uniform(1, 90), 3)
    if spec.shape == "whole":
        return rng.randint(1, 9)
    if spec.shape == "yesno":
        return rng.choice([True, False])
    if spec.shape == "choice":
        return rng.choice(spec.choices)
    if spec.shape == "word" and not spec.fact.refers and spec.fact.unit != "size":
        return f"w{rng.randint(0, 999)}"
    if spec.shape in ("records", "words") and value:
        held = [to_builtins(each) if spec.shape == "records" else each for each in value]
        if rng.random() < 0.5:
            held.pop(rng.randrange(len(held)))
        else:
            rng.shuffle(held)
        return held
    return to_builtins(value) if spec.shape == "record" and value is not None else value


def plain(installation: Installation) -> dict[str, dict[str, dict[str, Any]]]:
    """Table -> id -> top-level member -> value, as the file's own JSON says it."""
    read = json.loads(dump(installation))
    made = {table: read[table] for table in TABLES}
    return made | {name: {name: read[name]} for name in LONE}


def expected(before: Installation, after: Installation) -> tuple[set[Any], set[Any], set[Any]]:
    """Added, removed, and (table, id, top-level member) of what differs: nothing but dictionaries compared."""
    was, now = plain(before), plain(after)
    added, removed, changed = set(), set(), set()
    for table in was:
        added |= {(table, i) for i in now[table].keys() - was[table].keys()}
        removed |= {(table, i) for i in was[table].keys() - now[table].keys()}
        for item in was[table].keys() & now[table].keys():
            a, b = was[table][item], now[table][item]
            changed |= {(table, item, member) for member in a.keys() | b.keys() if a.get(member) != b.get(member)}
    return added, removed, changed


def reported(made: Differences) -> tuple[set[Any], set[Any], set[Any]]:
    changed = {(c.table, c.item, c.field.partition(".")[0].partition("[")[0]) for c in made.changed}
    return set(made.added), set(made.removed), changed


def check_seed(seed: int) -> None:
    rng = random.Random(seed)
    base = load(FILES[seed % len(FILES)]).installation
    other = copy_of(base)
    for _each in range(rng.randint(0, 8)):
        any_edit(other, rng)
    before, after = base.snapshot(), other.snapshot()
    made = differences(before, after, "ids")
    assert reported(made) == expected(base, other)
    assert bool(made) == (plain(base) != plain(other))
    for change in made.changed:
        assert change.before != change.after
    back = differences(after, before, "ids")
    assert (set(back.added), set(back.removed)) == (set(made.removed), set(made.added))
    mirrored = {(c.table, c.item, c.field, repr(c.after), repr(c.before)) for c in back.changed}
    assert mirrored == {(c.table, c.item, c.field, repr(c.before), repr(c.after)) for c in made.changed}
    sections = told(before, after, made)
    assert bool(sections) == bool(made)
    named = {(line.table, line.item) for section in sections for line in section.lines if line.item}
    things = {*made.added, *made.removed, *((c.table, c.item) for c in made.changed)}
    assert named == {(t, i) for t, i in things if t not in ("placements", "routes")}


@pytest.mark.parametrize("seed", range(40))
def test_random_edits_are_exactly_what_is_reported(seed: int) -> None:
    check_seed(seed)


@pytest.mark.long
@pytest.mark.parametrize("block", range(20))
def test_random_edits_are_exactly_what_is_reported_a_thousand_times(block: int) -> None:
    for seed in range(1000 + 48 * block, 1048 + 48 * block):
        check_seed(seed)


def test_fields_are_told_with_their_path_and_both_values() -> None:
    base = load(FILES[0]).installation
    other = copy_of(base)
    run = next(iter(base.runs))
    condition = next(i for i, c in base.items("conditions") if c.settings)
    end = base.get("runs", run).to_end
    setting = base.get("conditions", condition).settings[0]
    place = "open" if setting.position == "closed" else "closed"
    apply(other, SetFields("runs", run, (("to_end", to_builtins(end) | {"torque_nm": 12.5}),)))
    rest = [to_builtins(s) for s in base.get("conditions", condition).settings[1:]]
    changed = [{"equipment": setting.equipment, "position": place}, *rest]
    apply(other, SetFields("conditions", condition, (("settings", changed),)))
    apply(other, SetFields("settings", "settings", (("book", "metric"),)))
    made = differences(base.snapshot(), other.snapshot())
    assert made.matched == "ids"
    assert {(c.table, c.field, c.before, c.after) for c in made.changed} == {
        ("runs", "to.torque_nm", end.torque_nm, 12.5),
        ("conditions", f"settings[{setting.equipment}].position", setting.position, place),
        ("settings", "book", base.settings.book, "metric"),
    }
    sections = told(base.snapshot(), other.snapshot(), made)
    assert [s.key for s in sections] == ["runs", "conditions", "book"]
    words = [field for s in sections for line in s.lines for field in line.fields]
    assert any("12.5" in text and "torque" in text for text in words)
    name = base.snapshot().name(setting.equipment)
    assert any(f"position of {name}: {setting.position}, now {place}" in text for text in words)
    assert any("metric" in text for text in words)


def test_what_is_only_drawn_differently_is_said_to_be_so() -> None:
    base = load(FILES[0]).installation
    other = copy_of(base)
    item, placement = next(base.items("placements"))
    apply(other, SetFields("placements", item, (("x", placement.x + 2),)))
    made = differences(base.snapshot(), other.snapshot())
    assert made
    assert made.only_drawn
    assert not differences(base.snapshot(), base.snapshot())


def test_what_this_version_does_not_know_is_compared_as_the_file_holds_it(tmp_path: Path) -> None:
    """A kind and a field of a later version: neither is lost from the comparison, neither is called empty."""
    read = json.loads(FILES[0].read_text(encoding="utf-8"))
    bank, fuse = (next(i for i, e in read["equipment"].items() if e["kind"] == k) for k in ("battery_bank", "fuse"))
    drawings = []
    for kind, ohms in (("battery_bank", 1), ("flow_cell", 1), ("flow_cell", 2)):
        read["equipment"][bank]["kind"] = kind
        read["equipment"][fuse]["ohms_at_dawn"] = ohms
        path = tmp_path / f"{kind}{ohms}.linewright"
        path.write_text(json.dumps(read), encoding="utf-8")
        drawings.append(load(path).installation.snapshot())
    known, foreign, other = drawings
    made = differences(known, foreign)
    assert [(c.item, c.field, c.before, c.after) for c in made.changed] == [(bank, "kind", "battery_bank", "flow_cell")]
    made = differences(foreign, other)
    assert [(c.item, c.field, c.before, c.after) for c in made.changed] == [(fuse, "ohms_at_dawn", "1", "2")]
    ((section,),) = (told(foreign, other, made),)
    assert section.lines[0].fields == ("ohms_at_dawn, which this version does not know: 1, now 2",)
