"""Figures out of the study process: when they come, what they hold; a fault in one takes none of the others."""

from __future__ import annotations

import logging
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from app import worker_telling
from app.drawing.screen import Screen
from app.judgement import Layer
from app.worker import Worker
from app.worker_figures import fault_figures, flow_figures
from app.worker_messages import (
    Answer,
    Done,
    Drawn,
    EditRequest,
    EnergyTold,
    Fault,
    FaultsTold,
    FiguresStopped,
    FlowTold,
    Frames,
    Judged,
    Laid,
    OpenRequest,
    ViewRequest,
    answer_of,
    packed,
)
from app.worker_pictures import laid, layer_of
from engine.circuit.faults.results import DeviceFault, FarEnd, Faults
from engine.circuit.flow.results import BusFlow, Flow, LoadFlow, RunFlow, SourceFlow
from engine.edits import SetFields, done
from engine.files.drawing import load
from engine.files.edit_form import plain_edit, plain_snapshot
from engine.picture import Text, rectangle

LAUNCH = Path(__file__).parents[2] / "samples" / "launch" / "launch.linewright"


class Window:
    """Sends requests and keeps what is answered."""

    def __init__(self) -> None:
        self.boat = load(LAUNCH).installation
        self.heard: list[Answer] = []
        self.supersede: Callable[[], bool] = lambda: False
        self.worker = Worker(self.heard.append, lambda: self.supersede())
        self.number = 1
        self.worker.take(OpenRequest(1, plain_snapshot(self.boat.snapshot())))
        (self.sheet,) = self.boat.ids("sheets")
        by_name = {record.name: item for item, record in self.boat.items("conditions")}
        self.under_way, self.unattended = by_name["Under way"], by_name["Unattended"]

    def view(self, condition: str, layer: str = "") -> list[Answer]:
        self.number += 1
        self.worker.take(ViewRequest(self.number, self.sheet, condition, layer))
        return self.study()

    def edit(self, item: str, field: str, value: Any) -> list[Answer]:
        self.number += 1
        table = "runs" if self.boat.get("runs", item) is not None else "equipment"
        edit = done(self.boat, SetFields(table, item, ((field, value),))).edit
        self.worker.take(EditRequest(self.number, plain_edit(edit)))
        return self.study()

    def study(self) -> list[Answer]:
        self.heard.clear()
        self.worker.study()
        return self.heard

    def of(self, kind: Any) -> list[Any]:
        return [answer for answer in self.heard if isinstance(answer, kind)]


@pytest.fixture
def window() -> Window:
    return Window()


def test_figures_come_after_notes_and_pictures_the_shown_condition_first(window: Window) -> None:
    heard = window.view(window.unattended)
    kinds = [type(answer) for answer in heard]
    last_picture = max(n for n, kind in enumerate(kinds) if kind is Drawn)
    assert kinds.index(Judged) < last_picture < kinds.index(FlowTold) < kinds.index(EnergyTold)
    assert kinds[-1] is Done
    assert [told.figures.condition for told in window.of(FlowTold)] == [window.unattended]
    assert [told.energy.condition for told in window.of(EnergyTold)] == [window.unattended, window.under_way]
    assert window.of(Laid) == []  # nobody asked for it


def test_what_was_told_of_a_state_is_not_told_again(window: Window) -> None:
    window.view(window.unattended)
    window.view(window.under_way)
    assert [told.figures.condition for told in window.of(FlowTold)] == [window.under_way]
    assert window.of(EnergyTold) == []
    assert window.of(FaultsTold) == []
    window.edit("e1" if window.boat.get("equipment", "e1") else window.boat.ids("equipment")[0], "label", "Other")
    assert len(window.of(FlowTold)) == 1
    assert len(window.of(EnergyTold)) == 2
    assert len(window.of(FaultsTold)) == 1


def test_the_layer_says_what_the_flow_says_and_an_edit_lays_it_anew(window: Window) -> None:
    window.view(window.under_way, "flow")
    layer = layer_of(window.of(Laid)[0])
    flow = window.of(FlowTold)[0].figures
    (run,) = [item for item, record in window.boat.items("runs") if record.designation == "W6"]
    assert flow.runs[run].amps == pytest.approx(9.9, abs=0.1)
    written = " ".join(p.text for p in layer.of[f"figure:{run}"] if isinstance(p, Text))
    assert written == "9.88 A  2 %"
    window.edit(run, "length_m", 20.0)
    longer = layer_of(window.of(Laid)[0])
    assert longer.at == window.number
    assert longer.of[f"figure:{run}"] != layer.of[f"figure:{run}"]


def test_as_drawn_beside_conditions_what_flows_is_told_where_it_is_wanted(window: Window) -> None:
    window.view("")
    assert window.of(FlowTold) == []
    assert {told.energy.condition for told in window.of(EnergyTold)} == {"", window.under_way, window.unattended}
    window.view("", "flow")
    assert [told.figures.condition for told in window.of(FlowTold)] == [""]
    assert layer_of(window.of(Laid)[0]).condition == ""


def test_the_layer_of_faults(window: Window) -> None:
    heard = window.view(window.under_way, "faults")
    layer = layer_of(window.of(Laid)[0])
    assert layer.what == "faults"
    (fuse,) = [item for item, record in window.boat.items("equipment") if record.designation == "F1"]
    texts = [p.text for p in layer.of[f"figure:{fuse}"] if isinstance(p, Text)]
    assert texts[0].startswith("fault max ")
    assert [type(a) for a in heard].index(FaultsTold) < [type(a) for a in heard].index(EnergyTold)


