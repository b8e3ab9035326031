"""A person's own rules: where they are found, and that whatever one does ends nothing but itself."""

from __future__ import annotations

import json
import math
import os
import sys
import textwrap
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from app import own_rules, settings
from app.own_rules_runner import OwnRules
from app.own_rules_watch import Mute, Watch
from engine.books import load as load_book
from engine.builder import Builder
from engine.check import CheckResult, check
from engine.files.drawing import save
from engine.installation.model import Snapshot
from engine.rules import own as engine_own
from engine.rules import rules
from engine.rules.own import Heard, find
from engine.study import Study

LOOP = "import time\nwhile True: time.sleep(1)"
LIMIT_S = 0.8  # for what loops; what does not has plenty, on a machine that is busy too
FUSES = """\
for item, record in study.snapshot.equipment.items():
    if record.KIND == "fuse":
        yield Finding(
            rule=SLUG, word=WORD, designations=(study.name(item),), ids=(item,),
            message=f"{study.name(item)} is a fuse.", figures=(Figure("rating", record.rating_a, "A"),),
        )
"""


def rule(body: str = FUSES, *, slug: str = "a-fuse", word: str = "caution", head: str = "") -> str:
    """The text of a rule's file, `body` being that of its `check`."""
    return (
        f'"""A fuse.\n\nWhat it checks\n--------------\nEvery fuse of the boat.\n"""\n{head}\n'
        "from engine.findings import Figure, Finding, NotJudged, Passed\n"
        f'SLUG = "{slug}"\nWORD = "{word}"\nTITLE = "a fuse"\n\n\n'
        f"def check(study):\n{textwrap.indent(body, '    ')}"
    )


def boat(*waived: str, book: str = "trade-na", **vessel: str) -> Builder:
    b = Builder(name="Sandling", book=book, **vessel)
    b.add("battery_bank", "G1", unit_v=12, charge_v=14.4)
    b.add("fuse", "F1", rating_a=10, rated_dc_v=32)
    b.add("load", "E1", dc_v=12)
    b.run("W1", "G1.pos", "F1.in", size="14 AWG", length_m=0.1)
    b.run("W2", "F1.out", "E1.in", size="14 AWG", length_m=2)
    for slug in waived:
        b.waive(slug, "F1", reason="as it came", who="A. Tern", date="2026-01-15")
    return b


@pytest.fixture(autouse=True)
def _nothing_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """No settings of whoever runs the tests, no process left, and no own rule known afterwards."""
    monkeypatch.setattr(settings, "folder", lambda: tmp_path / "settings")
    yield
    own_rules.close()
    engine_own.announce((), are_all=True)
    engine_own.ask_by(lambda: None)


@pytest.fixture
def folder(tmp_path: Path) -> Callable[..., Path]:
    """Writes rules into a folder, file name -> text."""

    def made(**files: str) -> Path:
        place = tmp_path / "rules of mine"
        place.mkdir(exist_ok=True)
        for name, text in files.items():
            (place / f"{name}.py").write_text(text, encoding="utf-8")
        return place

    return made


Settle = Callable[..., None]


@pytest.fixture
def settle(tmp_path: Path) -> Settle:
    """Writes the person's settings."""

    def made(**values: Any) -> None:
        (tmp_path / "settings").mkdir(exist_ok=True)
        (tmp_path / "settings" / "settings.json").write_text(json.dumps(values), encoding="utf-8")

    return made


Judged = tuple[Heard, dict[str, str], CheckResult]


@pytest.fixture
def judged() -> Iterator[Callable[..., Judged]]:
    """Has the rules of a folder judge a boat: what was heard, why each disabled one was, the judgement."""
    opened: list[OwnRules] = []

    def made(
        place: Path,
        snapshot: Snapshot | None = None,
        times: int = 1,
        limit_s: float = 20.0,
        start_s: float = 20.0,
        **more: Any,
    ) -> Judged:
        own = OwnRules(*find(str(place)), limit_s=limit_s, start_s=start_s)
        opened.append(own)
        snapshot = snapshot or boat().installation.snapshot()
        for _time in range(times):
            heard = own.judge(snapshot, load_book(snapshot.settings.book), **more)
        why = {Path(fault.where).stem: fault.why for fault in heard.faults}
        return heard, why, check(snapshot, only=["needless-waiver"], own=heard)

    yield made
    for own in opened:
        own.close()


