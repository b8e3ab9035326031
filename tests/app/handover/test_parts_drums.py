"""How cable is cut from drums: worked by hand, and what must hold for every list of lengths."""

from __future__ import annotations

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from app.handover.parts.bill import bill
from app.handover.parts.drums import Cut, Piece, cut, drum_table
from app.handover.parts.wanted import PartsWanted
from app.paper.table import Table, as_rows
from engine.builder import Builder
from engine.edits import Put, apply
from engine.installation import Settings


def boat(**settings: Any) -> Builder:
    made = Builder()
    apply(made.installation, Put("settings", "settings", Settings(**{"waste_percent": 0, **settings})))
    made.add("bus_bar", "WC1")
    made.add("bus_bar", "WC2")
    return made


def lay(made: Builder, name: str, length_m: float | None, **fields: Any) -> None:
    fixed = {"status": "new", "function": "dc positive", "size": "16 mm2", "colour": "red"}
    made.run(name, "WC1.bar", "WC2.bar", **{**fixed, "length_m": length_m, **fields})


def table(made: Builder, *drums: str) -> Table:
    return drum_table(made.installation.snapshot(), PartsWanted(drums=drums))


def named(*lengths: int) -> list[Piece]:
    return [Piece(length, f"W{n}") for n, length in enumerate(lengths, 1)]


def lengths(plan: Cut) -> list[tuple[int, list[int]]]:
    return [(drum.length, [piece.length for piece in drum.pieces]) for drum in plan.drums]


# -- worked by hand ---------------------------------------------------------------------------------------------------
def test_the_longest_first_each_from_the_first_drum_it_fits_on() -> None:
    # 10 m drums: 7 + 3, 6 + 4, 5; by first fit in the order given it would take a fourth
    assert lengths(cut(named(300, 700, 400, 600, 500), [1000])) == [
        (1000, [700, 300]),
        (1000, [600, 400]),
        (1000, [500]),
    ]


def test_the_last_drum_is_no_longer_than_it_needs_to_be() -> None:
    # 12 m of pieces and drums of 10 and 5: one of each buys 15, two of 10 would buy 20
    assert lengths(cut(named(400, 400, 400), [500, 1000])) == [(1000, [400, 400]), (500, [400])]


def test_small_drums_where_they_buy_less() -> None:
    # three pieces of 5 m: three coils of 5 buy 15; a drum of 25 would buy 25
    assert lengths(cut(named(500, 500, 500), [500, 2500])) == [(500, [500])] * 3


def test_longer_than_every_drum_is_cut_from_none() -> None:
    plan = cut(named(1200, 900), [500, 1000])
    assert lengths(plan) == [(1000, [900])]
    assert plan.too_long == (Piece(1200, "W1"),)


def test_without_any_drum_everything_is_too_long() -> None:
    assert cut(named(3, 5), []) == Cut((), (Piece(5, "W2"), Piece(3, "W1")))


# -- whatever the lengths ---------------------------------------------------------------------------------------------
SIZES = st.lists(st.integers(1, 3000), max_size=5)


@given(st.lists(st.integers(1, 4000), max_size=40), SIZES)
def test_nothing_is_lost_and_nothing_is_joined(pieces: list[int], sizes: list[int]) -> None:
    wanted = named(*pieces)
    plan = cut(wanted, sizes)
    laid = [piece for drum in plan.drums for piece in drum.pieces]
    assert sorted((*laid, *plan.too_long)) == sorted(wanted)
    assert sum(drum.length - drum.left_over() for drum in plan.drums) == sum(piece.length for piece in laid)
    for drum in plan.drums:
        assert drum.length in sizes
        assert drum.pieces
        assert drum.left_over() >= 0
    assert all(piece.length > max(sizes, default=0) for piece in plan.too_long)
    # no drum could be a shorter one
    for drum in plan.drums:
        used = drum.length - drum.left_over()
        assert not [size for size in sizes if used <= size < drum.length]


