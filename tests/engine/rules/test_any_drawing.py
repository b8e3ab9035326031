"""No rule stops on a drawing, however senseless: random kinds, terminals joined by random runs, facts missing."""

from __future__ import annotations

import random

import pytest

from engine.books import load
from engine.builder import Builder
from engine.check import check
from engine.edits import SetFields, apply
from engine.equipment import kinds
from engine.findings import Finding
from engine.fixing.trial import after
from engine.report import as_json, as_sarif, dumps
from engine.rules import rules
from engine.study import Study
from engine.why import why

FUNCTIONS = ("dc pair", "dc positive", "dc negative", "ac", "earth", "bonding", "signal")
PHASES = ("L1", "L2", "L3", "L1 L2", "L1 L2 L3")
VOLTS = (None, 0.0, 6.0, 12.0, 12.8, 24.0, 48.0, 120.0, 230.0)
AMPS = (None, 0.0, 1.0, 16.0, 100.0, 1e6)


def senseless(seed: int) -> Builder:
    pick = random.Random(seed)
    b = Builder(book=pick.choice(("trade-na", "us-33cfr183", "k1")), engine_fuel=pick.choice(("", "petrol", "diesel")))
    every = list(kinds().values())
    names: list[tuple[str, tuple[str, ...]]] = []
    switches: list[tuple[str, tuple[str, ...]]] = []
    for number in range(pick.randint(2, 25)):
        cls = pick.choice(every)
        fields = {}
        for name in cls.__struct_fields__:
            if name.endswith("_v") and pick.random() < 0.5:
                fields[name] = pick.choice(VOLTS)
            elif name.endswith("_a") and pick.random() < 0.5:
                fields[name] = pick.choice(AMPS)
        designation = pick.choice((f"X{number}", f"X{number}", "X1", "") if number else ("X0",))
        item = b.add(cls.KIND, f"X{number}", status=pick.choice(("existing", "new", "to remove", "spare")), **fields)
        record = b.installation.equipment[item]
        if record.terminals():
            names.append((f"X{number}", tuple(t.name for t in record.terminals())))
        if record.positions():
            switches.append((f"X{number}", record.positions()))
        if designation != f"X{number}":
            apply(b.installation, SetFields("equipment", item, (("designation", designation),)))
    for number in range(pick.randint(0, 40) if names else 0):
        (one, at_one), (other, at_other) = pick.choice(names), pick.choice(names)
        b.run(
            pick.choice((f"W{number}", "W1", "")),
            f"{one}.{pick.choice(at_one)}",
            f"{other}.{pick.choice(at_other)}",
            function=pick.choice(FUNCTIONS),
            phases=pick.choice(PHASES),
            size=pick.choice(("", "10 AWG", "2/0 AWG", "35 mm2")),
            length_m=pick.choice((None, 0.0, 0.1, 3.0)),
            insulation_c=pick.choice((None, 60.0, 105.0)),
            parallel=pick.choice((1, 1, 2)),
        )
    for _ in range(pick.randint(0, 3) if switches else 0):
        chosen = pick.sample(switches, min(len(switches), pick.randint(1, 4)))
        b.interlock(*(f"{name}:{pick.choice(positions)}" for name, positions in chosen), at_most=pick.randint(0, 2))
    if switches:
        name, positions = pick.choice(switches)
        b.condition("Alongside", **{name: pick.choice(positions)})
    b.waive("sources-meet", "X1", "X2", reason="", figures=("=",))
    b.waive("no such rule")
    return b


@pytest.mark.parametrize("block", range(5))
def test_every_rule_says_something_or_nothing_and_never_stops(block: int) -> None:
    for seed in range(block * 40, (block + 1) * 40):
        snapshot = senseless(seed).installation.snapshot()
        result = check(snapshot)
        assert result.stopped == (), f"drawing {seed}: {[g.why for g in result.not_judged if g.detail == 'stopped']}"
        again = check(snapshot)
        assert dumps(as_json(result, "x")) == dumps(as_json(again, "x")), f"drawing {seed}"
        assert dumps(as_sarif([("x", result)])) == dumps(as_sarif([("x", again)])), f"drawing {seed}"
        for finding in result.findings:
            assert finding.message.endswith("."), finding
            assert len(finding.ids) >= 1, finding
            assert finding.rule in result.rules


@pytest.mark.parametrize("seed", range(0, 60, 6))
def test_no_rule_stops_over_its_edits_and_each_can_be_done(seed: int) -> None:
    snapshot = senseless(seed).installation.snapshot()
    study = Study(snapshot, load(snapshot.settings.book))
    for rule in rules().values():
        for remark in study.outcome(rule.slug).remarks:
            if rule.fixes is not None and isinstance(remark, Finding) and not remark.undecided:
                for fix in rule.fixes(study, remark):
                    assert after(snapshot, fix.edit), (rule.slug, fix.text)


@pytest.mark.parametrize("seed", range(3, 200, 22))
def test_proving_stops_nowhere_and_changes_nothing_else(seed: int) -> None:
    snapshot = senseless(seed).installation.snapshot()
    plain, proved = check(snapshot), check(snapshot, proving=True)
    assert proved.stopped == ()
    assert (plain.findings, plain.not_judged, plain.passed) == (proved.findings, proved.not_judged, ())
    dumps(as_sarif([("x", proved)]))
    assert all(one.ids and (one.margin is None or one.margin >= 0) for one in proved.passed)
    for item in (*snapshot.equipment, *snapshot.runs):
        assert {said.rule for said in why(proved, snapshot, [item])} >= set(proved.rules)