# -- one that is as it should be --------------------------------------------------------------------------------------
def test_what_it_finds_stands_among_the_findings(folder, judged) -> None:
    passed = 'yield Passed(rule=SLUG, designations=("F1",), ids=study.snapshot.equipment and (fuse(study),))\n'
    helper = "def fuse(study):\n    return next(i for i, r in study.snapshot.equipment.items() if r.KIND == 'fuse')\n"
    head = "from _help import fuse"
    gap = 'yield NotJudged(rule=SLUG, would_be=WORD, designations=("F1",), ids=(fuse(study),), missing=("F1.label",))\n'
    place = folder(fuses=rule(), gaps=rule(gap + passed, slug="b-gap", head=head), _help=helper, notes="x = (")
    (place / "notes.py").rename(place / "notes.txt")
    snapshot = boat().installation.snapshot()
    heard, why, result = judged(place, snapshot)
    assert why == {}
    assert [r.slug for r in heard.rules] == ["a-fuse", "b-gap"]
    assert heard.rules[0].doc.startswith("A fuse.\n\nWhat it checks")
    (finding,) = [f for f in result.findings if f.rule == "a-fuse"]
    assert (finding.message, finding.word, finding.figures[0].value) == ("F1 is a fuse.", "caution", 10)
    assert (finding.clause, finding.law_here) == ("", False)
    assert [g.missing for g in result.not_judged if g.rule == "b-gap"] == [("F1.label",)]
    assert result.stopped == ()
    assert [own.slug for own in result.own] == ["a-fuse", "b-gap"]
    # nothing is written beside them
    assert sorted(p.name for p in place.iterdir()) == ["_help.py", "fuses.py", "gaps.py", "notes.txt"]
    # all the rules of the program run as without it
    result, without = check(snapshot, own=heard), check(snapshot)
    assert [f for f in result.findings if f.rule in rules()] == list(without.findings)
    assert [g for g in result.not_judged if g.rule in rules()] == list(without.not_judged)
    assert heard.outcomes["b-gap"].passed == ()
    # what passed is asked for only where that is proved, and not where something else is said of the same place
    proved, _why, _result = judged(folder(gaps=rule(passed, slug="b-gap", head=head)), snapshot, proving=True)
    assert [p.designations for p in proved.outcomes["b-gap"].passed] == [("F1",)]


def test_a_clause_of_its_own_is_no_law(folder, judged) -> None:
    body = FUSES.replace("message=", 'clause="33 CFR 183.455", confirmed=True, law_here=True, waived="x1", message=')
    snapshot = boat(book="us-33cfr183", engine_fuel="petrol").installation.snapshot()
    _heard, why, result = judged(folder(fuses=rule(body)), snapshot)
    assert why == {}
    assert result.law is True
    (finding,) = [f for f in result.findings if f.rule == "a-fuse"]
    assert (finding.clause, finding.law_here) == ("33 CFR 183.455", False)
    assert result.waived == ()


def test_a_waiver_may_name_one(folder, judged) -> None:
    snapshot = boat("a-fuse", "b-fuse", "c-fuse").installation.snapshot()
    needless = {w.rule: None for w in snapshot.waivers.values()}
    assert list(needless) == ["a-fuse", "b-fuse", "c-fuse"]

    def called_needless(result: CheckResult) -> dict[str, str]:
        return {f.detail: f.message for f in result.findings if f.rule == "needless-waiver"}

    said = called_needless(check(snapshot))
    assert all(said[slug].endswith("names a rule that does not exist.") for slug in needless)
    silent = rule("return iter(())", slug="c-fuse")
    heard, _why, result = judged(folder(a=rule(), b=rule("yield 1 / 0", slug="b-fuse"), c=silent), snapshot)
    assert heard.is_complete
    assert [f.rule for f in result.waived] == ["a-fuse"]
    assert called_needless(result) == {"c-fuse": "The waiver of c-fuse for F1 no longer hides anything."}
    # while a rule could not be read it may be the one that was meant
    _heard, _why, result = judged(folder(c="x = ("), snapshot)
    assert called_needless(result) == {}


