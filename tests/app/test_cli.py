"""The command line as a person and a script use it: what is written where, and the exit code."""

from __future__ import annotations

import json
import logging
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from app import log
from engine.builder import Builder
from engine.equipment import kinds
from engine.files.drawing import save
from engine.findings import Finding
from engine.rules import rules

ROOT = Path(__file__).parents[2]


@pytest.fixture(autouse=True)
def _rules_as_they_were() -> Iterator[None]:
    """What `only` takes away comes back in its own place: rules run in the order of the table."""
    before = dict(rules())
    yield
    rules().clear()
    rules().update(before)


def only(monkeypatch: pytest.MonkeyPatch, *slugs: str) -> None:
    """Leave only these rules."""
    for slug in list(rules()):
        if slug not in slugs:
            monkeypatch.delitem(rules(), slug)


# -- check ----------------------------------------------------------------------------------------------------------
def test_exit_codes(run, monkeypatch: pytest.MonkeyPatch, drawing) -> None:
    only(monkeypatch, "rated-below-voltage")
    good = drawing("good.linewright")
    bad = drawing("bad.linewright", unit_v=48)
    dark = drawing("dark.linewright", rated=None)
    assert run("check", good)[0] == 0
    assert run("check", bad)[0] == 1
    assert run("check", dark)[0] == 1
    assert run("check", dark, "--allow-unknown")[0] == 0
    assert run("check", bad, "--allow-unknown")[0] == 1
    assert run("check", "nowhere.linewright")[0] == 2
    assert run("check")[0] == 2
    # several files: the worst
    assert run("check", good, bad)[0] == 1
    assert run("check", good, "nowhere.linewright", bad)[0] == 2


def test_fail_on(run, monkeypatch: pytest.MonkeyPatch) -> None:
    only(monkeypatch, "unconnected")
    b = Builder()
    b.add("fuse", "F1", rating_a=10)
    save(b.installation, "loose.linewright")
    for word, code in (("danger", 0), ("warning", 0), ("caution", 1), ("notice", 1)):
        assert run("check", "loose.linewright", "--fail-on", word)[0] == code, word
    assert run("check", "loose.linewright")[0] == 0  # --fail-on is warning
    code, _out, err = run("check", "loose.linewright", "--fail-on", "error")
    assert code == 2
    assert "expected one of danger, warning, caution, notice, found 'error'" in err
    assert err.count("\n") == 1


def test_a_waived_danger_does_not_count_and_is_told_at_the_top(run, monkeypatch: pytest.MonkeyPatch, drawing) -> None:
    only(monkeypatch, "rated-below-voltage")
    signed = {"who": "A. Tern", "reason": "replaced at haul-out", "date": "2026-03-01"}
    held = drawing(unit_v=48, review="9999-12-31", **signed)
    code, out, _err = run("check", held)
    assert code == 0
    head = out[: out.index("No open findings.")]
    assert "Waived danger: rated-below-voltage on F1, G1, accepted by A. Tern" in head
    lapsed = drawing(unit_v=48, review="2020-01-01", **signed)
    code, out, _err = run("check", lapsed)
    assert code == 1
    assert "Its waiver does not hold: its review date 2020-01-01 has passed" in out


def test_text_says_what_is_not_judged_before_what_is_found(run) -> None:
    b = Builder(book="us-33cfr183", name="Sandling", engine_fuel="diesel")
    b.add("battery_bank", "G1", unit_v=48)
    for name, rated in (("F1", 32), ("F2", None)):
        b.add("fuse", name, rating_a=10, rated_dc_v=rated)
        b.add("load", f"E{name}", dc_v=48)
        b.run(f"W1{name}", "G1.pos", f"{name}.in", size="14 AWG", length_m=0.1)
        b.run(f"W2{name}", f"{name}.out", f"E{name}.in", size="14 AWG", length_m=2)
    save(b.installation, "boat.linewright")
    code, out, err = run("check", "boat.linewright")
    assert (code, err) == (1, "")
    order = [
        "boat.linewright (Sandling)",
        "Judged by 33 CFR Part 183 Subpart I, edition 2015 (us-33cfr183).",
        "It binds every boat with a petrol engine",
        "This book has no clause for these rules",
        "NOT JUDGED",
        "F2: Its DC voltage rating is not recorded. Missing: F2.rated_dc_v.",
        "FINDINGS",
        "DANGER  rated-below-voltage  F1, G1",
        "F1 (fuse) is rated 32 V DC; G1 (battery bank) puts a nominal 48 V DC on it.",
        "Clause: 33 CFR 183.455(d); good practice, not law here",
        "To put right: fit a device rated 48 V DC or more",
        "does not certify",
        "Isolate and prove dead before work.",
    ]
    flat = " ".join(out.split())
    places = [flat.index(" ".join(text.split())) for text in order]
    assert places == sorted(places)
    assert max(map(len, out.splitlines())) <= 100


