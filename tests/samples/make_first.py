"""Make the first sheet, which shows by being a drawing how to draw: `python tests/samples/make_first.py`.

What is left open on it is left open on purpose: `app/window/first/steps.py` says what to do there. The words of its
remarks are those of the program's own language; opened in the window they are in the person's.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))

from app.drawing.changes import lead_anew  # noqa: E402
from app.window.first.steps import FILE, ORDER, WIDTHS, labels, words  # noqa: E402
from engine.builder import Builder  # noqa: E402
from engine.edits import Put, SetFields, apply  # noqa: E402
from engine.equipment.base import Breaking  # noqa: E402
from engine.files.drawing import save  # noqa: E402
from engine.installation import Installation, Placement, Remark, Sheet  # noqa: E402
from engine.installation.records import Passage  # noqa: E402

BREAKS = (Breaking(amps=2000.0, volts=32.0, kind="DC"),)
# designation -> column, row, fields of its placement, in grid steps
STANDS: dict[str, tuple[int, int, dict[str, Any]]] = {
    "G1": (57, 80, {}),
    "Q1": (57, 60, {}),
    "WC1": (45, 52, {"length": 28}),
    "F1": (47, 40, {}),
    "E1": (47, 22, {}),
    "F2": (59, 40, {}),
    "E2": (59, 22, {}),
    "F3": (71, 40, {}),
    "M1": (71, 22, {}),
}
# step -> column, row, what it points at; "": the head of the sheet, "end": its foot
REMARKS: dict[str, tuple[int, int, str]] = {
    "": (4, 4, ""),
    "run": (84, 46, "F3"),
    "size": (84, 60, ""),
    "rating": (4, 48, "F2"),
    "fuse": (84, 72, "W1"),
    "thin": (4, 26, "W5"),
    "remark": (4, 64, ""),
    "end": (4, 76, ""),
}


def boat() -> Builder:
    """The circuits, and what is left open in them."""
    b = Builder(name="Sandling", build_year=2026, use="pleasure", hull="glass fibre", coldest_c=5.0)
    for place, kind, degrees in (
        ("Locker", "battery", 30.0),
        ("Panel", "", 30.0),
        ("Cabin", "", 30.0),
        ("Bilge", "wet", 30.0),
    ):
        b.place(place, kind, degrees)
    b.add(
        "battery_bank", "G1", place="Locker", chemistry="AGM", unit_v=12.0, unit_ah=80.0, covered=True, bms="none",
        short_circuit_a=1500.0, internal_resistance_ohm=0.006, charge_v=14.4, float_v=13.6, cut_off_v=10.5,
        cells_per_unit=6, rated_hours_h=20.0, unit_discharge_limit_a=120.0, marking="BATTERY",
    )  # fmt: skip
    b.add(
        "battery_switch", "Q1", place="Locker", rated_dc_v=32.0, continuous_a=200.0, five_minute_a=300.0,
        cranking_a=600.0, breaks_load=True, emergency_access=True, ignition_protected=True, covered=True,
        marking="BATTERY",
    )  # fmt: skip
    b.add("bus_bar", "WC1", place="Panel", rating_a=100.0, covered=True, purpose="pair")
    blade: dict[str, Any] = {
        "fuse_class": "blade ISO 8820-3",
        "rated_dc_v": 32.0,
        "place": "Panel",
        "covered": True,
        "breaking": BREAKS,
    }
    b.add("fuse", "F1", rating_a=40.0, marking="CABIN", **blade)
    b.add("fuse", "F2", marking="ANCHOR", **blade)
    b.add("fuse", "F3", rating_a=10.0, marking="BILGE PUMP", **blade)
    lights: dict[str, Any] = {"dc_v": 12.0, "minimum_v": 10.5, "drop_class": "other"}
    b.add("load", "E1", place="Cabin", service="lighting", power_w=60.0, **lights)
    b.add(
        "load", "E2", place="Cabin", service="navigation lights", power_w=20.0, **lights | {"drop_class": "essential"}
    )
    b.add(
        "motor", "M1", place="Bilge", service="bilge pump", dc_v=12.0, running_a=3.6, starting_a=10.0, stalled_a=13.0,
        drop_class="essential", minimum_v=9.0, thermal_protection=True, starting_s=0.5, ignition_protected=True,
    )  # fmt: skip
    wire: dict[str, Any] = {
        "conductor": "tinned copper", "insulation_c": 105.0, "sheath": "sheathed", "bundle": 2, "colour": "RD+YE",
        "supported": True, "chafe_protected": True,
    }  # fmt: skip
    for name, start, end, size, metres, place in (
        ("W1", "G1.pos", "Q1.in", "25 mm2", 0.3, "Locker"),
        ("W2", "Q1.out", "WC1.bar", "25 mm2", 0.8, "Locker"),
        ("W3", "WC1.bar", "F1.in", "6 mm2", 0.1, "Panel"),
        ("W4", "WC1.bar", "F2.in", "6 mm2", 0.1, "Panel"),
        ("W5", "F1.out", "E1.in", "1.5 mm2", 4.0, "Cabin"),
        ("W6", "F2.out", "E2.in", "2.5 mm2", 6.0, "Cabin"),
        ("W7", "F3.out", "M1.in", "2.5 mm2", 5.0, "Bilge"),
    ):
        at = Passage(place=b.place(place), length_m=metres)
        b.run(name, start, end, size=size, length_m=metres, places=(at,), **wire)
    return b


def make() -> Installation:
    """The drawing."""
    made = boat().installation
    sheet = made.new_id("sheets")
    told = words()
    apply(made, Put("sheets", sheet, Sheet(title=told["title"], number=1, size="A3")))
    for name, label in labels().items():
        ((table, item),) = made.find(name)
        apply(made, SetFields(table, item, (("label", label),)))
    for name, (x, y, rest) in STANDS.items():
        ((_table, item),) = made.find(name)
        placed = Placement(equipment=item, sheet=sheet, x=x, y=y, **rest)
        apply(made, Put("placements", made.new_id("placements"), placed))
    apply(made, lead_anew(made.snapshot(), tuple(made.runs), sheet))
    for step in ORDER:
        x, y, at = REMARKS[step]
        remark = Remark(
            sheet=sheet, x=x, y=y, width=WIDTHS[step], text=told[step], height="normal" if step else "large",
            framed=bool(step), points_at=made.find(at)[0][1] if at else "",
        )  # fmt: skip
        apply(made, Put("remarks", made.new_id("remarks"), remark))
    return made


def main() -> int:
    """Write the drawing."""
    path = ROOT / "samples" / FILE
    save(make(), path)
    print(path.relative_to(ROOT))
    return 0


if __name__ == "__main__":
    sys.exit(main())
