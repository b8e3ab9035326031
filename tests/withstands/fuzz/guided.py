"""A search led by what the program's lines do: `python guided.py TARGET --seconds N`. Needs `atheris`; no test does.

    pip install atheris
    PYTHONPATH=. python tests/withstands/fuzz/guided.py drawing --seconds 120

It begins with true files, and what fails comes to stand in `findings/TARGET/`, which `test_findings.py` reads ever
after. Targets: those of `targets.py`, or `all`, each in turn for so many seconds.
"""

from __future__ import annotations

import argparse
import os
import random
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

import atheris

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))

READERS = [
    *("engine.files", "engine.phrases", "engine.units", "engine.books", "engine.record", "engine.toml_text"),
    *("engine.installation", "symbols", "app.workbook", "app.workbook_parts"),
]
with atheris.instrument_imports(include=READERS):  # all else would be led by its own lines, and slow
    from mutations import bytes_changed, drawing_changed, text_changed
    from targets import SEEDS, TARGETS, drawing, drawings

    import symbols.own  # noqa: F401

LONGEST = 200_000  # bytes of one file
SMALL = 30  # drawings to begin with: the smaller, the more are tried


def main() -> int:
    """One target in this process; `all` starts one for each. 1 where something was found."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("target", choices=[*TARGETS, "all"])
    parser.add_argument("--seconds", type=int, default=60)
    asked = parser.parse_args()
    if asked.target != "all":
        return _search(asked.target, asked.seconds)
    here = [sys.executable, str(HERE / "guided.py")]
    codes = [subprocess.run([*here, name, "--seconds", str(asked.seconds)], check=False).returncode for name in TARGETS]
    print(dict(zip(TARGETS, codes, strict=True)))
    return int(any(codes))


def _search(name: str, seconds: int) -> int:
    """0 where nothing was found. libFuzzer ends the process it runs in, so it has one of its own."""
    target: Any = drawing if name == "drawing" else TARGETS[name]
    findings = HERE / "findings" / name
    findings.mkdir(parents=True, exist_ok=True)

    def mutate(data: bytes, largest: int, seed: int) -> bytes:
        """In the way of the file's own form as often as not; as libFuzzer does otherwise."""
        pick = random.Random(seed).randrange
        try:
            match pick(4):
                case 0 if name == "drawing":
                    return drawing_changed(data, drawings()[:SMALL], pick)[:largest]
                case 0 | 1:
                    return text_changed(data, pick)[:largest]
                case 2:
                    return bytes_changed(data, pick)[:largest]
        except (ValueError, RecursionError):  # it is no such file any more
            pass
        return bytes(atheris.Mutate(data, largest))

    with tempfile.TemporaryDirectory(prefix="guided-") as folder:
        for n, seed in enumerate(SEEDS[name]()[:SMALL]):
            Path(folder, str(n)).write_bytes(seed)
        told = [
            *(f"-max_total_time={seconds}", f"-max_len={LONGEST}", f"-artifact_prefix={findings}/", "-timeout=20"),
            *("-rss_limit_mb=2048", "-print_final_stats=1", "-len_control=0", "-verbosity=0"),
        ]
        child = os.fork()
        if child == 0:
            atheris.Setup([sys.argv[0], *told, folder], target, custom_mutator=mutate)
            atheris.Fuzz()
            os._exit(0)
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


if __name__ == "__main__":
    sys.exit(main())