def test_an_empty_drawing_is_no_pass_in_words(run, drawing) -> None:
    save(Builder(name="Sandling").installation, "empty.linewright")
    _code, out, _err = run("check", "empty.linewright")
    assert "Nothing is drawn, nothing was judged." in out
    assert "No open findings." not in out
    drawing()
    assert "No open findings." in run("check", "boat.linewright")[1]


def test_text_names_the_assumptions_taken(run) -> None:
    b = Builder(name="Sandling")
    b.add("alternator", "G4", dc_v=12, rating_a=80)
    b.add("bus_bar", "X1")
    b.run("W1", "G4.pos", "X1.bar", size="2 AWG", length_m=0.1)
    save(b.installation, "boat.linewright")
    out = " ".join(run("check", "boat.linewright")[1].split())
    taken = "Assumptions taken: G4: taken as limiting itself to its rating, as an ordinary alternator does."
    assert taken in out
    assert taken not in " ".join(run("check", "--book", "us-33cfr183", "boat.linewright")[1].split())


def test_json_of_one_file_and_of_several(run, monkeypatch: pytest.MonkeyPatch, drawing) -> None:
    only(monkeypatch, "rated-below-voltage")
    one, other = drawing("one.linewright"), drawing("other.linewright", unit_v=48)
    code, out, err = run("check", one, "--format", "json")
    assert (code, err) == (0, "")
    assert json.loads(out)["file"] == "one.linewright"
    code, out, _err = run("check", one, other, "--format", "json")
    assert code == 1
    assert [len(each["findings"]) for each in json.loads(out)] == [0, 1]
    code, out, err = run("check", one, "nowhere.linewright", "--format", "json")
    assert code == 2
    assert [each["file"] for each in json.loads(out)] == ["one.linewright"]
    assert "nowhere.linewright: there is no such file" in err


def test_sarif_has_a_run_for_each_file(run, drawing) -> None:
    one, other = drawing("one.linewright"), drawing("other.linewright", unit_v=48)
    log_file = json.loads(run("check", one, other, "--format", "sarif")[1])
    assert log_file["version"] == "2.1.0"
    assert [r["artifacts"][0]["location"]["uri"] for r in log_file["runs"]] == ["one.linewright", "other.linewright"]


def test_another_book(run, drawing) -> None:
    path = drawing()
    assert json.loads(run("check", path, "--format", "json")[1])["book"] == "trade-na"
    assert json.loads(run("check", path, "--format", "json", "--book", "us-33cfr183")[1])["book"] == "us-33cfr183"
    code, _out, err = run("check", path, "--book", "harbour")
    assert code == 2
    assert "there is no rule book 'harbour'; there are: metric, trade-na, us-33cfr183, us-46cfr" in err


def test_every_fault_of_a_file_is_told_with_its_path(run, drawing) -> None:
    path = drawing()
    text = path.read_text().replace('"rating_a": 10', '"rating_a": "ten"').replace('"unit_v": 12', '"unit_v": -12')
    path.write_text(text)
    code, out, err = run("check", path)
    assert (code, out.strip()) == (2, "")
    assert "rating_a" in err
    assert "unit_v" in err


# -- usage ----------------------------------------------------------------------------------------------------------
def test_version_help_and_usage(run) -> None:
    from engine.version import version

    assert run("--version") == (0, f"linewright {version()}\n", "")
    code, out, _err = run("--help")
    assert code == 0
    for name in ("check", "print", "parts", "import", "export-list", "rules", "explain", "demo"):
        assert name in out
        assert run(name, "--help")[0] == 0
    code, _out, err = run("chekc", "boat.linewright")
    assert code == 2
    assert err.startswith("linewright: there is no command 'chekc'; there are: check, ")
    for arguments in (("check", "x", "--colour"), ("parts", "x"), ("explain",)):
        code, _out, err = run(*arguments)
        assert code == 2
        assert err.count("\n") == 1
        assert "invalid" not in err


