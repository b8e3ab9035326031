"""The house stays as it was planned: what stands at the top level, how big rooms get, what a file may say."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PACKAGES = ("app", "engine", "symbols")
SOURCES = sorted(p for package in PACKAGES for p in (ROOT / package).rglob("*.py"))

TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "app", "engine", "symbols", "tests", "samples"}
# what a build, an environment or the demo leaves behind; none of it is kept in git
LEFT_BEHIND = {"build", "dist", "linewright-demo", "uv.lock"}


def test_top_level_holds_exactly_what_was_agreed() -> None:
    found = {p.name for p in ROOT.iterdir() if not p.name.startswith(".")} - LEFT_BEHIND
    assert found == TOP


def test_the_two_inner_floors_start_empty() -> None:
    assert (ROOT / "engine/__init__.py").read_text() == ""
    assert (ROOT / "app/__init__.py").read_text() == ""


@pytest.mark.parametrize("path", SOURCES, ids=lambda p: str(p.relative_to(ROOT)))
def test_a_file_holds_one_thing(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.count("\n") <= 450
    if path.name != "__init__.py" or text:
        assert text.lstrip().startswith('"""'), "a module begins with what it is for"


def test_no_folder_has_more_than_forty_files() -> None:
    for package in PACKAGES:
        for folder in [ROOT / package, *(p for p in (ROOT / package).rglob("*") if p.is_dir())]:
            if folder.name != "__pycache__":
                assert len([p for p in folder.iterdir() if p.is_file()]) <= 40, folder


def test_public_modules_say_what_they_offer() -> None:
    for path in SOURCES:
        if path.name.startswith("_") or "rules" in path.parts:
            continue  # a rule module's names are fixed by engine.rules.rule
        text = path.read_text(encoding="utf-8")
        assert "__all__" in text, path


def test_no_vague_module_names() -> None:
    vague = re.compile(r"(util|helper|manager|misc)", re.IGNORECASE)
    assert [p for p in SOURCES if vague.search(p.stem)] == []


@pytest.mark.parametrize("seed", ["1", "2"])
def test_check_loads_no_window_no_paper_no_heavy_library(seed: str, tmp_path: Path) -> None:
    """The command line must answer at once: `check` loads none of these on any sample."""
    code = (
        "import sys\n"
        "from app.cli import main\n"
        "for name in ('launch', 'ketch', 'workboat'):\n"
        "    main(['check', f'{sys.argv[1]}/{name}/{name}.linewright', '--format', 'json'])\n"
        "heavy = {'PySide6', 'reportlab', 'scipy', 'shapely', 'fontTools', 'xlsxwriter', 'openpyxl', 'ezdxf',\n"
        "         'pypdfium2', 'docx', 'PIL'}\n"
        "loaded = heavy & {m.partition('.')[0] for m in sys.modules}\n"
        "assert not loaded, loaded\n"
    )
    environment = {**os.environ, "PYTHONHASHSEED": seed, "HOME": str(tmp_path), "XDG_DATA_HOME": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "-c", code, str(ROOT / "samples")],
        cwd=tmp_path,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("command", ["print", "parts", "import"])
def test_no_command_but_the_window_loads_qt(command: str, tmp_path: Path) -> None:
    code = (
        "import sys\n"
        "from app.cli import main\n"
        "main(sys.argv[1:])\n"
        "assert not [m for m in sys.modules if m.partition('.')[0] == 'PySide6']\n"
    )
    sample = ROOT / "samples/launch"
    arguments = {
        "print": ["print", str(sample / "launch.linewright"), "-o", str(tmp_path / "x.pdf")],
        "parts": ["parts", str(sample / "launch.linewright"), "-o", str(tmp_path / "x.xlsx")],
        "import": [
            "import",
            str(sample / "equipment.csv"),
            str(sample / "runs.csv"),
            "-o",
            str(tmp_path / "x.linewright"),
        ],
    }[command]
    environment = {**os.environ, "HOME": str(tmp_path), "XDG_DATA_HOME": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments],
        cwd=tmp_path,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