# -- those that are not -----------------------------------------------------------------------------------------------
SAYS_NONSENSE = {
    "number": ("yield 7", "it yielded 7, where a Finding, NotJudged or Passed is expected"),
    "nothing": ("return None", "its check gave None, where an iterator of findings is expected"),
    "a_text": ("return 'all well'", "its check gave 'all well', where an iterator of findings is expected"),
    "types": (
        'yield Finding(rule=SLUG, word=WORD, designations="F1", ids=(), message="x")',
        "it yielded a Finding that is none (Expected `array`, got `str` - at `$.designations`)",
    ),
    "word": (
        'yield Finding(rule=SLUG, word="fatal", designations=(), ids=(), message="x")',
        "it yielded a Finding that is none (Invalid enum value 'fatal' - at `$.word`)",
    ),
    "ids": (
        'yield Finding(rule=SLUG, word=WORD, designations=("F9",), ids=("e99",), message="x")',
        "it speaks of the id 'e99', which is not in the drawing",
    ),
    "other": (
        'yield Finding(rule="no-protection", word=WORD, designations=(), ids=(), message="x")',
        "it yielded a Finding of the rule 'no-protection'",
    ),
    "mute": (
        'yield Finding(rule=SLUG, word=WORD, designations=(), ids=(), message=" ")',
        "it yielded a Finding without a message",
    ),
    "endless": (
        'while True: yield Finding(rule=SLUG, word=WORD, designations=(), ids=(), message="x")',
        "it says more than 5000 things of one drawing",
    ),
    "prints": ("print('look here')\nyield from ()", "it printed 'look here', where a rule only yields what it finds"),
    "raises": ("yield {}['amperes']", "it raised KeyError ('amperes') in line 15"),
    "deep": ("yield from check(study)", "it raised RecursionError (maximum recursion depth exceeded"),
    "leaves": ("raise SystemExit(0)", "it asked to end the program in line 15"),
    "surrogate": (
        'yield Finding(rule=SLUG, word=WORD, designations=(), ids=(), message="\\ud800")',
        "it yielded a Finding that is none (",
    ),
}


def test_one_that_raises_or_says_nonsense_is_disabled_and_the_others_go_on(folder, judged) -> None:
    files = {name: rule(body, slug=f"a-{name.replace('_', '-')}") for name, (body, _why) in SAYS_NONSENSE.items()}
    heard, why, result = judged(folder(**files, z=rule(slug="z-fuse")), times=2)
    assert why.keys() == SAYS_NONSENSE.keys()
    for name, (_body, begins) in SAYS_NONSENSE.items():
        assert why[name].startswith(begins), name
    assert [r.slug for r in heard.rules] == ["z-fuse"]
    assert [f.message for f in result.findings if f.rule == "z-fuse"] == ["F1 is a fuse."]
    assert set(result.stopped) == {f"a-{name.replace('_', '-')}" for name in files}
    assert result.fails("caution", allow_unknown=True)
    (gap,) = [g for g in result.not_judged if g.rule == "a-raises"]
    assert gap.why.startswith("your own rule a-raises (")
    assert gap.why.endswith("was disabled for this run: it raised KeyError ('amperes') in line 15")
    assert gap.would_be == "caution"


SPOILS = {
    "loops": ("while True: pass", "it took longer than the 0.8 s that the setting rules_limit_s gives a rule"),
    "exits": ("import os\nos._exit(3)\nyield", "it ended its process (exit code 3)"),
    "writes": ("import os\nos.write(1, b'x' * 9)\nos.system('echo chatter')\nyield from ()", ""),
    "memory": ("x = bytearray(1 << 33)\nyield from ()", "it asked for more than 2048 MB of memory"),
    "erases": ("study.snapshot.equipment.clear()\nyield from ()", "it changed the drawing it was given"),
}


