"""`linewright books`, a yard's own book in a command, and the edition a drawing records."""

from __future__ import annotations

import json
from pathlib import Path

from engine.books import book_names
from engine.builder import Builder
from engine.files.drawing import load, save
from engine.installation import Settings
from engine.rules import rules

YARD = """
base = "trade-na"
title = "Practice of Gannet Yard"
edition = "3"

[rules.far-from-source]
battery = { value = 0.5, text = "500 mm", source = "yard standard 12", confirmed = true }
"""


def _boat(book: str = "trade-na", edition: str = "") -> Path:
    """A lamp whose fuse is 1 m along a sheathed lead from the bank."""
    b = Builder(book, name="Sandling")
    b._put("settings", "settings", Settings(book=book, book_edition=edition))
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=10)
    b.add("load", "E1", dc_v=12, power_w=20)
    b.run("W1", "G1.pos", "F1.in", size="12 AWG", length_m=1, sheath="sheathed", insulation_c=105, bundle=1)
    b.run("W2", "F1.out", "E1.in", size="12 AWG", length_m=2, sheath="sheathed", insulation_c=105, bundle=1)
    save(b.installation, "boat.linewright")
    return Path("boat.linewright")


def _far(out: str) -> list[str]:
    return [f["message"] for f in json.loads(out)["findings"] if f["rule"] == "far-from-source"]


# -- books ----------------------------------------------------------------------------------------------------------
def test_all_books_stand_side_by_side(run) -> None:
    code, out, err = run("books", "rating-above-ampacity")
    assert (code, err) == (0, "")
    head = next(line for line in out.splitlines() if line.split() == list(book_names()))
    row = next(line for line in out.splitlines() if line.startswith("below_split"))
    at = [head.index(name) for name in book_names()]
    assert [row[i:].split("  ")[0].split(";")[0] for i in at] == ["100 %", "150 %", "150 %", "100 %"]
    assert max(map(len, out.splitlines())) <= 100
    flat = " ".join(out.split())
    assert "us-33cfr183: 33 CFR Part 183 Subpart I, edition 2015 binds every boat with a petrol engine" in flat
    assert "metric: ISO 13297:2020, metric small craft, edition 2020 binds nobody by law unless the flag" in flat
    assert "us-46cfr: 46 CFR parts 183, 28 and 111, edition 2015 binds small passenger vessels" in flat


def test_standing_of_a_clause_and_of_a_value(run) -> None:
    """Part 111 is good practice where part 183 is law; a value may have a clause of its own."""
    _code, out, _err = run("books", "too-little-ventilation")
    flat = " ".join(out.split())
    assert "46 CFR 111.15-10(c); good practice" in " ".join(flat.split())
    large = out[out.index("large_w") :].partition("\n\n")[0]
    assert "2 kW (2000 W); 46 CFR 183.352, 183.354; law" in " ".join(large.replace("–", "").split())


def test_every_rule_has_its_table(run) -> None:
    code, out, _err = run("books")
    assert code == 0
    for rule in rules().values():
        assert f"\n{rule.slug} ({rule.word}): " in out
    assert max(map(len, out.splitlines())) <= 100


def test_where_it_is_narrow_books_stand_below_each_other(run, monkeypatch) -> None:
    monkeypatch.setattr("app.text_report.output_width", lambda: 48)
    code, out, _err = run("books", "far-from-source")
    assert code == 0
    assert max(map(len, out.splitlines())) <= 48
    assert "    bare: 7 in (0.1778 m)" in out


def test_a_rule_there_is_not(run) -> None:
    code, _out, err = run("books", "far-from-sorce")
    assert (code, err.startswith("linewright: there is no rule 'far-from-sorce'; there are: ")) == (2, True)


def test_a_yards_own_book_beside_its_base(run) -> None:
    Path("yard.toml").write_text(YARD, encoding="utf-8")
    code, out, _err = run("books", "far-from-source", "--book", "yard.toml")
    assert code == 0
    assert "of its own: rules.far-from-source.battery" in out
    row = next(line for line in out.splitlines() if line.startswith("battery "))
    assert "72 in (1.8288 m)" in row
    assert "500 mm (0.5 m)" in row


# -- a yard's own book in a command ---------------------------------------------------------------------------------
def test_a_book_named_by_its_path(run) -> None:
    Path("yard.toml").write_text(YARD, encoding="utf-8")
    boat = _boat()
    assert _far(run("check", boat, "--format", "json")[1]) == []
    _code, out, err = run("check", boat, "--format", "json", "--book", "./yard.toml")
    assert err == ""
    assert len(_far(out)) == 1
    made = json.loads(out)
    assert (made["book"], made["edition"]) == ("yard.toml", "3, on trade-na 1")
    assert made["changed"] == ["rules.far-from-source.battery"]
    assert run("flow", boat, "--book", "yard.toml")[0] in (0, 1)


