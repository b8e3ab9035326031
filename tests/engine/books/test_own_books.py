"""A yard's own book: what differs from a book of the program, checked whole, every fault told with its key."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from engine.books import FOLDER, BookError, book_names, load, load_beside, load_file
from engine.books.schema import book_faults
from engine.builder import Builder
from engine.check import check
from engine.installation.model import Snapshot
from engine.judged_by import head
from engine.rules import rules

HEAD = 'base = "us-33cfr183"\ntitle = "Practice of Gannet Yard"\nedition = "3"\n'
NEARER = 'bare = { value = 0.1, text = "100 mm", source = "yard standard 12", confirmed = true }\n'

NO_BASE = [f"base: there is no rule book 'yard'; there are: {', '.join(book_names())}"]


def _yard(folder: Path, text: str, name: str = "yard.toml") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def _faults(folder: Path, text: str) -> list[str]:
    with pytest.raises(BookError) as told:
        load_file(_yard(folder, text))
    first, *faults = str(told.value).splitlines()
    assert first == f"the rule book yard.toml cannot be used ({len(faults)} fault{'s' if len(faults) > 1 else ''}):"
    return [fault.strip() for fault in faults]


def _lead(metres: float, **facts: str) -> Snapshot:
    """A bus behind a switch, a fused tap off it; a petrol boat."""
    b = Builder("us-33cfr183", engine_fuel="petrol")
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=20)
    b.add("load", "E1", dc_v=12, current_a=5.0)
    b.add("charger", "T1", dc_v=12, charge_a=200, self_limiting=False)
    b.run("W1", "T1.dc", "F1.in", size="10 AWG", insulation_c=105.0, length_m=metres, away_reason="no room", **facts)
    b.run("W2", "F1.out", "E1.in", size="10 AWG", insulation_c=105.0, length_m=2)
    return b.installation.snapshot()


def test_only_what_differs(tmp_path: Path) -> None:
    book, base = load_file(_yard(tmp_path, f"{HEAD}[rules.far-from-source]\n{NEARER}")), load("us-33cfr183")
    mine = book.limit("far-from-source", "bare")
    assert mine is not None
    assert (mine.value, mine.unit, mine.text, mine.source) == (0.1, "m", "100 mm", "yard standard 12")
    assert book.limit("far-from-source", "battery") == base.limit("far-from-source", "battery")
    assert book.option("far-from-source", "needs_reason") is True
    assert book.ampacity == base.ampacity
    assert {r: e for r, e in book.rules.items() if r != "far-from-source"} == {
        r: e for r, e in base.rules.items() if r != "far-from-source"
    }
    assert (book.slug, book.base, book.edition) == ("yard.toml", "us-33cfr183", "3, on us-33cfr183 2015")
    assert book.own == ("rules.far-from-source.bare",)
    assert base.limit("far-from-source", "bare").value == pytest.approx(0.1778)  # type: ignore[union-attr]


def test_what_the_yard_asks_is_the_yards_and_no_law(tmp_path: Path) -> None:
    """100 mm is nobody's law; 40 in, which the yard left alone, is."""
    path = str(_yard(tmp_path, f"{HEAD}[rules.far-from-source]\n{NEARER}"))
    (bare,) = check(_lead(0.15, sheath="bare"), path, only=["far-from-source"]).findings
    assert (bare.clause, bare.law_here) == ("Practice of Gannet Yard", False)
    assert "100 mm" in bare.message
    (long,) = check(_lead(1.1, sheath="sheathed"), path, only=["far-from-source"]).findings
    assert (long.clause, long.law_here) == ("33 CFR 183.455(b)(2)", True)
    assert check(_lead(0.15, sheath="bare"), only=["far-from-source"]).findings == ()


def test_the_report_says_what_the_yard_changed(tmp_path: Path) -> None:
    path = str(_yard(tmp_path, f"{HEAD}[rules.far-from-source]\n{NEARER}"))
    told = head(check(_lead(0.05, sheath="bare"), path))
    assert told[0] == "Judged by Practice of Gannet Yard, edition 3, on us-33cfr183 2015 (yard.toml)."
    assert told[-1] == "1 value is the yard's own, good practice and no law: rules.far-from-source.bare."