def test_one_that_spoils_its_process_is_ended_and_the_others_go_on(folder, judged, capfd) -> None:
    """Each of them would take the next with it, or the program: here nothing but itself is lost."""
    files = {name: rule(body, slug=f"a-{name}") for name, (body, _why) in SPOILS.items()}
    heard, why, result = judged(folder(**files, z=rule(slug="z-fuse")), limit_s=LIMIT_S)
    assert why == {name: told for name, (_body, told) in SPOILS.items() if told}
    assert [r.slug for r in heard.rules] == ["a-writes", "z-fuse"]
    assert [f.message for f in result.findings if f.rule == "z-fuse"] == ["F1 is a fuse."]
    assert "a-loops" in result.stopped
    said = capfd.readouterr()
    assert "chatter" not in said.out + said.err
    assert Path.cwd() != Path("/")


def _patch() -> None:
    Study.name = lambda *_arguments: "X"  # type: ignore[method-assign]


def _start() -> None:
    STOP.clear()
    threading.Thread(target=STOP.wait, daemon=True).start()


STOP = threading.Event()


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda: None, ""),
        (_patch, "it replaced name of Study"),
        (lambda: setattr(math, "sqrt", abs), "it replaced sqrt of math"),
        (lambda: os.chdir("/"), "it changed the working folder"),
        (lambda: os.environ.pop("HOME"), "it changed the environment of the program"),
        (lambda: rules().pop("unconnected"), "it changed the rules or the kinds of equipment of the program"),
        (lambda: setattr(sys, "stdout", sys.stderr), "it replaced the output of the program"),
        (_start, "it left a thread running"),
    ],
)
def test_what_a_rule_changed_is_noticed(change, told: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    mute = Mute()
    for owner, name in ((Study, "name"), (math, "sqrt")):
        monkeypatch.setattr(owner, name, getattr(owner, name))  # put back afterwards
    monkeypatch.setattr(sys, "stdout", mute)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.chdir(tmp_path)
    before = dict(rules())
    watch = Watch(mute)
    change()
    try:
        assert watch.changed() == told
    finally:
        STOP.set()
        rules().clear()
        rules().update(before)


def test_what_our_own_rules_do_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """So that none is disabled for what the program itself does when it is asked."""
    snapshot = rules()["sources-meet"].bad[0].build().snapshot()
    mute = Mute()
    monkeypatch.setattr(sys, "stdout", mute)
    watch = Watch(mute, snapshot)
    study = Study(snapshot, load_book("trade-na"), proving=True)
    said = [study.outcome(slug) for slug in rules()]
    assert (watch.changed(), watch.printed()) == ("", "")
    assert not [outcome.fault for outcome in said if outcome.fault]


UNREAD = {
    "syntax": ('"""A."""\nx = 1\ny = (\n', "line 3 cannot be read as Python ('(' was never closed)"),
    "empty": ("", "its SLUG is None, where a text is expected"),
    "word": (rule(word="fatal"), "its WORD is 'fatal', where one of danger, warning, caution, notice is expected"),
    "slug": (rule(slug="A Fuse"), "its SLUG 'A Fuse' is not of the form 'no-life-raft'"),
    "ours": (rule(slug="no-protection"), "its SLUG 'no-protection' is that of a rule of the program"),
    "undocumented": (
        rule().partition('"""\n')[2],
        "it has no docstring, whose first line says what it finds",
    ),
    "idle": (rule(slug="a-c").partition("def check")[0], "it has no function check(study)"),
    "raises": (rule(slug="a-d", head="import no_such_thing"), "it raised ModuleNotFoundError ("),
    "prints": (rule(slug="a-e", head="print('here I am')"), "it printed 'here I am', where"),
    "twin": (rule(slug="a-twin"), "twin_too.py has the slug 'a-twin' too"),
    "twin_too": (rule(slug="a-twin"), "twin.py has the slug 'a-twin' too"),
    "loops": (
        LOOP,
        "reading its file took longer than the 0.8 s of the setting rules_start_s",
    ),
}


def test_a_file_that_is_no_rule_is_disabled_and_named(folder, judged) -> None:
    place = folder(**{name: text for name, (text, _why) in UNREAD.items()}, z=rule(slug="z-fuse"))
    heard, why, result = judged(place, start_s=LIMIT_S)
    assert why.keys() == UNREAD.keys()
    for name, (_text, part) in UNREAD.items():
        assert part in why[name], name
    assert [r.slug for r in heard.rules] == ["z-fuse"]
    assert not heard.is_complete
    # what it would have found nobody knows: it counts at its worst, and not as one of ours
    assert "ours.py" in result.stopped
    assert "no-protection" not in result.stopped
    assert result.fails("danger", allow_unknown=True)
    _heard, why, result = judged(place / "none")
    assert why == {"none": "the folder cannot be read (there is no such file or folder)"}
    assert result.stopped == ("own-rules",)


def test_neither_what_was_ended_nor_what_raised_is_tried_again(folder, judged, tmp_path: Path) -> None:
    log = tmp_path / "log"
    count = f"open({str(log)!r}, 'a').write(SLUG[-1])\n"
    place = folder(a=rule(count + LOOP, slug="a-l"), b=rule(f"{count}yield 1 / 0", slug="a-r"))
    _heard, why, _result = judged(place, times=3, limit_s=LIMIT_S)
    assert why.keys() == {"a", "b"}
    assert log.read_text() == "lr"


def test_whoever_waits_may_turn_to_something_else(folder, tmp_path: Path) -> None:
    """The answer nobody waits for any more is on the account of the rule that owes it."""

    class Newer(Exception):
        pass

    slow = "import time\ntime.sleep(0.2)\n"
    own = OwnRules(
        *find(str(folder(a=rule(slow + FUSES), b=rule(LOOP, slug="b-loop")))),
        limit_s=LIMIT_S,
    )
    snapshot, book = boat().installation.snapshot(), load_book("trade-na")
    own.describe()
    begun = time.monotonic()

    def soon() -> None:
        if time.monotonic() > begun + 0.1:
            raise Newer

    with pytest.raises(Newer):
        own.judge(snapshot, book, go_on=soon)
    heard = own.judge(snapshot, book)
    own.close()
    assert [(r.slug, len(heard.outcomes[r.slug].remarks)) for r in heard.rules] == [("a-fuse", 1)]
    assert [f.rule for f in heard.faults] == ["b-loop"]


# -- where they come from ---------------------------------------------------------------------------------------------
@pytest.fixture
def installed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Installs a distribution with one module and the entry points told."""

    def made(text: str, *points: str) -> None:
        site = tmp_path / "site"
        about = site / "gull_rules-1.2.dist-info"
        about.mkdir(parents=True)
        (about / "METADATA").write_text("Metadata-Version: 2.1\nName: gull-rules\nVersion: 1.2\n")
        (about / "entry_points.txt").write_text("[linewright.rules]\n" + "\n".join(points) + "\n")
        (site / "gull_rules.py").write_text(text)
        monkeypatch.syspath_prepend(str(site))
        monkeypatch.setenv("PYTHONPATH", os.pathsep.join((str(site), os.environ.get("PYTHONPATH", ""))))

    return made


def test_an_installed_distribution_brings_one(run, installed, own_folder) -> None:
    installed(rule(), "fuses = gull_rules", "other = gull_rules:check")
    save(boat().installation, "boat.linewright")
    code, out, err = run("check", "boat.linewright", "--format", "json", "--fail-on", "caution", "--allow-unknown")
    made = json.loads(out)
    assert made["own_rules"] == [{"rule": "a-fuse", "from": "gull_rules (gull-rules 1.2)"}]
    (finding,) = [f for f in made["findings"] if f["rule"] == "a-fuse"]
    assert finding["message"] == "F1 is a fuse."
    (fault,) = made["disabled"]
    assert fault["why"] == "its entry point 'other' names 'gull_rules:check', where the name of a module is expected"
    assert (code, err) == (1, "")


def test_distributions_that_cannot_be_read_are_told_of(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(**_group: str) -> None:
        raise UnicodeDecodeError("utf-8", b"\xff", 0, 1, "invalid start byte")

    monkeypatch.setattr("importlib.metadata.entry_points", broken)
    sources, (fault,) = find()
    assert sources == ()
    told = "Your own rules in installed distributions were left out of this run: they cannot be listed ("
    assert fault.told().startswith(told)


def test_the_folder_of_the_settings_brings_some(run, folder, settle, own_folder) -> None:
    place = folder(fuses=rule(), raises=rule("yield 1 / 0", slug="b-raises", word="notice"))
    settle(rules_folder=str(place), rules_limit_s=2)
    save(boat("a-fuse").installation, "boat.linewright")
    _code, out, _err = run("check", "boat.linewright")
    told = "".join(out.split())  # however its lines are broken
    why = "was disabled for this run: it raised ZeroDivisionError (division by zero) in line 15"
    for text in (
        f"Your own rule b-raises ({place / 'raises.py'}) {why}.",
        "would be NOTICE b-raises",
        "CAUTION a-fuse F1 F1 is a fuse. Waived: as it came",
    ):
        assert text.replace(" ", "") in told
    (sarif,) = json.loads(run("check", "boat.linewright", "--format", "sarif")[1])["runs"]
    assert "a-fuse" in [r["id"] for r in sarif["tool"]["driver"]["rules"]]
    (invocation,) = sarif["invocations"]
    assert invocation["executionSuccessful"] is False
    (note,) = invocation["toolExecutionNotifications"]
    assert why in note["message"]["text"]
    # lists and pages
    out = run("rules", "--book", "trade-na")[1]
    head, _blank, yours = out.partition("\n\n")
    assert "a-fuse" not in head
    assert [line.split()[0] for line in yours.splitlines()] == ["yours", "a-fuse", "b-raises"]
    page = run("explain", "a-fuse")[1]
    assert page.startswith(
        "a-fuse (caution): a fuse\n\nA fuse.\n\nWhat it checks\n--------------\nEvery fuse of the boat."
    )
    assert run("explain", "a-fuse", "-o", "page.pdf")[0] == 2
    # a sheet names those that were disabled
    assert run("print", "boat.linewright", "-o", "boat.pdf")[0] in (0, 1)


def test_the_folder_is_remembered_and_forgotten(run, folder, own_folder) -> None:
    place = folder(fuses=rule())
    assert run("rules", "--folder", own_folder / "nowhere")[0] == 2
    assert "a-fuse" in run("rules", "--folder", place)[1]
    assert "a-fuse" in run("rules")[1]
    assert "a-fuse" not in run("rules", "--folder", "")[1]
    assert "a-fuse" not in run("rules")[1]


def test_a_yards_book_may_have_a_section_for_one(run, folder, settle, own_folder) -> None:
    Path("yard.toml").write_text(
        'base = "trade-na"\ntitle = "Practice of the yard"\nedition = "3"\n'
        '[rules.a-fuse]\nclause = "yard standard 12"\nconfirmed = true\nword = "warning"\n'
        'rating = { value = 5, unit = "A", source = "yard standard 12", confirmed = true }\n'
    )
    save(boat().installation, "boat.linewright")
    code, _out, err = run("check", "boat.linewright", "--book", "yard.toml")
    assert code == 2
    assert "rules.a-fuse: there is no such rule" in err
    body = 'limit = study.book.limit(SLUG, "rating").value\nassert limit == 5\n' + FUSES
    settle(rules_folder=str(folder(fuses=rule(body))))
    made = json.loads(run("check", "boat.linewright", "--book", "yard.toml", "--format", "json")[1])
    (finding,) = [f for f in made["findings"] if f["rule"] == "a-fuse"]
    assert (finding["word"], finding["clause"], finding["law_here"]) == ("warning", "yard standard 12", False)


def test_a_drawing_that_names_a_folder_runs_nothing(run, folder, own_folder, monkeypatch: pytest.MonkeyPatch) -> None:
    mark = own_folder / "was run"
    place = folder(fuses=rule(head=f"open({str(mark)!r}, 'w')"))
    (own_folder / "boat.py").write_text((place / "fuses.py").read_text())
    save(boat().installation, "boat.linewright")
    drawing = json.loads(Path("boat.linewright").read_text())
    for where in (drawing, drawing["settings"]) if isinstance(drawing.get("settings"), dict) else (drawing,):
        where |= {"rules_folder": str(place), "linewright.rules": "boat"}
    Path("boat.linewright").write_text(json.dumps(drawing))
    monkeypatch.setattr("app.own_rules_runner.OwnRules.judge", lambda *_: pytest.fail("something was run"))
    made = json.loads(run("check", "boat.linewright", "--format", "json")[1])
    assert "own_rules" not in made
    assert "a-fuse" not in json.dumps(made)
    assert not mark.exists()
