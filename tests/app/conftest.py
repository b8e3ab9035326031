"""What the tests of the command line share: a folder of its own, a way to run a command, a small drawing."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from gettext import NullTranslations
from pathlib import Path

import pytest

from app import cli
from engine.builder import Builder
from engine.files.drawing import save
from engine.words import speak

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Everything a command writes stays in the test's folder; afterwards the language is plain again."""
    monkeypatch.chdir(tmp_path)
    for name in ("XDG_DATA_HOME", "LOCALAPPDATA", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "data"))
    for name in ("LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG"):
        monkeypatch.delenv(name, raising=False)
    yield tmp_path
    speak(NullTranslations())


@pytest.fixture
def run(own_folder: Path, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command line; gives (exit code, output, errors)."""

    def command(*arguments: object) -> tuple[int, str, str]:
        code = cli.main([str(a) for a in arguments])
        said = capsys.readouterr()
        assert "Traceback" not in said.err
        return code, said.out, said.err

    return command


@pytest.fixture
def drawing(own_folder: Path) -> Callable[..., Path]:
    """Writes a drawing: one fuse on one bank, nothing wrong with its volts unless asked."""

    def made(path: str = "boat.linewright", *, rated: float | None = 32, unit_v: float = 12, **waiver: str) -> Path:
        b = Builder(name="Sandling")
        b.add("battery_bank", "G1", unit_v=unit_v, charge_v=unit_v * 1.2)
        b.add("fuse", "F1", rating_a=10, rated_dc_v=rated)
        b.add("load", "E1", dc_v=unit_v)
        cable = {"size": "14 AWG", "insulation_c": 105, "bundle": 1, "places": ("Saloon",)}
        b.place("Saloon", "accommodation", 30)
        b.run("W1", "G1.pos", "F1.in", length_m=0.1, **cable)
        b.run("W2", "F1.out", "E1.in", length_m=2, **cable)
        if waiver:
            b.waive("rated-below-voltage", "F1", "G1", **waiver)
        save(b.installation, path)
        return Path(path)

    return made