@given(st.lists(st.integers(1, 1000), min_size=1, max_size=30))
def test_of_one_length_any_two_drums_hold_more_than_one_could(pieces: list[int]) -> None:
    # else first fit would have put the pieces of the later one on the earlier: never twice the least there could be
    used = [drum.length - drum.left_over() for drum in cut(named(*pieces), [1000]).drums]
    assert all(one + other > 1000 for n, one in enumerate(used) for other in used[n + 1 :])
    assert -(-sum(pieces) // 1000) <= len(used) <= max(1, 2 * sum(pieces) // 1000)


@given(st.permutations(named(300, 300, 700, 450, 450, 120)))
def test_the_order_of_the_drawing_does_not_matter(pieces: list[Piece]) -> None:
    assert cut(pieces, [500, 1000]) == cut(sorted(pieces), [1000, 500, 500])


# -- from a drawing ---------------------------------------------------------------------------------------------------
def test_waste_is_in_every_cut_and_what_is_left_over_is_told() -> None:
    made = boat(waste_percent=10)
    lay(made, "W2", 3.0)
    lay(made, "W10", 6.0)
    lay(made, "W3", 4.0, colour="black")
    lay(made, "W4", 4.0, status="existing")
    black, red = as_rows(table(made, "5", "10"))
    assert (black["colour"], black["drum"], black["cuts"], black["left_over"]) == ("black", "5 m", "W3 4.40", 0.6)
    # 3.3 + 6.6 = 9.9 of 10 m
    assert (red["drum"], red["cuts"], red["used"], red["left_over"]) == ("10 m", "W10 6.60, W2 3.30", 9.9, 0.1)


def test_each_parallel_conductor_and_each_core_is_a_piece() -> None:
    made = boat()
    lay(made, "W1", 4.0, function="dc pair", colour="red/black", parallel=2)
    found = {(r["colour"], r["drum"], r["cuts"]) for r in as_rows(table(made, "10 m"))}
    assert found == {("red", "10 m", "W1 4.00, W1 4.00"), ("black", "10 m", "W1 4.00, W1 4.00")}


def test_one_drum_serves_what_is_the_same_cable_whatever_it_carries() -> None:
    made = boat()
    lay(made, "W1", 2.0, function="earth", colour="green")
    lay(made, "W2", 2.0, function="bonding", colour="green")
    (line,) = as_rows(table(made, "5"))
    assert line["cuts"] == "W1 2.00, W2 2.00"


def test_a_run_longer_than_every_drum_is_told() -> None:
    made = boat()
    lay(made, "W1", 130.0)
    found = table(made)
    (line,) = as_rows(found)
    assert line["drum"] == "longer than every drum"
    assert "1 piece is longer than every drum and has to be ordered to length: W1 130.00." in found.notes


def test_what_is_not_known_is_counted() -> None:
    made = boat()
    lay(made, "W1", None)
    lay(made, "W2", 3.0, size="")
    lay(made, "W3", 0.0)
    found = table(made)
    assert found.rows == ()
    assert found.notes[0] == "No new cable of known size and length: nothing to cut."
    assert "3 new runs are not among the cuts: their size or length is not known, or zero." in found.notes


def test_feet_and_typed_lengths() -> None:
    made = boat(units="US")
    lay(made, "W1", 30.48)  # 100 ft: the international foot is 0.3048 m
    usual, typed = table(made), table(made, "120", "50 m")
    assert as_rows(usual)[0]["drum"] == "100 ft"
    assert as_rows(usual)[0]["left_over"] == 0.0
    assert as_rows(typed)[0]["drum"] == "120 ft"
    assert "Drums and coils of 10, 25, 50, 100, 250 ft (common practice, no source)." in usual.notes[0]
    # 50 m are 164.04 ft, and no drum is longer than it is
    assert "Drums and coils of 120, 164.04 ft (as asked for)." in typed.notes[0]


def test_cuts_of_a_drawing_add_up_to_the_bill() -> None:
    made = boat(waste_percent=0)
    for n in range(1, 30):
        lay(made, f"W{n}", 0.37 * n, parallel=1 + n % 3)
    used = sum(row["used"] for row in as_rows(table(made)))
    cable = as_rows(bill(made.installation.snapshot())[1])
    assert abs(used - sum(row["length"] for row in cable)) < 0.1  # the bill rounds its sum up to a tenth
