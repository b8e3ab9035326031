"""Lists made to do harm, or by nobody who knew how: read or refused in bounds, every fault with its cell."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.equipment import kinds
from engine.files.lists import ListResult, csv_text_rows, read_lists
from engine.files.lists.cells import CellError, split_cell
from engine.files.lists.names import GivenNames
from engine.files.lists.values import read_value
from engine.installation.records import Condition, Interlock, Run
from engine.record import FieldSpec, field_specs

HEAD = b"designation,kind,rating,label\n"
GOOD = b"F1,fuse,10,Engine room\n"


def lists(data: bytes, **others: bytes) -> ListResult:
    return read_lists(
        equipment=csv_text_rows(data, "equipment.csv"),
        **{name: csv_text_rows(more, f"{name}.csv") for name, more in others.items()},
    )


def told(result: ListResult) -> list[str]:
    said = [str(fault) for fault in result.faults]
    assert all(len(each) < 1000 and each.isprintable() for each in (*said, *result.notices))
    return said


TOO_MUCH = {
    "a million rows": (HEAD + b"".join(b"F%d,fuse,10,\n" % n for n in range(1_000_000)), "line 200002: there are more"),
    "thirty million lines": (HEAD + b"\n" * 30_000_000, "there are more rows than the 200000 that are read"),
    "thirty million lines of another system": (HEAD + b"\r" * 30_000_000, "there are more rows than the 200000"),
    "a line of thirty million cells": (HEAD + b"1," * 15_000_000, "line 2, column SG: only 500 columns are read"),
    "a heading of a million columns": (b",".join(b"c%d" % n for n in range(1_000_000)), "only 500 columns are read"),
    "a cell of ten million characters": (HEAD + b"x" * 10_000_000, "a cell is longer than 32767 characters"),
    "a cell in quotes that never ends": (HEAD + b'F1,"' + b"a,b\n" * 1_900_000, "a cell is longer than 32767"),
    "a quotation mark in every cell": (HEAD + b'a"b,"a"b\n' * 1_000_000, "so much is wrong that reading ends here"),
    "a control character in every row": (HEAD + b"F1,\x07\n" * 1_000_000, "so much is wrong that reading ends here"),
    "fifteen thousand times the same": (HEAD + GOOD * 15_000, "'F1' stands in line 2 already, so neither goes in"),
}


@pytest.mark.posix
@pytest.mark.parametrize("what", TOO_MUCH)
def test_what_is_too_much_is_refused_or_read_in_bounds(what: str) -> None:
    from held_back import held_back

    data, said = TOO_MUCH[what]
    held = held_back(lambda: (lambda r: (r.counts.get("equipment", 0), told(r)))(lists(data)), seconds=4, mb=900)
    assert (held.fault, held.ended) == (None, "")
    good, faults = held.value
    assert good <= 1
    assert any(said in fault for fault in faults)


@pytest.mark.posix
def test_a_spreadsheets_empty_rows_are_no_rows() -> None:
    """A million of them, as they are written where somebody once typed at the foot of the sheet."""
    from held_back import held_back

    data = HEAD + GOOD + b",,,,\r\n" * 1_048_000
    held = held_back(lambda: (lists(data).counts, told(lists(data))), seconds=4, mb=500)
    assert held.value == ({"equipment": 1}, [])


@pytest.mark.posix
def test_thousands_of_ends_that_nobody_knows_are_told_in_bounds() -> None:
    """For each the names are looked through for one that is alike: for the first that can be done in time."""
    from held_back import held_back

    equipment = HEAD + b"".join(b"F%d,fuse,10,\n" % n for n in range(8_000))
    runs = b"designation,from,to\n" + b"".join(b"W%d,G%d.in,G%d.out\n" % (n, n, n) for n in range(8_000))
    held = held_back(lambda: told(lists(equipment, runs=runs)), seconds=20, mb=500)
    assert held.fault is None
    assert len(held.value) == 16_000
    assert held.value[0].endswith("no equipment of these lists is called 'G0.in'") or "; is it " in held.value[0]


@pytest.mark.posix
def test_runs_that_say_no_function_are_told_in_a_line_that_can_be_read() -> None:
    runs = b"designation,from,to\n" + b"".join(b"W%d,F1,F1\n" % n for n in range(2_000))
    result = lists(HEAD + GOOD, runs=runs)
    told(result)


ENCODED = HEAD + "F1,fuse,10,Büro\n".encode()


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_encodings_that_say_what_they_are_are_read(encoding: str) -> None:
    data = ENCODED.decode().encode(encoding)
    result = lists(data)
    assert [record.label for record in result.installation().equipment.values()] == ["Büro"]
    assert len(result.notices) == (encoding == "cp1252")


@pytest.mark.parametrize("encoding", ["utf-16-le", "utf-16-be", "utf-32", "cp500"])
def test_others_are_refused_and_never_read_as_something_else(encoding: str) -> None:
    data = ENCODED.decode().replace("rating", "größe").encode(encoding)
    result = lists(data)
    assert told(result)
    assert result.counts.get("equipment", 0) == 0


@pytest.mark.parametrize("cut", range(1, 8))
def test_utf_16_that_is_cut_or_out_of_step_is_refused(cut: int) -> None:
    whole = ENCODED.decode().encode("utf-16")
    assert told(lists(whole[:-1]))
    assert told(lists(whole[:2] + whole[2 + cut :])) or cut % 2 == 0


def test_what_turns_the_line_or_speaks_to_the_terminal_does_not_reach_it() -> None:
    result = lists("designation,kind,ra\u202eting\nF1,\u202efuse,1\nF2,\u200bfuse\u2066,1\n".encode())
    assert len(told(result)) == 3


def test_a_formula_is_text_as_it_stands() -> None:
    result = lists(HEAD + b"\"=cmd|'/c calc'!A1\",fuse,=1+1,\n@SUM(A1),fuse,10,\n")
    assert told(result) == ["equipment.csv line 2, rating (column C): expected a current such as 1.2 kA, found '=1+1'"]
    assert [record.designation for record in result.installation().equipment.values()] == ["@SUM(A1)"]


BITS = ("a ", '"', '"" ', "a:", "(unsheathed ", "1 A ", "label=", "a=1 ", " ", "~", "~typed", "; ", "1;", "/0 ",
        "10 kA at ", "Q1:1,2;", "9", "1e", ".", "(", "1 m ", '20 A label="')  # fmt: skip


def _shapes() -> list[FieldSpec]:
    """A field of every shape of which a cell is taken apart."""
    found: dict[object, FieldSpec] = {}
    for cls in (*kinds().values(), Run, Interlock, Condition):
        for spec in field_specs(cls):
            if spec.shape not in ("records", "number", "words"):
                continue
            found.setdefault((spec.shape, spec.fact.unit, str(spec.item), spec.choices[:3]), spec)
    return list(found.values())


@pytest.mark.posix
def test_a_cell_as_long_as_may_be_is_read_in_time_whatever_repeats_in_it() -> None:
    """Hundreds of cells of 30 000 characters: what grew with the square of them would take minutes."""
    from held_back import held_back

    def every() -> int:
        count = 0
        for spec in _shapes():
            for bit in BITS:
                count += 1
                try:
                    read_value(spec, split_cell(bit * (30_000 // len(bit))), GivenNames(0))
                except CellError:
                    continue
        return count

    held = held_back(every, seconds=40, mb=300)
    assert (held.fault, held.ended) == (None, "")
    assert held.value > 500


@given(st.binary(max_size=300), st.sampled_from([b"", HEAD, "designation;kind\n".encode("utf-16")]))
def test_whatever_the_bytes_are_nothing_is_raised(data: bytes, head: bytes) -> None:
    told(lists(head + data))


@pytest.mark.parametrize("spoilt", ["la\0bel", '"label"x', "x" * 40_000])
def test_a_fault_in_the_headings_is_the_only_one_told(spoilt: str) -> None:
    """The first row after them is not taken for headings: what would be said of the rest by it is wrong."""
    text = f"designation,kind,{spoilt}\n" + "F1,fuse,Windlass\n" * 3
    told = csv_text_rows(text.encode(), "equipment.csv")
    assert not told.rows
    assert [fault.line for fault in told.faults] == [1]
