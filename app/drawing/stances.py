"""How a piece stands on a sheet: turned so that runs leave it the right way, above or below its bus."""

from __future__ import annotations

import math
from typing import NamedTuple

from app.drawing.looks import STEP, Look, look, may_turn
from app.drawing.pieces import Join, Piece, Pieces
from app.drawing.spots import run_need
from app.drawing.texts import Words, device_words, on_one_line, run_words
from app.drawing.trees import Forest
from engine.equipment.base import Equipment
from engine.installation import Snapshot
from engine.words import _
from symbols.catalogue import Port

__all__ = ["FARTHEST_ZONE", "WIDEST_SHEET", "Mode", "Stance", "Stances"]

WIDEST_SHEET, FARTHEST_ZONE = 88, "H8"  # for measuring a reference before its sheet is known


class Stance(NamedTuple):
    """A symbol turned for its place."""

    look: Look
    rotation: int
    mirrored: bool
    length: int | None = None

    def port(self, name: str) -> Port:
        """Where a terminal is."""
        found = self.look.ports.get(name)
        return found if found is not None else next(iter(self.look.ports.values()))


class Mode(NamedTuple):
    """How room is used."""

    compact: bool = False  # labels of runs on one line, so that columns are lower
    beyond: bool = False  # what stands up beside the sources may pass the end of the bar over them
    airy: bool = False  # longer runs, so that labels of neighbours stand at different heights and columns closer


class Stances:
    """Builds blocks from one forest. `rails` are the negative buses that batteries are let down to."""

    def __init__(self, snapshot: Snapshot, pieces: Pieces, forest: Forest) -> None:
        self.snapshot, self.pieces, self.forest = snapshot, pieces, forest
        self.rails: set[str] = set()
        self.standard = snapshot.settings.symbols
        self.mode = Mode()
        self.hanging = {j.run: self._hangs(j) for below in forest.children.values() for j in below}
        self.widest = 10_000  # evenly spaced only where that stays within so many steps

    def record(self, key: str) -> Equipment:
        """The equipment a piece shows."""
        return self.pieces.records(self.snapshot, key)

    def seen(self, key: str, rotation: int = 0, mirrored: bool = False, length: int | None = None) -> Look:
        """The symbol of a piece."""
        return look(self.record(key), self.standard, rotation, mirrored, length)

    def words(self, key: str) -> Words:
        """Label of a piece."""
        also = ""
        others = len(self._twins(key)) - 1
        if others:
            also = _("also {places}").format(places=", ".join([f"{WIDEST_SHEET} / {FARTHEST_ZONE}"] * others))
        return device_words(self.snapshot, self.pieces.pieces[key].equipment, also=also)

    def _twins(self, key: str) -> list[Piece]:
        mine = self.pieces.pieces[key].equipment
        return [p for k in (mine, f"{mine}/ac", f"{mine}/dc", f"{mine}/earth") if (p := self.pieces.pieces.get(k))]

    def stubs(self, key: str) -> list[Join]:
        """Runs of a piece that are no branches: each ends in an arrow, or is led across when all else stands."""
        back = self.forest.parent.get(key)
        tree = {j.run for j in self.forest.children[key]} | ({back.run} if back else set())
        return [j for j in self.pieces.joins[key] if j.run not in tree]

    def hangs(self, join: Join) -> bool:
        """Whether what a branch leads to belongs below its bus: batteries, AC sources, earths."""
        return join.piece in self.rails or self.hanging[join.run]

    def _hangs(self, join: Join) -> bool:
        """As far as the whole tree tells, before anything is cut off.

        Protective devices and switches are looked through; what stands at the end decides, by the side its terminal
        is drawn on.
        """
        seen: set[str] = set()
        while join.piece not in seen:
            key = join.piece
            seen.add(key)
            record = self.record(key)
            if record.ROLE == "bus":
                return self.forest.is_return_bus(key)
            ahead = self.forest.children[key]
            if record.ROLE in ("protection", "switch", "meter", "junction") and ahead:
                deeper = [j for j in ahead if j.kind != "signal"] or ahead
                # a source decides, else where the energy goes: a bus or a load, a converter last
                ranks = {"source": 0, "converter": 2}
                join = min(deeper, key=lambda j: ranks.get(self.record(j.piece).ROLE, 1))
                continue
            passes = record.ROLE in ("protection", "switch", "meter", "junction")
            if passes and any(join.there in (c.a, c.b) and c.cross is None for c in record.contacts()):
                return False
            port = self.seen(join.piece).ports.get(join.there)
            return port is not None and port.side == "top"
        return False

    # -- stance -----------------------------------------------------------------------------------------------------
    def stand(self, key: str, entry: str, forward: int, pitch: int | None = None) -> Stance:
        """The turn in which the entry faces back and most branches face forward; unturned where that is as good."""
        record = self.record(key)
        back_side, front = ("bottom", "top") if forward < 0 else ("top", "bottom")
        ahead = [j.here for j in self.forest.children[key]]
        rest = [j.here for j in self.stubs(key)]
        best: tuple[float, Stance] | None = None
        for rotation in may_turn(record):
            for mirrored in (False, True):
                seen = self.seen(key, rotation, mirrored, pitch)
                stance = Stance(seen, rotation, mirrored, pitch)
                side = stance.port(entry).side
                score = 10.0 if side == back_side else 7.0 if side in ("left", "right") else 0.0
                for name in ahead:
                    there = stance.port(name).side
                    score += 3.0 if there == front else 1.0 if there in ("left", "right") else 0.0
                for name in rest:
                    score += 0.5 if stance.port(name).side in (front, "left", "right") else 0.0
                score -= {0: 0.0, 180: 0.4}.get(rotation, 2.0) + (0.2 if mirrored else 0.0)
                if best is None or score > best[0]:
                    best = (score, stance)
        assert best is not None
        return best[1]

    def need(self, run: str) -> int:
        """Grid steps of straight line that a run needs for its label."""
        return run_need(self.run_words(run))

    def run_words(self, run: str) -> Words:
        """Label of a run."""
        words = run_words(self.snapshot, run)
        return Words((on_one_line(words),)) if self.mode.compact and words.lines else words

    def apart(self, join: Join) -> int:
        """Steps by which a run is longer so that its label keeps below and above those of the symbols it joins."""
        if not self.mode.airy:
            return 0
        back = self.forest.parent.get(join.piece)
        above = 0.0 if back is None else self._overhang(back.piece)
        return math.ceil(2 * max(above, self._overhang(join.piece)))

    def _overhang(self, key: str) -> float:
        """How far the label beside a symbol reaches past it, up and down, in steps."""
        if self.forest.role(key) == "bus" or (not self.forest.children[key] and not self.stubs(key)):
            return 0.0
        box = self.seen(key).box
        return max(0.0, (self.words(key).height / STEP - (box.bottom - box.top)) / 2)
