"""Nothing in a drawing makes the program reach out, and nothing it writes makes another program do so.

Read by libraries that know nothing of this program: pypdf, openpyxl, ezdxf, python-docx, defusedxml, csv, json.
"""

from __future__ import annotations

import csv
import json
import re
import unicodedata
import zipfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest
from defusedxml import ElementTree

HERE = Path(__file__).parent
SAMPLES = Path(__file__).parents[3] / "samples"
MAIN = "import sys; sys.argv[0] = 'linewright'; from app.cli import main; sys.exit(main())"
OBEYED = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069]")


def _texts() -> dict[str, str]:
    from importlib.util import module_from_spec, spec_from_file_location

    spec = spec_from_file_location("hostile_text", HERE / "hostile.py")
    assert spec is not None
    assert spec.loader is not None
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    globals()["hostile"] = module.hostile
    return dict(module.TEXTS)


TEXTS = _texts()
DEFAULT = ("controls",)  # with some markup in it
Guarded = Callable[[Sequence[str]], Any]


def drawing(what: str, folder: Path, sample: str = "launch/launch") -> Path:
    path = folder / "boat.linewright"
    path.write_bytes(globals()["hostile"]((SAMPLES / f"{sample}.linewright").read_bytes(), TEXTS[what]))
    return path


def each(**marks: Any) -> list[Any]:
    return [pytest.param(name, marks=() if name in DEFAULT else pytest.mark.long) for name in TEXTS]


def test_the_guard_hears(guarded: Guarded) -> None:
    reaching = (
        "import socket; socket.create_connection(('127.0.0.1', 9))",
        "import urllib.request; urllib.request.urlopen('http://127.0.0.1:9/')",
        "import os; os.system('true')",
        "import subprocess; subprocess.run(['true'])",
        "import subprocess, sys; subprocess.run([sys.executable, '-c', 'import os; os.system(\"true\")'])",
    )
    for code in reaching:
        assert guarded(["-c", code]).reached, code
    assert not guarded(["-c", "import socket; socket.socketpair()"]).reached


@pytest.mark.parametrize("what", each())
def test_the_whole_pack_reaches_nowhere_and_obeys_nobody(what: str, guarded: Guarded, tmp_path: Path) -> None:
    boat = drawing(what, tmp_path)
    pack = tmp_path / "pack"
    ended = guarded(["-c", MAIN, "pack", str(boat), "-o", str(pack)])
    assert ended.code in (0, 1), ended
    assert ended.reached == ()
    assert not OBEYED.search(ended.out.replace("\r\n", "\n")), ended.out
    files = [path for path in pack.rglob("*") if path.is_file()]
    assert len(files) > 80
    assert {p.name for p in tmp_path.iterdir()} == {"boat.linewright", "pack", "guard.txt", "home"}
    for path in files:
        READERS[path.suffix](path)


@pytest.mark.parametrize("what", each())
def test_what_is_printed_moves_no_cursor_and_is_json_all_the_same(what: str, guarded: Guarded, tmp_path: Path) -> None:
    boat = drawing(what, tmp_path)
    ended = guarded(["-c", MAIN, "check", str(boat)])
    assert ended.code in (0, 1), ended
    assert ended.reached == ()
    assert not OBEYED.search(ended.out)
    ended = guarded(["-c", MAIN, "check", "--format", "json", str(boat)])
    assert not OBEYED.search(ended.out)
    told = json.dumps(json.loads(ended.out), ensure_ascii=False)
    assert json.dumps(TEXTS[what], ensure_ascii=False)[1:-1] in told


@pytest.mark.long
@pytest.mark.parametrize("what", TEXTS)
@pytest.mark.parametrize("ending", [".docx", ".pdf"])
def test_a_survey_report_reaches_nowhere(what: str, ending: str, guarded: Guarded, tmp_path: Path) -> None:
    boat = drawing(what, tmp_path, "workboat/surveyed")
    ended = guarded(["-c", MAIN, "survey", str(boat), "-o", str(tmp_path / f"report{ending}")])
    assert ended.code in (0, 1), ended
    assert ended.reached == ()
    READERS[ending](tmp_path / f"report{ending}")


