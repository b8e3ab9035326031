"""The whole pack from the command line: everything there, checksums right, the same bytes, nothing lost."""

from __future__ import annotations

import hashlib
import json
import os
import re
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader

from app.handover.documents import documents
from app.handover.job import Job
from app.handover.pack import chosen, pack, safe_stem
from engine.builder import Builder
from engine.cautions import CAUTIONS
from engine.files.drawing import save
from engine.installation import Installation
from engine.pausing import GivenUp, giving_way

Run = Callable[..., tuple[int, str, str]]
SAMPLES = Path(__file__).parents[3] / "samples"


def boat() -> Installation:
    b = Builder(name="Sandling")
    b.add("battery_bank", "G1", unit_v=12.8, unit_ah=100, charge_v=14.4, status="new", part_number="B-1")
    b.add("fuse", "F1", rating_a=50, status="new")
    b.add("load", "E1", power_w=120, essential=True, dc_v=12)
    b.run("W1", "G1.pos", "F1.in", size="6 AWG", length_m=0.1, status="new")
    b.run("W2", "F1.out", "E1.in", size="6 AWG", length_m=3, status="new")
    b.condition("At anchor")
    return b.installation


@pytest.fixture
def saved(own_folder: Path) -> Path:
    path = own_folder / "sandling.linewright"
    save(boat(), path)
    return path