def test_a_clause_of_the_rule_stays_with_the_values_left_alone(tmp_path: Path) -> None:
    """`too-small` of the law: its `tail` has no clause of its own and is cited by the rule's as before."""
    single = 'single = { value = 2.081, text = "14 AWG", source = "yard standard 4", confirmed = true }\n'
    book = load_file(_yard(tmp_path, f"{HEAD}[rules.too-small]\n{single}"))
    assert book.cited("too-small", "tail") == ("33 CFR 183.425(d) to (g)", True)
    assert not book.is_practice("too-small", book.clause("too-small", "tail"))
    assert book.clause("too-small", "single") == "Practice of Gannet Yard"
    assert book.clause("too-small") == "Practice of Gannet Yard (33 CFR 183.425(d) to (g))"
    assert book.is_practice("too-small", book.clause("too-small"))


def test_every_fault_at_once_with_its_key(tmp_path: Path) -> None:
    text = """
base = "trade-na"
title = "x"
colour = "blue"
[binds.when]
fuel = ["petrol"]
[ampacity.rows]
"14 AWG" = [1, 2]
[rules.far-from-sourc]
bare = { value = 0.1 }
[rules.far-from-source]
word = "grave"
bare = { value = "200 mm", unit = "mm", source = "" }
sheeth = { value = 1, source = "a", confirmed = true }
battery = 1.5
[rules.far-from-source.options]
needs_reason = 1
[rules.voltage-mismatch.options]
dc_classes = [[12, 13.2, 1]]
[rules.overloaded]
clause = "yard"
"""
    assert _faults(tmp_path, text) == [
        "colour: a book has no such key here",
        "edition: missing",
        "binds.when.fuel: the vessel record has no such field",
        "ampacity.source: missing; where none is known: common practice, no source",
        "ampacity.confirmed: missing; true where the source was read, else false",
        "ampacity.rows.14 AWG: expected 7 numbers, found 2",
        "rules.far-from-sourc: there is no such rule; far-from-source comes nearest",
        "rules.far-from-source.word: expected one of danger, warning, caution, notice, found 'grave'",
        "rules.far-from-source.bare.value: expected a number, found '200 mm'",
        "rules.far-from-source.bare.unit: expected m, found 'mm'",
        "rules.far-from-source.bare.source: expected a text, found ''",
        "rules.far-from-source.bare.confirmed: missing; true where the source was read, else false",
        "rules.far-from-source.sheeth: this rule has no such value; sheathed comes nearest",
        "rules.far-from-source.battery: expected value, source and confirmed, found 1.5",
        "rules.far-from-source.options.needs_reason: expected true or false, found 1",
        "rules.voltage-mismatch.options.dc_classes: expected a list like [[6, 6.6]], found a list of 1",
        "rules.overloaded.confirmed: missing; true where the clause was read in its source, else false",
    ]


@pytest.mark.parametrize(
    ("value", "told"),
    [
        ("true", "expected a number, found true"),
        ("nan", "expected a number, found nan"),
        ("-1", "expected zero or more, found -1"),
        ("[1]", "expected a number, found a list of 1"),
    ],
)
def test_a_value_is_a_number(tmp_path: Path, value: str, told: str) -> None:
    text = f'{HEAD}[rules.far-from-source]\nbare = {{ value = {value}, source = "s", confirmed = true }}\n'
    assert _faults(tmp_path, text) == [f"rules.far-from-source.bare.value: {told}"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('title = "x"\nedition = "1"\n', ["base: missing; expected the name of a rule book"]),
        ('base = "yard"\ntitle = "x"\nedition = "1"\n', NO_BASE),
        ('base = 3\ntitle = "x"\nedition = "1"\n', ["base: expected the name of a rule book"]),
        ('base = "metric"\ntitle = "x"\nedition = 1\n', ["edition: expected a text, found 1"]),
        (f"{HEAD}rules = 3\n", ["rules: expected sections, found 3"]),
        (f'{HEAD}[ampacity]\ntable = "contacts"\n', ["ampacity.table: there is no table 'contacts'"]),
        (
            f'{HEAD}[ampacity]\nsource = "s"\nconfirmed = false\ninsulation_c = [60, 90]\n',
            [
                "ampacity.rows: missing; other columns need their own",
                "ampacity.machinery: missing; other columns need their own",
            ],
        ),
    ],
)  # fmt: skip
def test_what_else_can_be_wrong(tmp_path: Path, text: str, told: list[str]) -> None:
    assert _faults(tmp_path, text) == told


def test_what_is_no_toml_and_what_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(BookError, match=r"yard.toml is no TOML: .* \(at line 1"):
        load_file(_yard(tmp_path, "base = \n"))
    with pytest.raises(BookError, match=r"^there is no rule book .*none\.toml$"):
        load_file(tmp_path / "none.toml")
    with pytest.raises(BookError, match="cannot be read"):
        load_file(tmp_path)
    (tmp_path / "latin.toml").write_bytes(b'title = "\xe9"')
    with pytest.raises(BookError, match=r"latin.toml is no TOML"):
        load_file(tmp_path / "latin.toml")


