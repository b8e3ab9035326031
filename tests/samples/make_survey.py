"""Make the surveyed workboat of `samples/workboat/survey.toml`: `python tests/samples/make_survey.py [--photographs]`.

The drawing `surveyed.linewright` is `workboat.linewright` with a survey and its follow-up; the reports are
`survey.pdf`, `survey.docx` and `follow-up.pdf`. Photographs are drawn with `--photographs` alone: their bytes hang on
the library that packs them, and what is there is taken as it is. Run it after a change of the workboat, of the layout
or of the report: a test says when it is due.
"""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
if __name__ == "__main__":
    sys.path[:0] = [str(ROOT), str(HERE)]

import photograph_pictures  # noqa: E402
from msgspec.structs import replace  # noqa: E402

from engine.check import check  # noqa: E402
from engine.deficiencies import from_finding, mark  # noqa: E402
from engine.edits import Put, apply  # noqa: E402
from engine.files.drawing import load, save  # noqa: E402
from engine.installation import Deficiency, Installation, Instrument, Photograph, Reading, Survey  # noqa: E402
from engine.record import from_builtins  # noqa: E402
from engine.survey.answers import answered, system_answered  # noqa: E402
from engine.survey.checklist import Walk  # noqa: E402

FOLDER = ROOT / "samples" / "workboat"
DRAWING = FOLDER / "surveyed.linewright"
REPORTS = {"survey.pdf": ("--survey", "RAZ-S-1"), "survey.docx": ("--survey", "RAZ-S-1"),
           "follow-up.pdf": ("--survey", "RAZ-S-2", "--follow-up")}  # fmt: skip


class Surveying:
    """The workboat being surveyed."""

    def __init__(self) -> None:
        self.installation = load(FOLDER / "workboat.linewright").installation
        self.told: dict[str, Any] = tomllib.loads((FOLDER / "survey.toml").read_text(encoding="utf-8"))
        self.ids: dict[str, str] = {}  # by name: surveys, instruments, photographs, what is drawn
        snapshot = self.installation.snapshot()
        for table, field in (
            ("equipment", "designation"),
            ("runs", "designation"),
            ("enclosures", "name"),
            ("places", "name"),
            ("conditions", "name"),
        ):
            for item, record in snapshot.tables[table].items():
                self.ids.setdefault(getattr(record, field), item)

    def made(self, cls: Any, row: dict[str, Any]) -> Any:
        """A record out of a row, names replaced by ids."""
        for name in ("survey", "follows", "at", "instrument", "condition"):
            if row.get(name):
                row[name] = self.ids[row[name]]
        for name in ("photographs", "evidence_photographs"):
            if name in row:
                row[name] = [self.ids[each] for each in row[name]]
        faults: list[Any] = []
        record = from_builtins(cls, row, cls.__name__, faults)
        assert not faults, faults
        assert not record.unknown, record
        return record

    def put(self, table: str, name: str, record: Any) -> None:
        """A record more."""
        item = self.ids[name] = self.installation.new_id(table)
        apply(self.installation, Put(table, item, record))

    def all(self) -> Installation:
        """Everything of the list, in order."""
        for row in self.told["survey"]:
            self.put("surveys", row["name"], self.made(Survey, dict(row)))
        for row in self.told["instrument"]:
            self.put("instruments", row["name"], self.made(Instrument, dict(row)))
        for row in self.told["photograph"]:
            self.photograph(dict(row))
        for row in self.told["traced"]:
            self.traced(**row)
        self.deficiencies()
        for row in self.told["walk"]:
            self.walk(**row)
        for n, row in enumerate(self.told["reading"]):
            survey = next(each for each in self.told["survey"] if each["name"] == row["survey"])
            row = {"who": survey["surveyor"], "date": survey["date"], **row}
            self.put("readings", f"reading {n}", self.made(Reading, row))
        return self.installation

    def traced(
        self,
        runs: tuple[str, ...],
        from_seen: bool | None = None,
        to_seen: bool | None = None,
        assumed: tuple[str, ...] = (),
    ) -> None:
        """Ends of runs that were seen or not, and values that were only assumed."""
        for name in runs:
            item = self.ids[name]
            run = self.installation.snapshot().runs[item]
            ends = {}
            for field, seen in (("from_end", from_seen), ("to_end", to_seen)):
                if seen is not None:
                    ends[field] = replace(getattr(run, field), seen=seen)
            origins = dict(run.origins) | dict.fromkeys(assumed, "assumed")
            apply(self.installation, Put("runs", item, replace(run, origins=tuple(sorted(origins.items())), **ends)))

    def photograph(self, row: dict[str, Any]) -> None:
        """A photograph that is kept, under its checksum."""
        row.pop("picture")
        kept = photograph_pictures.kept(FOLDER / "photographs")[row["name"]]
        self.put("photographs", row["name"], Photograph(**row, **kept))

    def deficiencies(self) -> None:
        """Those from findings and those by eye."""
        snapshot = self.installation.snapshot()
        result = check(snapshot)
        for each in self.told["deficiency"]:
            row = dict(each)
            survey = next(one for one in self.told["survey"] if one["name"] == row["survey"])
            rule, named = row.pop("from_rule", ""), row["at"]
            record = self.made(Deficiency, {"who": survey["surveyor"], "date": survey["date"], **row})
            if rule:
                finding = next(f for f in result.findings if f.rule == rule and named in f.designations)
                kept = from_finding(snapshot, result, finding)
                values = {name: getattr(kept, name) for name in kept.__struct_fields__}
                values |= {name: getattr(record, name) for name in row}
                values |= {name: getattr(record, name) for name in ("survey", "at", "who", "date")}
                record = Deficiency(**values)
            snapshot_now = self.installation.snapshot()
            apply(self.installation, mark(snapshot_now, self.installation.new_id("deficiencies"), record))

    def walk(
        self,
        survey: str,
        places: tuple[str, ...] = (),
        at: tuple[str, ...] = (),
        system: str = "",
        seen: Any = None,
        energised: Any = None,
        note: str | None = None,
    ) -> None:
        """What was said on the walk of places, of things or of a system."""
        snapshot = self.installation.snapshot()
        walk = Walk(snapshot)
        said = {"note": note, "who": "P. Sandpiper",
                "date": next(s["date"] for s in self.told["survey"] if s["name"] == survey)}  # fmt: skip
        if system:
            one = next(each for each in walk.systems if each.key == system)
            edit = system_answered(
                snapshot, self.installation.last_id, self.ids[survey], one, energised=energised, **said
            )
        else:
            wanted = {self.ids[name] for name in at}
            points = [
                point
                for group in walk.groups
                for point in group.points
                if group.heading in places or point.item in wanted
            ]
            edit = answered(snapshot, self.installation.last_id, self.ids[survey], points, seen=seen, **said)
        apply(self.installation, edit)


def make() -> Installation:
    """The surveyed workboat."""
    return Surveying().all()


def write_report(name: str, to: Path) -> None:
    """One of `REPORTS`, as the command line writes it."""
    from app.cli import main

    assert main(["survey", str(DRAWING), "-o", str(to), *REPORTS[name]]) == 0


def main(arguments: list[str]) -> int:
    """Write photographs where that is asked for, the drawing, the reports."""
    if "--photographs" in arguments:
        told = tomllib.loads((FOLDER / "survey.toml").read_text(encoding="utf-8"))
        photograph_pictures.draw_all(told["photograph"], FOLDER / "photographs")
    save(make(), DRAWING)
    for name in REPORTS:
        write_report(name, FOLDER / name)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
