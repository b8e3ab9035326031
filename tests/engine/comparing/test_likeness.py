"""Two lists of one boat whose truth is known: the same boat under other ids, shuffled, partly renamed, partly missing.

The assignment is checked against `networkx.max_weight_matching`, another method for the same question.
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
from pathlib import Path
from typing import Any

import msgspec
import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.builder import Builder
from engine.comparing import differences, matched_by_likeness
from engine.comparing.assigning import best_assignment
from engine.comparing.traits import designation_key
from engine.edits import apply
from engine.edits.removing import remove
from engine.edits.rewriting import rewritten
from engine.files.drawing import load
from engine.installation import Snapshot

SAMPLES = Path(__file__).parents[3] / "samples"
NAMES = ("launch", "ketch", "workboat")
SPEAKING = ("at", "points_at")


def relisted(snapshot: Snapshot, rng: random.Random) -> tuple[Snapshot, dict[str, str]]:
    """The same boat with every id another and every table in another order; old id -> new id."""
    every = [(t, i) for t, rows in snapshot.tables.items() for i in rows]
    rng.shuffle(every)
    new = {key: f"{key[1][0]}{n}" for n, key in enumerate(every, start=1)}
    by_id = {old[1]: now for old, now in new.items()}

    def rename(table: str, item: str) -> str:
        return new.get((table, item), item)

    tables: dict[str, dict[str, Any]] = {t: {} for t in snapshot.tables}
    for table, item in every:
        record = rewritten(snapshot.tables[table][item], rename)
        for field in SPEAKING:
            if getattr(record, field, "") in by_id:
                record = msgspec.structs.replace(record, **{field: by_id[getattr(record, field)]})
        tables[table][new[table, item]] = record
    lone = {name: rewritten(record, rename) for name, record in snapshot.lone.items()}
    return Snapshot(tables=tables, lone=lone), by_id


def boat(name: str) -> Snapshot:
    return load(SAMPLES / name / f"{name}.linewright").installation.snapshot()


def right(before: Snapshot, after: Snapshot, truth: dict[str, str]) -> tuple[float, float]:
    """Precision and recall over equipment and runs."""
    pairs = [p for p in matched_by_likeness(before, after) if p.table in ("equipment", "runs")]
    there = {i for t in ("equipment", "runs") for i in before.tables[t] if truth.get(i) in after.tables[t]}
    hits = sum(truth.get(p.before) == p.after for p in pairs)
    return hits / len(pairs), hits / len(there)


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("name", NAMES)
def test_a_boat_listed_anew_differs_in_nothing(name: str, seed: int) -> None:
    before = boat(name)
    after, truth = relisted(before, random.Random(seed))
    made = differences(before, after)
    assert made.matched == "likeness"
    assert right(before, after, truth) == (1.0, 1.0)
    assert not made, (made.added, made.removed, made.changed)
    assert not [p for p in made.pairs if p.table in ("sheets", "places", "enclosures") and p.unsure]


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("name", NAMES)
def test_another_hand_counts_and_words_otherwise(name: str, seed: int) -> None:
    """A third renumbered, a third worded anew, a tenth of the values not written down, a twentieth of her missing."""
    rng = random.Random(seed)
    installation = load(SAMPLES / name / f"{name}.linewright").installation
    before = installation.snapshot()
    lost = rng.sample(list(before.equipment), len(before.equipment) // 20)
    apply(installation, remove(before, installation.last_id, lost, with_runs=True), again=True)
    after, truth = relisted(installation.snapshot(), rng)
    for table in ("equipment", "runs"):
        for item, record in list(after.tables[table].items()):
            changes: dict[str, Any] = {}
            if rng.random() < 0.33:
                changes["designation"] = f"{record.designation[:1]}{rng.randint(100, 999)}"
            if rng.random() < 0.33 and record.label:
                changes["label"] = " ".join(reversed(record.label.split())) + " new"
            if rng.random() < 0.1:
                changes["place" if table == "equipment" else "size"] = ""
            after.tables[table][item] = msgspec.structs.replace(record, **changes)
    precision, recall = right(before, after, truth)
    assert precision >= 0.93
    assert recall >= 0.93
    made = differences(before, after, "likeness")
    gone = {i for t, i in made.removed if t == "equipment"}
    assert len(gone & set(lost)) >= 0.7 * len(lost)


def another_hand(after: Snapshot, rng: random.Random, without: tuple[str, ...]) -> None:
    """Half renumbered at random; `without` is written down nowhere."""
    for table in ("equipment", "runs"):
        for item, record in list(after.tables[table].items()):
            changes = {field: "" for field in without if hasattr(record, field)}
            if "designation" not in without and rng.random() < 0.5:
                changes["designation"] = f"{record.designation[:1]}{rng.randint(100, 9999)}"
            after.tables[table][item] = msgspec.structs.replace(record, **changes)


@pytest.mark.parametrize("without", [(), ("designation",), ("label",), ("designation", "label", "place", "enclosure")])
@pytest.mark.parametrize("name", NAMES)
def test_what_is_told_as_sure_is_right(name: str, without: tuple[str, ...]) -> None:
    for seed in range(3):
        before, rng = boat(name), random.Random(seed)
        after, truth = relisted(before, rng)
        another_hand(after, rng, without)
        pairs = [p for p in matched_by_likeness(before, after) if p.table in ("equipment", "runs")]
        wrong = [p for p in pairs if truth[p.before] != p.after]
        assert len(wrong) <= 0.03 * len(pairs)
        assert not [p for p in wrong if not p.unsure]
        assert sum(not p.unsure for p in pairs) >= 0.9 * len(pairs)


def test_a_large_boat_of_panels_all_alike() -> None:
    """Twelve hundred pieces, each panel like the next: a name or a neighbour tells them apart, or nobody can."""
    before, rng = panels(50, 5), random.Random(5)
    after, truth = relisted(before, rng)
    assert right(before, after, truth) == (1.0, 1.0)
    another_hand(after, rng, ("designation",))
    pairs = [p for p in matched_by_likeness(before, after) if p.table == "equipment"]
    assert len(pairs) == len(before.equipment)  # each has one that is as like as any other
    assert sum(not p.unsure for p in pairs) < 10  # and nobody could know which


def panels(count: int, circuits: int) -> Snapshot:
    b = Builder()
    b.add("bus_bar", "X0")
    for n in range(count):
        b.add("bus_bar", f"X1.{n}")
        b.run(f"W{n}", "X0.bar", f"X1.{n}.bar", size="8 AWG", length_m=2.0)
        for each in range(circuits):
            b.add("fuse", f"F{n}.{each}", rating_a=10)
            b.add("load", f"E{n}.{each}", dc_v=12, current_a=4)
            b.run(f"W{n}.{each}a", f"X1.{n}.bar", f"F{n}.{each}.in", size="14 AWG", length_m=0.2)
            b.run(f"W{n}.{each}b", f"F{n}.{each}.out", f"E{n}.{each}.in", size="14 AWG", length_m=3.0)
    return b.installation.snapshot()


@pytest.mark.parametrize("without", [(), ("designation", "label")])
@pytest.mark.parametrize("name", [*NAMES, "panels"])
def test_the_other_way_round_the_same_pairs_are_found(name: str, without: tuple[str, ...]) -> None:
    before = panels(20, 4) if name == "panels" else boat(name)
    after, _truth = relisted(before, rng := random.Random(2))
    another_hand(after, rng, without)
    there, back = differences(before, after, "likeness"), differences(after, before, "likeness")
    assert {(p.table, p.before, p.after, p.score, p.unsure) for p in there.pairs} == {
        (p.table, p.after, p.before, p.score, p.unsure) for p in back.pairs
    }
    assert (set(there.added), set(there.removed)) == (set(back.removed), set(back.added))
    assert {(c.table, c.item, c.was) for c in there.changed} == {(c.table, c.was, c.item) for c in back.changed}


def test_an_id_that_stands_for_another_thing_is_told_as_a_change() -> None:
    """The lamp hung at the fuse e2; in the other list e2 is a heater nobody had, and the lamp hangs at that."""
    one, other = Builder(), Builder()
    one.add("load", "E1", label="Anchor lamp", current_a=2.0)
    one.add("fuse", "F9", rating_a=10.0)
    one.run("W1", "F9.out", "E1.in", size="14 AWG", length_m=7.0)
    other.add("load", "E1", label="Anchor lamp", current_a=2.0)
    other.add("bus_bar", "X4", label="Somewhere else")
    other.run("W1", "X4.bar", "E1.in", size="14 AWG", length_m=7.0)
    before, after = one.installation.snapshot(), other.installation.snapshot()
    assert list(before.equipment) == list(after.equipment)
    made = differences(before, after, "likeness")
    assert [t for t, _i in made.added] == [t for t, _i in made.removed] == ["equipment"]
    (old,), (new,) = ([i for _t, i in side] for side in (made.removed, made.added))
    assert ("from.equipment", old, new) in {(c.field, c.before, c.after) for c in made.changed}


def test_designations_are_read_as_people_write_them() -> None:
    assert len({designation_key(text) for text in ("F3", "f 3", "-F3", "F03", "F.3", "F-3")}) == 1
    assert designation_key("F1.11") != designation_key("F11.1")
    assert designation_key("W12-3") == designation_key("W12 3") != designation_key("W123")


def test_hash_seeds_change_nothing() -> None:
    script = """
