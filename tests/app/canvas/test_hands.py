"""What is switched from afar tells whether a hand can do it too, and what it does when its control is lost."""

from __future__ import annotations

import pytest

from app.canvas.hands import hand_of
from app.canvas.telling import told_item
from app.judgement import LiveParts
from engine.builder import Builder
from engine.equipment import kinds


@pytest.mark.parametrize(
    ("kind", "fields", "sign", "words"),
    [
        ("contactor", {"manual_override": True, "on_loss": "opens"}, "can", "by hand; opens when"),
        ("remote_battery_switch", {"manual_override": False, "on_loss": "stays"}, "cannot", "no hand"),
        ("charging_relay", {}, "unknown", "not recorded what it does"),
        ("float_switch", {"manual_override": True}, "can", "can be switched by hand"),
    ],
)
def test_the_sign_and_the_words(kind: str, fields: dict[str, object], sign: str, words: str) -> None:
    hand = hand_of(kinds()[kind](designation="K1", **fields))
    assert hand is not None
    assert hand.sign == sign
    assert words in hand.words


def test_channels_are_told_together_where_the_same_holds() -> None:
    cls = kinds()["switching_module"]
    from engine.equipment.switching.switching_module import Channel

    channels = tuple(Channel(number=n, override=n != 2, on_network_loss="off") for n in (1, 2, 3))
    hand = hand_of(cls(designation="A1", channels=channels))
    assert hand is not None
    assert hand.sign == "cannot", "the worst of them"
    assert "channel 1, 3: can be switched by hand" in hand.words
    assert "channel 2: no hand can switch it" in hand.words
    assert hand.words.endswith("; opens when its control is lost")


def test_what_a_hand_moves_anyway_tells_nothing_and_the_foot_names_sources() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("battery_switch", "Q1")
    b.add("contactor", "K1", manual_override=None)
    snapshot = b.installation.snapshot()
    item = {r.designation: i for i, r in snapshot.equipment.items()}
    assert hand_of(snapshot.equipment[item["Q1"]]) is None
    live = LiveParts(1, "", frozenset({item["K1"]}), sources={item["K1"]: (item["G1"],)})
    assert "(live from G1); not recorded whether a hand" in told_item(snapshot, item["K1"], live)
    assert "hand" not in told_item(snapshot, item["K1"]), "only while operating"