def test_rules_and_explain(run) -> None:
    code, out, _err = run("rules")
    assert code == 0
    for slug, rule in rules().items():
        assert any(line.startswith(slug) and rule.word in line for line in out.splitlines())
    code, out, _err = run("explain", "rated-below-voltage")
    assert code == 0
    for text in ("What it checks", "Why it matters", "What to do", "33 CFR 183.455(d) (read in the source)",
                 "unknown_highest: 1.5 times nominal", "not confirmed", "basis: nominal", "Is found: "):  # fmt: skip
        assert text in out
    code, out, err = run("explain", "fuses")
    assert (code, out) == (2, "")
    assert err.startswith(
        "linewright: there is no rule or kind of equipment 'fuses'; there are the rules alternator-cut-off, "
    )
    code, out, _err = run("explain", "kinds")
    assert code == 0
    assert [line.split()[0] for line in out.splitlines()] == list(kinds())


@pytest.mark.parametrize("kind", list(kinds()))
def test_every_kind_can_be_looked_up(run, kind: str) -> None:
    code, out, err = run("explain", kind)
    assert (code, err) == (0, "")
    for terminal in kinds()[kind]().terminals():
        assert f"  {terminal.name}: " in out
    assert "  designation: " in out
    assert max(map(len, out.splitlines())) <= 120


@pytest.mark.parametrize("slug", list(rules()))
def test_every_rule_can_be_explained(run, slug: str) -> None:
    code, out, err = run("explain", slug)
    assert (code, err) == (0, "")
    assert max(map(len, out.splitlines())) <= 120


# -- what goes wrong ------------------------------------------------------------------------------------------------
def test_a_fault_of_the_program_is_one_line_and_a_log(
    run, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture, drawing
) -> None:
    def broken(*_arguments: object, **_more: object) -> None:
        raise RecursionError("secret of the house")

    monkeypatch.setattr("app.commands.check.check", broken)
    path = drawing()
    code, _out, err = run("check", path)
    assert code == 2
    assert err.count("\n") == 1
    assert "a fault of the program stopped it (RecursionError); the log tells more: " in err
    written = Path(err.strip().rpartition(": ")[2])
    assert "secret of the house" in written.read_text()
    assert "Traceback" in written.read_text()
    caplog.clear()


def test_a_rule_that_stops_is_told_as_not_judged(run, monkeypatch: pytest.MonkeyPatch, drawing) -> None:
    def broken(_study: object):
        yield Finding(rule="unconnected", word="caution", designations=("F9",), ids=("e9",), message="Before.")
        raise LookupError

    only(monkeypatch, "unconnected")
    monkeypatch.setitem(rules(), "unconnected", rules()["unconnected"]._replace(check=broken))
    code, out, _err = run("check", drawing(), "--fail-on", "caution", "--allow-unknown")
    assert code == 1
    assert "stopped by a fault of the program (LookupError)" in out


def test_an_unwritable_log_folder_stops_nothing(run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, drawing) -> None:
    (tmp_path / "file").write_text("")
    monkeypatch.setattr(log, "folder", lambda: tmp_path / "file" / "log")
    path = drawing()
    assert run("check", path, "--fail-on", "danger", "--allow-unknown")[0] == 0

    def broken(*_arguments: object, **_more: object) -> None:
        raise RecursionError

    monkeypatch.setattr("app.commands.check.check", broken)
    code, _out, err = run("check", path)
    assert code == 2
    assert err == "linewright: a fault of the program stopped it (RecursionError)\n"