# -- readers --------------------------------------------------------------------------------------------------------
def _pdf(path: Path) -> None:
    import pypdf

    reader = pypdf.PdfReader(path, strict=True)
    for page in reader.pages:
        for note in page.get("/Annots", []) or []:
            action = note.get_object().get("/A")
            assert action is None or action.get_object()["/S"] == "/GoTo", (path, action)
        assert "/AA" not in page
    names = reader.trailer["/Root"]
    assert not {"/OpenAction", "/AA", "/AcroForm"} & set(names)
    raw = path.read_bytes()
    for word in (b"/JavaScript", b"/JS ", b"/Launch", b"/EmbeddedFile", b"/SubmitForm", b"/URI"):
        assert word not in raw, (path, word)


def _xlsx(path: Path) -> None:
    import openpyxl

    with zipfile.ZipFile(path) as packed:
        for name in packed.namelist():
            if name.endswith((".xml", ".rels")):
                content = packed.read(name)
                ElementTree.fromstring(content)
                assert b'TargetMode="External"' not in content, (path, name)
                assert b"<f>" not in content, (path, name)
            assert "externalLink" not in name
            assert not name.endswith(".bin")
    book = openpyxl.load_workbook(path)
    for sheet in book:
        assert all(cell.data_type != "f" and cell.hyperlink is None for row in sheet.iter_rows() for cell in row)


def _csv(path: Path) -> None:
    with path.open(encoding="utf-8-sig", newline="") as lines:
        for row in csv.reader(lines, strict=True):
            for cell in row:
                bare = cell.lstrip()
                is_number = re.fullmatch(r"[-+]?[\d.,]+( ?[%°\w/²]+)*", bare)
                assert not bare.startswith(("=", "+", "-", "@")) or is_number or bare in ("-", "–"), (path, cell)
                assert not OBEYED.search(cell.replace("\r\n", "\n")), (path, cell)


def _svg(path: Path) -> None:
    root = ElementTree.parse(path).getroot()
    assert root is not None
    for element in root.iter():
        assert element.tag.rpartition("}")[2] not in ("script", "foreignObject", "iframe", "animate", "set"), path
        for name, value in element.attrib.items():
            bare = name.rpartition("}")[2]
            assert not bare.startswith("on"), (path, name)
            if bare in ("href", "src"):
                other = value.partition("#")[0]  # another sheet of the set, beside this one
                is_sheet = re.fullmatch(r"[\w%.-]+\.svg", other) and (path.parent / other).is_file()
                assert not other or is_sheet or value.startswith(("data:image/", "data:font/")), (path, value[:80])


def _docx(path: Path) -> None:
    import docx

    docx.Document(str(path))
    with zipfile.ZipFile(path) as packed:
        for name in packed.namelist():
            if name.endswith((".xml", ".rels")):
                content = packed.read(name)
                ElementTree.fromstring(content)
                assert b'TargetMode="External"' not in content, name
                for field in re.findall(rb"<w:instrText[^>]*>([^<]*)<", content):
                    assert re.match(rb"\s*(PAGE|NUMPAGES|TOC|PAGEREF|SEQ|REF)\b", field), (name, field)


def _dxf(path: Path) -> None:
    from ezdxf import recover

    document, found = recover.readfile(path)
    assert (found.errors, found.fixes) == ([], [])
    assert not document.query("IMAGE UNDERLAY PDFUNDERLAY OLE2FRAME XREF")
    assert not any(block.block.dxf.get("xref_path") for block in document.blocks if block.block)


def _json(path: Path) -> None:
    json.loads(path.read_text("utf-8"))


def _png(path: Path) -> None:
    from PIL import Image

    with Image.open(path) as picture:
        picture.verify()


def _plain(path: Path) -> None:
    text = path.read_text("utf-8")
    assert not OBEYED.search(text), path
    assert not any(unicodedata.category(letter) == "Cs" for letter in text)


READERS: dict[str, Callable[[Path], None]] = {
    ".pdf": _pdf,
    ".xlsx": _xlsx,
    ".csv": _csv,
    ".svg": _svg,
    ".docx": _docx,
    ".dxf": _dxf,
    ".json": _json,
    ".sarif": _json,
    ".png": _png,
    ".txt": _plain,
    ".sha256": _plain,
    ".linewright": _json,
}
