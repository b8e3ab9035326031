"""`linewright issue` and `revise`: copies, a day, what changed, refusals in one sentence."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from engine.edits import SetFields, apply
from engine.edits.issuing import in_order
from engine.files.drawing import load, save

Run = Callable[..., tuple[int, str, str]]
Drawing = Callable[..., Path]


def test_issue_revise_and_issue_again_with_what_changed(run: Run, drawing: Drawing) -> None:
    path = drawing()
    before = path.read_bytes()
    code, out, err = run("issue", path, "--by", "A. Dunnock", "--date", "2026-11-28", "-o", "a.linewright")
    assert (code, err) == (0, "")
    assert out.startswith(
        "a.linewright written: revision A, issued 2026-11-28 by A. Dunnock\nkept as issued: issued/a A "
    )
    assert path.read_bytes() == before
    assert run("issue", "a.linewright", "--by", "X", "-o", "b.linewright") == (
        2, "", "linewright: Revision A is issued already; begin a new revision first.\n",
    )  # fmt: skip
    assert run("revise", "a.linewright", "-o", "b.linewright")[1] == "b.linewright written: revision B begun\n"
    again = load("b.linewright").installation
    (found,) = again.find("F1")
    apply(again, SetFields("equipment", found[1], (("rating_a", 7.5),)))
    save(again, "b.linewright")
    code, out, _err = run("issue", "b.linewright", "--by", "X", "--since", "a.linewright", "-o", "c.linewright")
    assert code == 0
    record = in_order(load("c.linewright").installation.snapshot())[-1][1]
    assert record.text.startswith("Changed: F1 (rated current of the link:")
    assert record.date == date.today().isoformat()
    assert record.text in out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--by", " "), "Nobody is named who issues it."),
        (("--by", "X", "--date", "28.11.2026"), "“28.11.2026” is no day written YYYY-MM-DD."),
    ],
)
def test_what_cannot_be_issued(run: Run, drawing: Drawing, arguments: tuple[str, ...], said: str) -> None:
    assert run("issue", drawing(), *arguments, "-o", "a.linewright") == (2, "", f"linewright: {said}\n")
    assert not Path("a.linewright").exists()


def test_nothing_is_written_over_unasked(run: Run, drawing: Drawing) -> None:
    Path("a.linewright").write_text("mine")
    code, _out, err = run("revise", drawing(), "-o", "a.linewright")
    assert (code, err) == (2, "linewright: a.linewright is there already; --replace writes over it\n")
