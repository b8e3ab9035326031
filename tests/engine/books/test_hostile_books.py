"""A yard's rule book made to do harm, or broken: refused within bounds, every fault with its key, in short."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engine.books import BookError, files_beside, load_beside, load_file
from engine.toml_text import LARGEST, TomlFault, toml_of

BASE = 'base = "trade-na"\ntitle = "Practice of the yard"\nedition = "3"\n'
RULE = '[rules.far-from-source]\nbare = {{ value = {value}, text = "x", source = "yard", confirmed = true }}\n'


def told(folder: Path, data: bytes) -> str:
    """What is said of a book that cannot be used."""
    path = folder / "yard.toml"
    path.write_bytes(data)
    with pytest.raises(BookError) as fault:
        load_file(path)
    said = str(fault.value)
    assert "yard.toml" in said
    assert all(line.isprintable() and len(line) < 500 + len(str(path)) for line in said.split("\n"))
    assert said.count("\n") <= 102
    return said


def test_a_right_one_is_read(tmp_path: Path) -> None:
    (tmp_path / "yard.toml").write_text(BASE + RULE.format(value="0.1"))
    limit = load_file(tmp_path / "yard.toml").limit("far-from-source", "bare")
    assert limit is not None
    assert limit.value == 0.1


HARMFUL = {
    "a number of thousands of digits": (BASE + RULE.format(value="9" * 5000), "digits"),
    "a number of many bits": (BASE + RULE.format(value="0x" + "f" * 50_000), "bare.value: expected a number, found …"),
    "1e999": (BASE + RULE.format(value="1e999"), "bare.value: expected a number, found inf"),
    "nan": (BASE + RULE.format(value="nan"), "bare.value: expected a number, found nan"),
    "minus infinity": (BASE + RULE.format(value="-inf"), "bare.value: expected a number, found -inf"),
    "1e308": (BASE + RULE.format(value="1e308"), "bare.value: expected a number, found 1e+308"),
    "a list": (BASE + RULE.format(value="[1]"), "bare.value: expected a number, found a list of 1"),
    "a key twice": (BASE + BASE, "Cannot overwrite"),
    "a section twice": (BASE + RULE.format(value="1") * 2, "Cannot"),
    "lists without end": (BASE + "binds = " + "[" * 100_000, "nested too deeply"),
    "tables without end": (BASE + "binds = " + "{a = " * 100_000, "nested too deeply"),
    "a dotted key without end": (BASE + "a." * 100_000 + "a = 1", "a line has more than 300 dots"),
    "a base that is a path": (BASE.replace("trade-na", "../../../etc/passwd"), "base: "),
    "a base that is a file": (BASE.replace("trade-na", "yard.toml"), "base: "),
    "a base that is a number": (BASE.replace('"trade-na"', "1"), "base: "),
    "a table that is a path": (BASE + '[ampacity]\ntable = "../metric"\n', "ampacity.table: there is no table"),
    "a table that is a list": (BASE + "[ampacity]\ntable = [1]\n", "ampacity.table: there is no table"),
    "a title that speaks to the terminal": (BASE.replace("edition", '"\\u001b[2J"'), "edition: missing"),
    "a key of 400 kB": (BASE + f"{'x' * 400_000} = 1\n", "a book has no such key here"),
    "60 000 keys": (BASE + "".join(f"k{n} = 1\n" for n in range(38_000)), "and more of them"),
    "30 000 rules": (BASE + "".join(f"[rules.r{n}]\n" for n in range(30_000)), "and more of them"),
    "a list of 100 000": (BASE + "standard_ratings = { amps = [" + "1," * 100_000 + "'x'] }\n", "a list of"),
    "too large": ("#" * (LARGEST + 1), "it is larger than 512 kB"),
}  # fmt: skip


@pytest.mark.posix
@pytest.mark.parametrize("what", HARMFUL)
def test_a_book_made_to_do_harm_is_refused(tmp_path: Path, what: str) -> None:
    from held_back import held_back

    text, said = HARMFUL[what]
    held = held_back(lambda: told(tmp_path, text.encode()), seconds=3, mb=300)
    assert (held.fault, held.ended) == (None, "")
    assert said in held.value


@pytest.mark.parametrize(
    "data", [BASE.encode("utf-16"), BASE.encode() + b"# \xe9\n", BASE.encode() + b"\0", b"\xff" * 9]
)
def test_what_is_no_utf_8_is_refused(tmp_path: Path, data: bytes) -> None:
    assert "is no TOML" in told(tmp_path, data)


@pytest.mark.posix
def test_a_folder_a_pipe_and_a_device_are_refused_and_passed_over(tmp_path: Path) -> None:
    (tmp_path / "folder.toml").mkdir()
    os.mkfifo(tmp_path / "pipe.toml")
    (tmp_path / "large.toml").write_bytes(b"#" * (LARGEST + 1))
    (tmp_path / "deep.toml").write_bytes(b"a = " + b"[" * 9000)
    (tmp_path / "yard.toml").write_text(BASE)
    (tmp_path / "zero.toml").symlink_to("/dev/zero")
    assert files_beside(tmp_path) == ("yard.toml",)
    for name in ("folder.toml", "pipe.toml", "zero.toml", "none.toml"):
        with pytest.raises(BookError) as fault:
            load_file(tmp_path / name)
        assert name in str(fault.value)


@pytest.mark.parametrize("ending", ["", ".toml"])
@pytest.mark.parametrize(
    "name", ["x" * 300, "é" * 200, "a\0", "a\ud800", "", ".", "a\x1b[2J", "a/../../b", "trade-na" * 99]
)
def test_a_drawing_may_name_any_book(name: str, ending: str, tmp_path: Path) -> None:
    """A name that no file can have ended `check` with what the system says of it."""
    for folder in (None, tmp_path):
        with pytest.raises(BookError) as fault:
            load_beside(name + ending, folder)
        assert str(fault.value).isprintable()
        assert len(str(fault.value)) < 700
    base = f"base = {json.dumps(name + ending)}\n" + "\n".join(BASE.splitlines()[1:])
    if "\ud800" not in name:
        (tmp_path / "yard.toml").write_text(base, encoding="utf-8")
        with pytest.raises(BookError, match=r"yard\.toml"):
            load_file(tmp_path / "yard.toml")


@given(st.binary(max_size=200))
def test_whatever_the_bytes_are_it_is_toml_or_one_phrase(data: bytes) -> None:
    said = ""
    try:
        toml_of(data)
    except TomlFault as fault:
        said = str(fault)
    assert said.isprintable()


values = st.recursive(
    st.one_of(st.integers(), st.floats(), st.booleans(), st.sampled_from(["x", "", "inf", "danger", "metric"])),
    lambda inner: st.lists(inner, max_size=4),
    max_leaves=6,
)
KEYS = ("base", "title", "edition", "basis", "binds", "binds.when", "binds.when.flag", "ampacity", "ampacity.rows",
        "ampacity.table", "ampacity.bundle", "ampacity.insulation_c", "standard_ratings", "standard_ratings.amps",
        "rules", "rules.far-from-source", "rules.far-from-source.bare", "rules.far-from-source.bare.value",
        "rules.far-from-source.options", "rules.far-from-source.word", "rules.no-protection.options.x")  # fmt: skip


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.dictionaries(st.sampled_from(KEYS), values, max_size=5))
def test_whatever_values_are_it_is_a_book_or_refused(tmp_path: Path, given_values: dict[str, object]) -> None:
    lines = [f"{key} = {_written(value)}" for key, value in given_values.items()]
    rest = [line for line in BASE.splitlines() if line.partition(" ")[0] not in given_values]
    (tmp_path / "yard.toml").write_text("\n".join([*rest, *lines]) + "\n")
    said = "yard.toml"
    try:
        load_file(tmp_path / "yard.toml")
    except BookError as fault:
        said = str(fault)
    assert "yard.toml" in said


def _written(value: object) -> str:
    if isinstance(value, list):
        return "[" + ", ".join(map(_written, value)) + "]"
    if isinstance(value, bool):
        return str(value).lower()
    return f'"{value}"' if isinstance(value, str) else repr(value)