import json, random
from test_likeness import another_hand, boat, relisted
from engine.comparing import differences, told
before = boat("ketch")
after, _truth = relisted(before, rng := random.Random(4))
another_hand(after, rng, ("label",))
made = differences(before, after)
print(made.pairs, [c[:6] for c in made.changed], told(before, after, made))
"""
    outs = set()
    for seed in ("0", "1", "4711"):
        env = os.environ | {
            "PYTHONHASHSEED": seed,
            "PYTHONPATH": f"{Path(__file__).parents[3]}:{Path(__file__).parent}",
        }
        run = subprocess.run([sys.executable, "-c", script], env=env, capture_output=True, check=True)
        outs.add(run.stdout)
    assert len(outs) == 1
    assert len(outs.pop()) > 10_000


def test_every_match_is_explained_and_a_doubtful_one_says_so() -> None:
    before = boat("ketch")
    after, _truth = relisted(before, random.Random(7))
    for pair in matched_by_likeness(before, after):
        assert 0.0 <= pair.score <= 1.0
        if pair.table in ("equipment", "runs"):
            assert pair.why
    twins = boat("launch")
    item = next(i for i, r in twins.equipment.items() if r.KIND == "load")
    plain = msgspec.structs.replace(twins.equipment[item], designation="", label="", place="", enclosure="")
    one = Snapshot(tables={t: {} for t in twins.tables} | {"equipment": {"e1": plain}}, lone=twins.lone)
    two = Snapshot(tables={t: {} for t in twins.tables} | {"equipment": {"e8": plain, "e9": plain}}, lone=twins.lone)
    (pair,) = matched_by_likeness(one, two)
    assert pair.unsure


@given(
    st.dictionaries(
        st.tuples(st.sampled_from([f"e{n}" for n in range(7)]), st.sampled_from([f"x{n}" for n in range(7)])),
        st.integers(1, 1000).map(lambda n: n / 1000),
        max_size=30,
    )
)
def test_the_assignment_is_the_best_there_is(scores: dict[tuple[str, str], float]) -> None:
    made = best_assignment(scores)
    assert len(set(made.values())) == len(made)
    total = sum(scores[a, b] for a, b in made.items())
    graph: nx.Graph[str] = nx.Graph()
    graph.add_weighted_edges_from((a, b, score) for (a, b), score in scores.items())
    best = sum(graph.edges[a, b]["weight"] for a, b in nx.max_weight_matching(graph))
    assert total == pytest.approx(best)


def test_a_large_group_is_solved_too() -> None:
    rng = random.Random(3)
    scores = {(f"e{a}", f"x{(a + step) % 700}"): rng.uniform(0.4, 1.0) for a in range(700) for step in (0, 1, 2)}
    made = best_assignment(scores)
    graph: nx.Graph[str] = nx.Graph()
    graph.add_weighted_edges_from((a, b, score) for (a, b), score in scores.items())
    best = sum(graph.edges[a, b]["weight"] for a, b in nx.max_weight_matching(graph))
    # every left may stay alone here as there
    assert sum(scores[a, b] for a, b in made.items()) == pytest.approx(best)
