"""Make the sample drawings from their lists: `python tests/samples/make_samples.py [launch ketch workboat]`.

The lists beside each drawing are the source of truth. What they do not carry (issues of the drawing, waivers) stands in
`drawing.toml`; sheets, placements and routes come from the layout. Run it after a change of a list, of the layout or of
the file format: a test says when it is due.
"""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))

from app.drawing.layout import lay_out  # noqa: E402
from engine.edits import Put, apply  # noqa: E402
from engine.files.drawing import save  # noqa: E402
from engine.files.lists import LISTS, csv_rows, read_lists  # noqa: E402
from engine.installation import Installation, Revision, Waiver  # noqa: E402
from engine.record import FieldFault, from_builtins  # noqa: E402

NAMES = ("launch", "ketch", "workboat")
SAMPLES = ROOT / "samples"
TABLES: dict[str, Any] = {"revisions": Revision, "waivers": Waiver}


def make(name: str) -> Installation:
    """The drawing that the lists of a sample and its `drawing.toml` describe. Raises `SystemExit` for what is wrong."""
    folder = SAMPLES / name
    read = read_lists(**{each: csv_rows(p) for each in LISTS if (p := folder / f"{each}.csv").exists()})
    if read.faults:
        raise SystemExit("\n".join(str(fault) for fault in read.faults))
    installation = read.installation()
    rest = tomllib.loads((folder / "drawing.toml").read_text(encoding="utf-8"))
    faults = [FieldFault(other, "is not read") for other in sorted(set(rest) - set(TABLES))]
    for table, cls in TABLES.items():
        for number, row in enumerate(rest.get(table, ()), 1):
            record = from_builtins(cls, row, f"{table}[{number}]", faults)
            if record is not None:
                faults += [FieldFault(f"{table}[{number}].{n}", "is not known") for n, _text in record.unknown]
                apply(installation, Put(table, installation.new_id(table), record))
    if faults:
        raise SystemExit("\n".join(f"{name}/drawing.toml {fault.path}: {fault.why}" for fault in faults))
    apply(installation, lay_out(installation.snapshot()))
    return installation


def main(arguments: list[str]) -> int:
    """Write the drawings named, all when none is."""
    for name in arguments or NAMES:
        path = SAMPLES / name / f"{name}.linewright"
        save(make(name), path)
        print(path.relative_to(ROOT))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