def test_a_newer_request_stops_between_figures(window: Window) -> None:
    window.supersede = lambda: any(isinstance(a, FlowTold) for a in window.heard)
    window.view(window.under_way)
    assert window.of(EnergyTold) == []
    assert window.of(Done) == []
    window.supersede = lambda: False
    window.study()
    assert window.of(FlowTold) == []  # it was told
    assert len(window.of(EnergyTold)) == 2


def test_a_fault_in_one_takes_none_of_the_others(
    window: Window, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    with monkeypatch.context() as patch, caplog.at_level(logging.ERROR):
        patch.setattr(worker_telling, "flow_figures", lambda *_all: 1 / 0)
        window.view(window.under_way, "flow")
    assert window.of(FiguresStopped) == [FiguresStopped(2, "flow", window.under_way, "ZeroDivisionError")]
    assert len(window.of(EnergyTold)) == 2
    assert len(window.of(FaultsTold)) == 1
    assert window.of(Laid) == []
    assert isinstance(window.heard[-1], Done)
    assert "ZeroDivisionError" in caplog.text
    caplog.clear()


def test_so_does_a_layer_that_cannot_be_laid(
    window: Window, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    with monkeypatch.context() as patch, caplog.at_level(logging.ERROR):
        patch.setattr(Screen, "figures", lambda *_all: 1 / 0)
        window.view(window.under_way, "flow")
    assert [told.what for told in window.of(FiguresStopped)] == ["flow"]
    assert len(window.of(EnergyTold)) == 2
    assert window.of(Fault) == []
    caplog.clear()


def test_figures_go_over_the_wire_as_they_are(window: Window) -> None:
    window.view(window.under_way, "flow")
    frames = Frames()
    for answer in window.heard:
        frames.feed(packed(answer))
    back = []
    while (body := frames.take()) is not None:
        back.append(answer_of(body))
    assert [a for a in back if not isinstance(a, (Drawn, Laid))] == [
        a for a in window.heard if not isinstance(a, (Drawn, Laid))
    ]
    assert [layer_of(a) for a in back if isinstance(a, Laid)] == [layer_of(a) for a in window.of(Laid)]
    energy = next(a for a in back if isinstance(a, EnergyTold)).energy
    assert energy.banks[0].designation == "G1"


def test_a_layer_that_holds_other_than_it_says_is_refused() -> None:
    layer = Layer(1, "s1", "c1", "flow", {"figure:r1": (rectangle(0, 0, 1, 1), Text(0, 0, "1 A"))})
    message = laid(layer)
    assert layer_of(message) == layer
    with pytest.raises(ValueError, match="not what it says"):
        layer_of(type(message)(1, "s1", "c1", "flow", {"figure:r1": "pp"}, message.paths, message.texts))


# -- out of the results -----------------------------------------------------------------------------------------------
def test_of_several_terminals_and_conductors_the_telling_one_counts() -> None:
    def source(terminal: str, conductor: str, amps: float, share: float | None) -> SourceFlow:
        return SourceFlow(
            equipment="e1", designation="T1", terminal=terminal, conductor=conductor, volts=120.0, amps=amps,
            watts=120.0 * amps, share=share,
        )  # fmt: skip

    def load_at(terminal: str, volts: float | None) -> LoadFlow:
        return LoadFlow(
            equipment="e2", designation="E2", terminal=terminal, volts=volts, amps=1.0, watts=12.0, missing=("W1.size",)
        )

    def bus(conductor: str, sections: tuple[float, ...], known: bool) -> BusFlow:
        studs = tuple((str(n), f"r{n}") for n in range(len(sections) + 1))
        return BusFlow(
            equipment="e3", designation="WC1", conductor=conductor, studs=studs, sections_a=sections, order_known=known
        )

    flow = Flow(
        condition="c1", name="Alongside", charge="nominal", converged=True, sources_w=1, loads_w=1, losses_w=0,
        runs=(RunFlow(run="r1", designation="W1", amps=None, missing=("W1.size", "E2.power_w")),),
        sources=(source("ac", "L1", 10.0, 0.25), source("ac", "L2", 20.0, 0.5), source("dc", "+", -1.0, None)),
        loads=(load_at("a", 11.5), load_at("b", 11.0), load_at("c", None)),
        buses=(bus("+", (5.0, -9.0), False), bus("-", (9.0, 2.0), True), bus("L1", (), True)),
    )  # fmt: skip
    made = flow_figures(flow, frozenset({"r1"}))
    assert made.sources["e1"].amps == 20.0
    assert made.sources["e1"].watts == 3600.0
    assert made.sources["e1"].share == 0.75
    assert made.loads["e2"].volts is None  # the volts at one of its terminals are not known
    assert made.buses["e3"].most_a == 9.0
    assert made.buses["e3"].order_known
    assert made.runs["r1"].is_over
    assert made.missing == ("E2.power_w", "W1.size")


def test_a_fault_that_is_not_known_on_one_conductor_is_not_known() -> None:
    def at(conductor: str, most: float | None, least: float | None, undecided: bool = False) -> DeviceFault:
        return DeviceFault(
            equipment="e1", designation="F1", terminal="out", conductor=conductor, system="dc", max_a=most, min_a=least,
            undecided=undecided, missing=() if most else ("G1.capacity_ah",),
        )  # fmt: skip

    far = FarEnd(device="e1", run="r9", at="e5", conductor="+", system="dc", min_a=80.0)
    made = fault_figures(Faults(devices=(at("L1", 900.0, 300.0), at("L2", 1000.0, 200.0, True)), far_ends=(far,)))
    assert made.devices["e1"] == (1000.0, 80.0, True, "r9")
    blind = fault_figures(Faults(devices=(at("L1", 900.0, 300.0), at("L2", None, None))))
    assert blind.devices["e1"] == (None, None, False, "")
    assert blind.missing == ("G1.capacity_ah",)