def _files(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_every_document_is_there_with_a_manifest_and_checksums_that_hold(run: Run, saved: Path) -> None:
    code, out, err = run("pack", saved, "-o", "pack")
    assert code == 0
    there = _files(saved.parent / "pack")
    assert f"{len(there)} files" in out
    manifest = json.loads(there["manifest.json"])
    # she was not surveyed: the report is neither there nor missed
    assert [d["name"] for d in manifest["documents"]] == [name for name in documents() if name != "survey"]
    assert {f["name"] for f in manifest["files"]} == set(there) - {"manifest.json"}
    for listed in manifest["files"]:
        data = there[listed["name"]]
        assert (len(data), hashlib.sha256(data).hexdigest()) == (listed["size"], listed["sha256"])
    sums = dict(line.split("  ")[::-1] for line in there["checksums.sha256"].decode().splitlines())
    assert sums == {n: hashlib.sha256(d).hexdigest() for n, d in there.items() if n in sums}
    assert set(sums) == set(there) - {"manifest.json", "checksums.sha256", "contents.txt"}
    assert there["sandling.linewright"] == saved.read_bytes()
    contents = there["contents.txt"].decode()
    assert all(name in contents for name in sums)
    assert all(text in contents for text in CAUTIONS)
    count = len(documents()) - 1
    assert [int(n) for n in re.findall(rf"^(\d+) of {count}: ", err, re.M)] == list(range(1, count + 1))


def test_every_document_says_what_it_is_or_why_it_is_missing(run: Run, saved: Path) -> None:
    run("pack", saved, "-o", "pack")
    there = _files(saved.parent / "pack")
    for about in json.loads(there["manifest.json"])["documents"]:
        pages = [n for n in there if n == f"sandling-{about['name']}.pdf"]
        assert pages or about["gaps"], about
        assert about["purpose"]
    for name, data in there.items():
        if name.endswith(".pdf"):
            reader = PdfReader(saved.parent / "pack" / name)
            assert len(reader.pages) > 0
            fonts = re.findall(rb"/BaseFont /(?:[A-Z]{6}\+)?([\w-]+)", data)
            assert all(font.startswith(b"FiraSans") for font in fonts), (name, fonts)


@pytest.mark.long
def test_the_same_drawing_gives_the_same_bytes_as_folder_and_as_zip(run: Run, saved: Path) -> None:
    run("pack", saved, "-o", "one")
    run("pack", saved, "-o", "two.zip")
    one = _files(saved.parent / "one")
    with zipfile.ZipFile(saved.parent / "two.zip") as made:
        assert {name: made.read(name) for name in made.namelist()} == one


@pytest.mark.long
def test_another_process_gives_the_same_bytes(run: Run, own_folder: Path) -> None:
    source = SAMPLES / "ketch" / "ketch.linewright"
    for seed in ("1", "77"):
        environment = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": os.pathsep.join(sys.path)}
        command = [sys.executable, "-m", "app.cli", "pack", str(source), "-o", f"{seed}.zip"]
        subprocess.run(command, check=True, capture_output=True, env=environment)
    assert (own_folder / "1.zip").read_bytes() == (own_folder / "77.zip").read_bytes()


def test_only_some_documents_and_none_that_does_not_exist(run: Run, saved: Path) -> None:
    code, _out, _err = run("pack", saved, "-o", "pack", "--only", "parts", "--only", "commissioning")
    assert code == 0
    manifest = json.loads((saved.parent / "pack" / "manifest.json").read_bytes())
    assert {d["name"] for d in manifest["documents"]} == {"parts", "commissioning"}
    code, out, err = run("pack", saved, "-o", "other", "--only", "poem")
    assert (code, out) == (2, "")
    assert "there is no document 'poem'" in err
    assert not (saved.parent / "other").exists()


def test_a_folder_of_somebody_else_is_refused_before_anything_is_worked_out(run: Run, saved: Path) -> None:
    code, _out, err = run("pack", saved, "-o", saved.parent)
    assert code == 2
    assert "holds no pack" in err
    assert "1 of" not in err


@pytest.mark.posix
def test_a_full_disk_says_so_and_leaves_the_old_pack(run: Run, saved: Path) -> None:
    run("pack", saved, "-o", "pack", "--only", "parts")
    before = _files(saved.parent / "pack")
    script = (
        "import resource, signal, sys; signal.signal(signal.SIGXFSZ, signal.SIG_IGN); "
        "resource.setrlimit(resource.RLIMIT_FSIZE, (8000, 8000)); from app.cli import main; "
        "sys.exit(main(sys.argv[1:]))"
    )
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    command = [sys.executable, "-c", script, "pack", str(saved), "-o", "pack", "--only", "commissioning"]
    ended = subprocess.run(command, capture_output=True, text=True, env=environment)
    assert ended.returncode == 2
    assert "Traceback" not in ended.stderr
    assert ended.stderr.splitlines()[-1].startswith("linewright: pack: ")
    assert "what stood there is as it was" in ended.stderr
    assert _files(saved.parent / "pack") == before


def test_an_empty_drawing_makes_a_pack_that_says_what_is_missing(run: Run, own_folder: Path) -> None:
    save(Installation(), own_folder / "empty.linewright")
    code, _out, _err = run("pack", "empty.linewright", "-o", "pack")
    assert code == 0
    manifest = json.loads((own_folder / "pack" / "manifest.json").read_bytes())
    gaps = [gap for d in manifest["documents"] for gap in d["gaps"]]
    assert gaps
    contents = (own_folder / "pack" / "contents.txt").read_text(encoding="utf-8")
    assert all(gap in contents for gap in gaps)
    assert not any("fault of the program" in gap for d in manifest["documents"] for gap in d["gaps"])


STRANGE = (
    "<b>&amp; =1+1 \U0001f600 مرحبا 你好 \x07\u202e\ufffe" + "W" * 60,
    "",
    "a\nb\r\nc\td",
    "word " * 120,
    '=HYPERLINK("x")',
)


@pytest.mark.parametrize(
    "text",
    [STRANGE[0], *(pytest.param(text, marks=pytest.mark.long) for text in STRANGE[1:])],
    ids=["signs", "nothing", "lines", "long", "formula"],
)
def test_any_text_prints_or_is_visibly_replaced(run: Run, own_folder: Path, text: str) -> None:
    b = Builder(name=text)
    b.add("battery_bank", "G1", label=text, unit_v=12.8, unit_ah=100, marking=text, old_marking=text, status="new")
    b.add("fuse", "F1", label=text, rating_a=50, note=text, place=text or "hold", part_number=text, maker=text)
    b.add("load", "E1", label=text, power_w=120, essential=True, dc_v=12)
    b.run("W1", "G1.pos", "F1.in", label=text, size="6 AWG", length_m=0.1, colour=text, status="new")
    b.run("W2", "F1.out", "E1.in", size="6 AWG", length_m=3)
    b.condition(text or "At anchor")
    save(b.installation, own_folder / "strange.linewright")
    code, _out, err = run("pack", "strange.linewright", "-o", "pack")
    assert code == 0, err
    assert "fault" not in err


def test_the_work_can_be_given_up_and_leaves_nothing(tmp_path: Path) -> None:
    snapshot = boat().snapshot()
    job = Job.of(snapshot, file_name="sandling.linewright")
    calls = iter(range(10))

    def go_on() -> None:
        if next(calls) == 6:
            raise GivenUp

    with giving_way(go_on), pytest.raises(GivenUp):
        pack(job, tmp_path / "pack", b"{}", chosen(["parts", "commissioning"]))
    assert list(tmp_path.iterdir()) == []


def test_a_fault_in_one_document_is_told_and_takes_no_other_with_it(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(_job: Job) -> object:
        raise ZeroDivisionError

    makers = chosen(["parts", "commissioning"])
    makers[0] = makers[0]._replace(make=broken)  # type: ignore[arg-type]  # it never returns
    job = Job.of(boat().snapshot(), file_name="sandling.linewright")
    made = pack(job, tmp_path / "pack", b"{}", makers)
    caplog.clear()
    assert len(made.failed) == 1
    manifest = json.loads((tmp_path / "pack" / "manifest.json").read_bytes())
    assert "fault of the program" in manifest["documents"][0]["gaps"][0]
    assert any(f["name"].startswith("sandling-commissioning") for f in manifest["files"])


def test_a_name_is_made_safe_for_every_system() -> None:
    assert safe_stem("a/b:c*?.linewright") == "b-c"
    assert safe_stem("..") == "drawing"
    assert safe_stem("") == "drawing"
    assert len(safe_stem("x" * 300)) == 80