def test_a_book_beside_the_drawing(run) -> None:
    """The drawing names the file; it is looked for where the drawing is, not where the command runs."""
    Path("papers").mkdir()
    save(load(_boat("yard.toml")).installation, Path("papers/boat.linewright"))
    Path("papers/yard.toml").write_text(YARD, encoding="utf-8")
    code, out, err = run("check", "papers/boat.linewright", "--format", "json")
    assert (code, err, len(_far(out))) == (1, "", 1)
    code, out, err = run("check", "boat.linewright")
    assert code == 2
    assert "there is no rule book " in err
    assert "yard.toml" in err
    for command in ("flow", "missing", "faults"):
        assert run(command, "papers/boat.linewright")[0] in (0, 1), command
    assert run("print", "papers/boat.linewright", "-o", "out.pdf")[0] == 0


def test_a_faulty_book_tells_all_and_hides_no_other_drawing(run) -> None:
    Path("yard.toml").write_text(
        YARD.replace('"yard standard 12", confirmed = true', '"", confirmed = 1'), encoding="utf-8"
    )
    _boat("yard.toml").rename("bad.linewright")
    code, out, err = run("check", "bad.linewright", _boat())
    assert code == 2
    assert "Judged by North American small-craft trade practice" in out
    first, *faults = err.splitlines()
    assert first == "linewright: the rule book yard.toml cannot be used (2 faults):"
    assert faults == [
        "  rules.far-from-source.battery.source: expected a text, found ''",
        "  rules.far-from-source.battery.confirmed: expected true or false, found 1",
    ]


# -- the edition a drawing records ----------------------------------------------------------------------------------
def test_nothing_is_said_where_nothing_is_recorded_or_it_is_the_same(run) -> None:
    for edition in ("", "1", "trade-na 1"):
        boat = _boat(edition=edition)
        before = boat.read_bytes()
        _code, out, _err = run("check", boat)
        assert "last judged" not in out
        assert "edition_note" not in json.loads(run("check", boat, "--format", "json")[1])
        assert boat.read_bytes() == before


def test_another_edition_is_said_at_the_head(run) -> None:
    boat = _boat(edition="trade-na 0")
    note = "The drawing records that it was last judged by trade-na 0; now it is judged by trade-na 1."
    _code, out, _err = run("check", boat)
    assert note in " ".join(out.partition("\n\n")[0].split())
    made = json.loads(run("check", boat, "--format", "json")[1])
    assert (made["recorded"], made["edition_note"]) == ("trade-na 0", note)


def test_it_is_recorded_when_asked_for_and_never_else(run) -> None:
    boat = _boat(edition="trade-na 0")
    before = boat.read_bytes()
    run("check", boat)
    assert boat.read_bytes() == before
    _code, out, err = run("check", boat, "--record")
    assert "last judged by trade-na 0" in out  # this time still
    assert err == "boat.linewright: recorded that it was judged by trade-na 1\n"
    assert boat.read_bytes() == before.replace(b"trade-na 0", b"trade-na 1")
    _code, out, err = run("check", boat, "--record")
    assert (err, "last judged" in out) == ("", False)
    told = run("check", boat, "--book", "us-46cfr")[1]
    assert "last judged by trade-na 1; now it is judged by us-46cfr 2015." in " ".join(told.split())


def test_another_book_becomes_the_drawings_own(run) -> None:
    boat = _boat()
    Path("yard.toml").write_text(YARD, encoding="utf-8")
    assert run("check", boat, "--record", "--book", "yard.toml")[2].startswith("boat.linewright: recorded that")
    settings = load(boat).installation.snapshot().settings
    assert (settings.book, settings.book_edition) == ("yard.toml", "yard.toml 3, on trade-na 1")
    _code, out, _err = run("check", boat, "--format", "json")
    assert (json.loads(out)["book"], "edition_note" in json.loads(out)) == ("yard.toml", False)


def test_what_cannot_be_recorded_is_said_and_nothing_is_written(run) -> None:
    boat = _boat()
    before = boat.read_bytes()
    Path("papers").mkdir()
    Path("papers/yard.toml").write_text(YARD, encoding="utf-8")
    code, _out, err = run("check", boat, "--record", "--book", "papers/yard.toml")
    assert (code, boat.read_bytes() == before) == (2, True)
    assert "yard.toml does not stand beside boat.linewright" in err
    assert run("check", boat, "--record", "--fix-list")[0] == 2


def test_rules_without_a_clause_stand_at_the_head_and_on_the_first_page(run) -> None:
    boat = _boat("us-33cfr183")
    head = " ".join(run("check", boat)[1].partition("\n\n")[0].split())
    assert "This book has no clause for these rules" in head
    assert "drop-too-high" in head
    assert run("print", boat, "-o", "out.pdf")[0] == 0
    import pypdf

    first = " ".join(pypdf.PdfReader("out.pdf").pages[0].extract_text().split())
    assert "This book has no clause for these rules" in first
    assert "drop-too-high" in first
