"""A panel of remote-switched circuits, each with an override by hand that needs no network."""

from __future__ import annotations

from engine.equipment.base import Breaking
from engine.equipment.switching.switching_module import Channel
from engine.templates.dc_side import TO_FUSE_M, ask_bank, ask_bus, ask_volts, dc_side, device, volts_of
from engine.templates.making import Making, Spot
from engine.templates.question import Answers, Question
from engine.words import N_, _

__all__ = ["NAME", "PURPOSE", "QUESTIONS", "TITLE", "build"]

NAME = "remote-panel"
TITLE = N_("Remote-switched branch panel with override")
PURPOSE = N_(
    "A switching module feeds its circuits; each can be switched by hand at the module when the network is lost."
)
QUESTIONS = (
    ask_volts(),
    Question("circuits", N_("number of circuits"), "", 4, 1, 8, whole=True),
    Question("circuit_a", N_("current at which a circuit trips, more where its load asks for it"), "A", 10, 3, 20),
    Question("load_w", N_("power of the load of each circuit"), "W", 60, 5, 100),
    Question("hours", N_("hours a day the loads run"), "h", 4, 0, 24),
    Question("load_m", N_("way from the module to each load"), "m", 4, 0.5, 12),
    Question("module_m", N_("way from its breaker to the module"), "m", 0.6, 0.3, 4),
    ask_bank(),
    ask_bus(),
)
CONTINUOUS = 1.25  # a device carries 80 % of its rating all day: common practice, no source


def build(m: Making, a: Answers) -> None:
    """Bus, breaker, module, a load a circuit."""
    volts, count = volts_of(a), int(a.figure("circuits"))
    load_a = a.figure("load_w") / (0.9 * volts)  # more than at the nominal volts: the bank's fall
    trip = m.rating(max(a.figure("circuit_a"), load_a * CONTINUOUS))
    total = max(load_a * count, trip)
    rating = m.rating(total * CONTINUOUS)
    side = dc_side(m, a, max(100.0, rating * 1.5))
    near, far = device(m, "saloon", _("remote panel"), rating)
    box = m.box(_("remote panel"), "saloon")
    channels = tuple(
        Channel(
            number=n + 1,
            label=_("circuit {number}").format(number=n + 1),
            rating_a=trip,
            fuse_a=trip,
            override=True,
            on_network_loss="stays",
            on_supply_return="off",
        )
        for n in range(count)
    )
    module = m.add(
        "switching_module",
        "saloon",
        _("switching module"),
        enclosure=box,
        dc_v=volts,
        channels=channels,
        local_control=True,
        standby_w=1.0,
        through_a=rating,
        rated_dc_v=80.0,
        breaking=(Breaking(5000, 80),),
    )
    m.dc(side.bus, near, rating, TO_FUSE_M, volts=volts, inside=True)
    way = a.figure("module_m")
    m.dc(far, Spot(module, "supply"), rating, way, volts=volts, load_a=total, drop=0.01, typed=("length_m",))
    loads = []
    for channel in channels:
        load = m.add(
            "load",
            "saloon",
            channel.label,
            ("power_w", "dc_v"),
            service="lighting",
            dc_v=volts,
            power_w=a.figure("load_w"),
            minimum_v=volts * 0.75,
            highest_v=volts * 1.35,
            essential=False,
        )
        loads.append(load)
        lead = Spot(module, f"ch{channel.number}")
        m.dc(
            lead, Spot(load, "in"), trip, a.figure("load_m"), volts=volts, load_a=load_a, drop=0.02, typed=("length_m",)
        )
    m.condition(_("Remote panel in use"), {}, hours=dict.fromkeys(loads, a.figure("hours")))