def test_rows_and_tables_of_its_own(tmp_path: Path) -> None:
    """Rows are laid over the base's size by size; another table of the program takes its place whole."""
    rows = (
        '[ampacity]\nsource = "yard list"\nconfirmed = true\n[ampacity.rows]\n"10 AWG" = [30, 30, 40, 45, 50, 60, 60]\n'
    )
    table = load_file(_yard(tmp_path, HEAD + rows)).ampacity
    assert (table.rows["10 AWG"][105.0], table.rows["8 AWG"][105.0], table.source) == (50, 80, "yard list")
    other = load_file(_yard(tmp_path, f'{HEAD}[ampacity]\ntable = "awg-nec-310-16"\n', "other.toml")).ampacity
    assert other.rows == load("us-46cfr").ampacity.rows


def test_options_and_words_merge(tmp_path: Path) -> None:
    text = f'{HEAD}[rules.no-label]\nword = "caution"\n[rules.far-from-source.options]\nneeds_reason = false\n'
    book = load_file(_yard(tmp_path, text))
    assert book.word("no-label", "notice") == "caution"
    assert book.option("far-from-source", "needs_reason") is False
    assert book.option("far-from-source", "battery_needs_sheath") is False
    assert book.own == ("rules.far-from-source.options.needs_reason", "rules.no-label.word")


def test_a_changed_file_is_read_again(tmp_path: Path) -> None:
    path = _yard(tmp_path, HEAD)
    assert load_file(path).title == "Practice of Gannet Yard"
    _yard(tmp_path, HEAD.replace("Gannet", "Great Auk"))
    assert load_file(path).title == "Practice of Great Auk Yard"


def test_a_drawing_names_a_file_beside_it_and_nothing_else(tmp_path: Path) -> None:
    _yard(tmp_path, HEAD)
    assert load_beside("yard.toml", tmp_path).title == "Practice of Gannet Yard"
    assert load_beside("trade-na", None) is load("trade-na")
    for name in ("../yard.toml", str(tmp_path / "yard.toml"), "a\\b.toml"):
        with pytest.raises(BookError, match="expected a file beside it"):
            load_beside(name, tmp_path)
    with pytest.raises(BookError, match="which is not saved yet"):
        load_beside("yard.toml", None)


@pytest.mark.parametrize("name", sorted(path.stem for path in FOLDER.glob("*.toml")))
def test_the_books_of_the_program_are_without_fault(name: str) -> None:
    """Every rule, every value and its unit, every option, source and confirmed of every value."""
    data = tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))
    faults = [f for f in book_faults(data, list(rules())) if not (name == "k1" and f.startswith("ampacity."))]
    assert faults == []


WHOLE = f"""{HEAD}basis = "b"
[binds]
text = "x"
[binds.when]
flag = ["US"]
[ampacity]
source = "s"
confirmed = true
insulation_c = [60, 90]
machinery = [0.5, 0.8]
bundle = [[3, 0.5]]
bundle_from_v = 50
[ampacity.rows]
"10 AWG" = [1, 2]
[standard_ratings]
source = "s"
confirmed = true
amps = [1, 2]
[rules.far-from-source]
clause = "c"
confirmed = true
word = "danger"
{NEARER}[rules.far-from-source.options]
needs_reason = true
[rules.wrong-colour.options]
colours = [["positive", ["RD"]]]
"""


def _keys(section: dict[str, Any], before: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    for name, value in section.items():
        yield (*before, name)
        if isinstance(value, dict):
            yield from _keys(value, (*before, name))


@pytest.mark.parametrize("odd", [0, -1, True, "", [], [[1, 2]], {}, {"a": {}}, math.nan, 10**400], ids=repr)
def test_whatever_stands_anywhere_is_told_or_will_do(odd: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A book with one thing of another kind in it is made, or refused with the key of that thing."""
    for key in _keys(tomllib.loads(WHOLE)):
        data = tomllib.loads(WHOLE)
        inside = data
        for name in key[:-1]:
            inside = inside[name]
        inside[key[-1]] = odd
        monkeypatch.setattr("engine.books.overlay._read", lambda _path, data=data: data)
        told = ""
        try:
            load_file(tmp_path / "none.toml")
        except BookError as fault:
            told = str(fault)
        assert not told or key[0] in told