def test_the_log_is_rotated(own_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(log, "LARGEST", 2000)
    where = log.start()
    logger = logging.getLogger("app.test")
    for number in range(100):
        logger.info("line %s %s", number, "x" * 80)
    files = sorted(p.name for p in where.parent.glob("linewright.log*"))
    assert files == ["linewright.log", "linewright.log.1", "linewright.log.2"]
    assert all(p.stat().st_size <= 2000 for p in where.parent.glob("linewright.log*"))


def test_a_catalogue_is_used_where_there_is_one(run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A catalogue of one sentence, written as GNU gettext does (its manual, section 10.3)."""
    import struct

    from app import words

    def catalogue(texts: dict[str, str]) -> bytes:
        pairs = sorted((k.encode(), v.encode()) for k, v in texts.items())
        start = 28 + 16 * len(pairs)
        tables, strings = [b"", b""], b""
        for side in (0, 1):
            for pair in pairs:
                tables[side] += struct.pack("<II", len(pair[side]), start + len(strings))
                strings += pair[side] + b"\0"
        head = struct.pack("<7I", 0x950412DE, 0, len(pairs), 28, 28 + 8 * len(pairs), 0, 0)
        return head + tables[0] + tables[1] + strings

    folder = tmp_path / "words" / "de" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    text = catalogue({"": "Content-Type: text/plain; charset=UTF-8\n", "rule": "Regel"})
    (folder / "linewright.mo").write_bytes(text)
    monkeypatch.setattr(words, "__file__", str(tmp_path / "words" / "__init__.py"))
    monkeypatch.setenv("LANGUAGE", "de")
    assert run("rules")[1].startswith("Regel ")
    (folder / "linewright.mo").write_bytes(b"\xde\x12\x04\x95 cut off")
    assert run("rules")[0] == 0  # a broken catalogue: English, and no traceback


# -- in a process of its own ----------------------------------------------------------------------------------------
def process(*arguments: str, **more) -> subprocess.CompletedProcess[bytes]:
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "", "PYTHONUTF8": "0"}
    return subprocess.run(
        [sys.executable, "-m", "app.cli", *arguments], env=environment, capture_output=True, check=False, **more
    )


def test_a_pipe_gets_utf8_whatever_the_locale(own_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    b = Builder(name="Sula Ω")
    b.add("fuse", "F1", rating_a=10, label="Ωmega")
    save(b.installation, "boat.linewright")
    monkeypatch.setenv("LC_ALL", "C")
    done = process("check", "boat.linewright", "--format", "json")
    assert json.loads(done.stdout.decode("utf-8"))["findings"][0]["message"].count("Ωmega") == 1
    assert done.stderr == b""


def test_a_reader_that_leaves_early_is_no_fault(drawing) -> None:
    drawing()
    command = [sys.executable, "-m", "app.cli", "rules"]
    with subprocess.Popen(
        command,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as started:
        started.stdout.close()
        errors = started.stderr.read()
    assert errors == b""


def test_check_loads_nothing_heavy(drawing) -> None:
    drawing()
    code = (
        "import sys\n"
        "from app.cli import main\n"
        "for form in ('text', 'json', 'sarif'):\n"
        "    main(['check', 'boat.linewright', '--format', form])\n"
        "main(['rules']); main(['explain', 'sources-meet'])\n"
        "heavy = {'PySide6', 'reportlab', 'scipy', 'shapely', 'fontTools', 'xlsxwriter', 'openpyxl'}\n"
        "loaded = heavy & {m.partition('.')[0] for m in sys.modules}\n"
        "assert not loaded, loaded\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, check=False
    )
    assert done.returncode == 0, done.stderr.decode()


def test_without_a_command_the_window_opens(run, own_folder, monkeypatch) -> None:
    from app import cli

    opened = []

    def window(paths=()) -> int:
        opened.append(list(paths))
        return 0

    monkeypatch.setattr(cli, "open_window", window)
    assert run() == (0, "", "")
    (own_folder / "skua.linewright").write_text("{}")
    assert run("skua.linewright") == (0, "", "")
    (own_folder / "list.json").write_text("{}")
    assert run("list.json", "skua.linewright") == (0, "", "")
    assert run("not-there.linewright") == (0, "", "")  # the window says what is wrong with it
    assert opened == [[], ["skua.linewright"], ["list.json", "skua.linewright"], ["not-there.linewright"]]
    code, _out, err = run("skua.linewright", "--only", "x")
    assert code == 2
    assert "--only" in err
    assert run("nonsense")[0] == 2
    assert len(opened) == 4
