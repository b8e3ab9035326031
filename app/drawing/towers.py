"""Trees as blocks: each feed a column over or under its bus, branches side by side. In grid steps.

`forward` is -1 for what grows up the sheet (branches over a bus) and +1 for what hangs below it (sources).
"""

from __future__ import annotations

import math
from itertools import pairwise

from app.drawing.bars import branch_bar
from app.drawing.blocks import Block, Item, Pending, Point, Track, arrange, separation
from app.drawing.looks import STEP
from app.drawing.pieces import Join, Pieces
from app.drawing.spots import ARROW, Spot, device_spots, reference_spots, run_spots
from app.drawing.stances import FARTHEST_ZONE, WIDEST_SHEET, Mode, Stance, Stances
from app.drawing.texts import reference_words, run_words
from app.drawing.trees import Forest
from engine.installation import Snapshot
from engine.picture import Box
from symbols.catalogue import Port

__all__ = ["Towers"]

_CLEAR = 2  # steps a run goes straight before it turns
_TEE = 4  # steps between runs that leave another


def steps(box: Box) -> Box:
    """A box in mm as grid steps."""
    return Box(box.left / STEP, box.top / STEP, box.right / STEP, box.bottom / STEP)


def millimetres(box: Box, dx: float = 0.0, dy: float = 0.0) -> Box:
    """A box in grid steps, moved, in mm."""
    return Box((box.left + dx) * STEP, (box.top + dy) * STEP, (box.right + dx) * STEP, (box.bottom + dy) * STEP)


class Towers(Stances):
    """Builds blocks from one forest."""

    def __init__(self, snapshot: Snapshot, pieces: Pieces, forest: Forest) -> None:
        super().__init__(snapshot, pieces, forest)
        self.least = 0  # steps from column to column that are wished for
        self._made: dict[tuple[str, int, Mode, int, frozenset[str]], Block] = {}  # branches as they stood at a time

    # -- blocks -----------------------------------------------------------------------------------------------------
    def branch(self, join: Join, forward: int) -> Block:
        """What a branch leads to, with the run to it; joined on at (0, 0)."""
        kept = (join.run, forward, self.mode, self.forest.changes.get(join.piece, 0), frozenset(self.rails))
        if kept not in self._made:
            self._made[kept] = self._branch(join, forward)
        return self._made[kept].copy()

    def _branch(self, join: Join, forward: int) -> Block:
        key = join.piece
        if key in self.rails:
            block = Block()
            track = Track(join.run, "whole", ((0, 0), (0, forward * max(3, self.need(join.run)))), join.forward)
            block.leave_open(track)
            block.entry = track
            self.label_run(block, track)
            return block
        if self.forest.role(key) == "bus":
            return branch_bar(self, join, forward)
        return self._device(join, forward)

    def _device(self, join: Join, forward: int) -> Block:
        key = join.piece
        pitch = self._pitch(key, forward)
        stance = self.stand(key, join.there, forward, pitch)
        entry = stance.port(join.there)
        back_side = "bottom" if forward < 0 else "top"
        need = self.need(join.run) + self.apart(join)
        under = [j for j in self.stubs(key) if stance.port(j.here).side == back_side and j.here != join.there]
        beside = [j for j in (*self.forest.children[key], *self.stubs(key)) if j.here == join.there]
        if under:
            need += 2 + self._beyond_label(self._alone(key, stance), entry.y, -forward)
        if beside and not self._is_joint(key):
            need += _TEE * len(beside)
        box = stance.look.box
        if entry.side == back_side:
            at = (0, forward * need)
            points: tuple[Point, ...] = ((0, 0), at)
        elif entry.side in ("left", "right"):
            out = 1 if entry.side == "left" else -1
            deep = math.ceil(entry.y - box.top if forward > 0 else box.bottom - entry.y)
            at = (out * 3, forward * (need + deep))
            points = ((0, 0), (0, at[1]), at)
        else:
            wide = math.ceil(entry.x - box.left) + 2
            deep = math.ceil(max(entry.y - box.top, box.bottom - entry.y))
            at = (wide, forward * max(need - _CLEAR, deep + 2))
            points = ((0, 0), (0, at[1] + forward * _CLEAR), (wide, at[1] + forward * _CLEAR), at)
        block = Block()
        block.key = key
        x, y = at[0] - entry.x, at[1] - entry.y
        self._symbol(block, key, stance, x, y, entry.side)
        track = Track(join.run, "whole", points, join.forward)
        block.enter(track)
        self._grow(block, key, stance, x, y, forward, join.there)
        self.label_run(block, track)
        return block

    def root(self, key: str) -> Block:
        """A piece that hangs on nothing, with all that hangs on it above and below."""
        block = Block()
        block.key = key
        pitch = self._pitch(key, -1)
        stance = Stance(self.seen(key, length=pitch), 0, False, pitch)
        self._symbol(block, key, stance, 0, 0, "")
        self._grow(block, key, stance, 0, 0, -1, "")
        self.settle(block, -1)
        return block

    def _is_joint(self, key: str) -> bool:
        return self.record(key).ROLE == "junction" and len(self.record(key).terminals()) == 1

    def _pitch(self, key: str, forward: int) -> int | None:
        """Steps between the ways of a module: as much as what stands on them needs, where it can be had."""
        record = self.record(key)
        ways = [t.name for t in record.terminals() if t.name.startswith("ch") and t.name[2:].isdigit()]
        if len(ways) < 2 or record.ROLE != "switch":
            return None
        per_way: dict[str, Block] = {}
        for name in ways:
            blocks = [self.branch(j, forward) for j in self.forest.children[key] if j.here == name]
            blocks += [
                self.stub(j, "top" if forward < 0 else "bottom", short=True) for j in self.stubs(key) if j.here == name
            ]
            if blocks:
                per_way[name] = blocks[0]
        pitch = 4
        known = [(n, per_way[name]) for n, name in enumerate(ways) if name in per_way]
        for (i, a), (j, b) in pairwise(known):
            pitch = max(pitch, math.ceil(separation(a, b) / (j - i)))
        pitch += pitch % 2
        return pitch if pitch * (len(ways) - 1) + 6 <= self.widest else 4

    # -- parts ------------------------------------------------------------------------------------------------------
    def _symbol(self, block: Block, key: str, stance: Stance, x: int, y: int, entered: str) -> None:
        """Symbol and label."""
        block.items.append(Item(key, x, y, stance.rotation, stance.mirrored, stance.length))
        b = stance.look.box
        block.add(Box(b.left + x, b.top + y, b.right + x, b.bottom + y), key, "symbol")
        used = {stance.port(j.here).side for j in self.pieces.joins[key]}
        spot = device_spots(millimetres(b, x, y), self.words(key), used)[0]
        block.add(steps(spot.box), key, "label")

    def label_run(self, block: Block, track: Track) -> None:
        """Keep a place beside a run for its label, one that is free."""
        words = self.run_words(track.run)
        if not words.lines:
            return
        spots = run_spots([(x * STEP, y * STEP) for x, y in track.points], words)
        if not spots:
            return
        free = (s for s in spots if not any(steps(s.box).meets(r.box.grown(0.2)) for r in block.rooms))
        block.add(steps(next(free, spots[0]).box), track.run, "label")

    def stub(self, join: Join, side: str, short: bool = False) -> Block:
        """An arrow that leaves to `side`; `short`: everything it says reads upward, for where many stand together."""
        dx, dy = {"top": (0, -1), "bottom": (0, 1), "left": (-1, 0), "right": (1, 0)}[side]
        run = run_words(self.snapshot, join.run)
        far = self.pieces.pieces[join.piece].equipment
        joined = short or dy == 0
        reference = reference_words(self.snapshot, far, WIDEST_SHEET, FARTHEST_ZONE, label=not joined)
        length = 2 if joined else max(3, self.need(join.run))
        tip = (dx * length, dy * length)
        block = Block()
        track = Track(join.run, "from" if join.forward else "to", ((0, 0), tip), join.forward)
        block.enter(track)
        end = (tip[0] * STEP, tip[1] * STEP)
        reach = ARROW / STEP
        along = sorted((tip[0] + dx * reach, tip[0])) if dx else [tip[0] - 1.1, tip[0] + 1.1]
        down = sorted((tip[1] + dy * reach, tip[1])) if dy else [tip[1] - 1.1, tip[1] + 1.1]
        block.add(Box(along[0], down[0], along[1], down[1]), join.run, "arrow")
        spot: Spot = reference_spots(end, side, reference, run if joined else None)[0]
        block.add(steps(spot.box), join.run, "label")
        if not joined:
            self.label_run(block, track)
        return block

    def _grow(self, block: Block, key: str, stance: Stance, x: int, y: int, forward: int, entry: str) -> None:
        """All branches and arrows of a piece that is in its place."""
        back = "bottom" if forward < 0 else "top"
        front = "top" if forward < 0 else "bottom"
        groups: dict[str, list[tuple[Port, Join, bool]]] = {
            "front": [],
            "back": [],
            "left": [],
            "right": [],
            "entry": [],
        }
        for join, is_branch in (
            *((j, True) for j in self.forest.children[key]),
            *((j, False) for j in self.stubs(key)),
        ):
            port = stance.port(join.here)
            if join.here == entry and not self._is_joint(key):
                groups["entry"].append((port, join, is_branch))
            elif self._is_joint(key) or port.side == front:
                groups["front"].append((port._replace(side="top"), join, is_branch))
            else:
                groups["back" if port.side == back else port.side].append((port, join, is_branch))
        self._front(block, groups["front"], x, y, forward)
        if entry:
            for port, join, is_branch in groups["back"]:
                self._behind(block, port, join, is_branch, x, y, forward)
        else:
            self._front(block, groups["back"], x, y, -forward)
        for side in ("left", "right"):
            branches = [g for g in groups[side] if g[2]]
            for port, join, _branch in branches:
                self._beside(block, port, join, x, y, forward, side)
            self._side_arrows(block, [g for g in groups[side] if not g[2]], x, y, side, bool(branches))
        for n, (port, join, is_branch) in enumerate(groups["entry"]):
            tee = (port.x + x, port.y + y - forward * (_CLEAR + _TEE * n))
            start = ((port.x + x, port.y + y), tee)
            self._tee(block, tee, start, join, is_branch, forward)

    def _front(self, block: Block, group: list[tuple[Port, Join, bool]], x: int, y: int, forward: int) -> None:
        """Branches straight on: one above its terminal, several spread out from it."""
        side = "top" if forward < 0 else "bottom"
        arrows = [g for g in group if not g[2] and not (forward > 0 and g[1].piece in self.rails)]
        by_port: dict[str, list[tuple[Port, Block]]] = {}
        many = len(group) > 1
        for port, join, is_branch in sorted(group, key=lambda g: g[0].x):
            let_down = forward > 0 and join.piece in self.rails
            made = self.branch(join, forward) if is_branch or let_down else self.stub(join, side, short=many)
            by_port.setdefault(port.name, []).append((port, made))
        pairs = [pair for of in by_port.values() for pair in of]
        if not pairs:
            return
        if len(by_port) == 1 and 1 <= len(arrows) <= 2 and len(pairs) - len(arrows) == 1:
            self._with_arrows(block, group, x, y, forward)
            return
        if (
            len({p.y for p, _b in pairs}) == 1
            and all(
                b_x >= a_x + separation(a, b) for ((pa, a), (pb, b)) in pairwise(pairs) for a_x, b_x in ((pa.x, pb.x),)
            )
            and len(by_port) == len(pairs)
        ):
            for port, made in pairs:  # each fits straight above its terminal
                self._keep_clear(block, made, port.x + x, port.y + y, forward)
                block.put(made, port.x + x, port.y + y)
            block.simple = block.simple and len(pairs) == 1
            return
        block.simple = False
        xs = arrange([b for _p, b in pairs], self.widest)
        if len(by_port) == 1:
            shift = pairs[0][0].x - xs[(len(xs) - 1) // 2]
        else:
            offs = sorted(p.x - at for (p, _b), at in zip(pairs, xs, strict=True))
            shift = offs[len(offs) // 2]
        xs = [at + shift for at in xs]
        levels = _levels([p.x for p, _b in pairs], xs, len(by_port) == 1)
        top = max(levels) if levels else 0
        clear = self._beyond_label(block, pairs[0][0].y + y, forward)
        for (port, made), at, level in zip(pairs, xs, levels, strict=True):
            start = (port.x + x, port.y + y)
            turn_y = port.y + y + forward * (clear + 2 * level)
            base = port.y + y + forward * (clear + 2 * top)
            if at == port.x:
                before: tuple[Point, ...] = (start,)
            else:
                before = (start, (start[0], turn_y), (at + x, turn_y))
            block.put(made, at + x, base, before)

    def _alone(self, key: str, stance: Stance) -> Block:
        """A symbol and its label, nothing on it."""
        block = Block()
        self._symbol(block, key, stance, 0, 0, "")
        return block

    def _beyond_label(self, block: Block, y: int, forward: int) -> int:
        """How far from a terminal a run may turn: beyond the label that stands beside the symbol."""
        reach = max(
            (r.box.bottom - y if forward > 0 else y - r.box.top for r in block.rooms[:2] if r.kind == "label"),
            default=0.0,
        )
        return max(_CLEAR, math.ceil(reach + 0.6))

    def _with_arrows(self, block: Block, group: list[tuple[Port, Join, bool]], x: int, y: int, forward: int) -> None:
        """One branch straight on, arrows to its right and left."""
        arrows = [g for g in group if not g[2] and not (forward > 0 and g[1].piece in self.rails)]
        port, join, _branch = next(g for g in group if g not in arrows)
        made = self.branch(join, forward)
        made.lengthen(_CLEAR + 2, forward)
        start = (port.x + x, port.y + y)
        self._keep_clear(block, made, *start, forward)
        block.put(made, *start)
        tee = (start[0], start[1] + forward * _CLEAR)
        for (_port, arrow, _b), side in zip(arrows, ("right", "left"), strict=False):
            block.put(self.stub(arrow, side), *tee, (start,))

    def _keep_clear(self, block: Block, made: Block, x: int, y: int, forward: int) -> None:
        """Lengthen the run to a branch until its labels are clear of those it is set on."""
        for _round in range(30):
            if made.entry is None or not any(
                Box(r.box.left + x, r.box.top + y, r.box.right + x, r.box.bottom + y).grown(0.2).meets(own.box)
                for r in made.rooms
                for own in block.rooms
                if r.kind == "label" and own.kind in ("label", "symbol")
            ):
                return
            made.lengthen(1, forward)

    def _side_arrows(
        self, block: Block, group: list[tuple[Port, Join, bool]], x: int, y: int, side: str, below: bool
    ) -> None:
        """Arrows at a side: one straight on, several under each other. `below`: clear of a branch on that side."""
        if not group:
            return
        out = 1 if side == "right" else -1
        group = sorted(group, key=lambda g: g[0].y)
        ports = [port.y for port, _j, _b in group]
        first = max(ports) + _TEE if below else sum(ports) // len(ports) - _TEE * (len(group) - 1) // 2
        rows = ports if len(group) == 1 and not below else [first + _TEE * n for n in range(len(group))]
        levels = _levels(ports, rows, len({port.name for port, _j, _b in group}) == 1)
        low, high = min(*ports, *rows) - 2 + y, max(*ports, *rows) + 2 + y
        edge = max(max(port.x * out for port, _j, _b in group), block.reach(low, high, out) - x * out)
        for (port, join, _b), row, level in zip(group, rows, levels, strict=True):
            start = (port.x + x, port.y + y)
            if row == port.y and len(group) == 1:
                block.put(self.stub(join, side), *start)
                continue
            turn = (edge + _CLEAR + 2 * level) * out + x
            base = (edge + _CLEAR + 2 * max(levels)) * out + x
            way: tuple[Point, ...] = (start, (turn, start[1]), (turn, row + y))
            block.put(self.stub(join, side), base, row + y, way)

    def _beside(self, block: Block, port: Port, join: Join, x: int, y: int, forward: int, side: str) -> None:
        """A branch at a side: a control straight on, anything else up again beside the symbol."""
        start = (port.x + x, port.y + y)
        out = 1 if side == "right" else -1
        facing = self._facing(join, side)
        if facing is not None:
            self._push(block, facing, start, out, 0, ())
            return
        ahead = 1 if self.hangs(join) else -1
        if ahead != forward:
            block.pending.append(Pending((start,), self.branch(join, ahead), out))
            return
        self._push(block, self.branch(join, forward), start, out, 3, (start,))

    def _facing(self, join: Join, side: str) -> Block | None:
        """A piece with nothing further on it, straight beside: its terminal faces the other way."""
        if self.forest.children[join.piece] or self.forest.role(join.piece) in ("bus", "earth"):
            return None
        want = "left" if side == "right" else "right"
        for mirrored in (False, True):
            stance = Stance(self.seen(join.piece, 0, mirrored), 0, mirrored)
            port = stance.port(join.there)
            if port.side != want:
                continue
            out = 1 if side == "right" else -1
            block = Block()
            words = self.run_words(join.run)
            length = max(3, math.ceil((words.width + 2.5) / STEP)) if words.lines else 3
            at = (out * length, 0)
            px, py = at[0] - port.x, -port.y
            self._symbol(block, join.piece, stance, px, py, want)
            block.enter(Track(join.run, "whole", ((0, 0), at), join.forward))
            assert block.entry is not None
            self.label_run(block, block.entry)
            for other in self.stubs(join.piece):
                its = stance.port(other.here)
                start = (its.x + px, its.y + py)
                self._push(block, self.stub(other, its.side), start, 0, 0, ())
            return block
        return None

    def _push(self, block: Block, made: Block, start: Point, out: int, least: int, before: tuple[Point, ...]) -> None:
        """Set `made` to the side of `block`, as near as it fits. Not moved at all where `out` is 0."""
        block.simple = False
        far = 0
        if out and (least or before):  # else it begins at the terminal itself
            if out > 0:
                far = max(least, separation(block, made, start[1]) - start[0])
            else:
                far = max(least, separation(made, block.seen_from(start[1])) + start[0])
        block.put(made, start[0] + out * far, start[1], before)

    def _behind(self, block: Block, port: Port, join: Join, is_branch: bool, x: int, y: int, forward: int) -> None:
        """At a terminal that faces back: round the corner to the nearer side."""
        side = "right" if port.x + x >= 0 else "left"
        out = 1 if side == "right" else -1
        corner = (port.x + x, port.y + y - forward * (self._beyond_label(block, port.y + y, -forward) - 1))
        start = (port.x + x, port.y + y)
        if is_branch:
            ahead = 1 if self.hangs(join) else -1
            made = self.branch(join, ahead)
            if ahead != forward:
                block.pending.append(Pending((start, corner), made, out))
                return
            self._push(block, made, corner, out, 3, (start, corner))
            return
        block.put(self.stub(join, side), corner[0], corner[1], (start,))

    def _tee(
        self, block: Block, tee: Point, start: tuple[Point, ...], join: Join, is_branch: bool, forward: int
    ) -> None:
        """A second run at the terminal the block is joined on by: off to the right of the run that arrives."""
        block.add(Box(tee[0] + 0.3, tee[1] - 0.4, tee[0] + 2, tee[1] + 0.4), join.run, "way")
        if not is_branch:
            block.put(self.stub(join, "right"), tee[0], tee[1], start[:1])
            return
        ahead = 1 if self.hangs(join) else -1
        made = self.branch(join, ahead)
        if ahead != forward:
            block.pending.append(Pending((start[0], tee), made))
            return
        self._push(block, made, tee, 1, 3, start)

    def settle(self, block: Block, forward: int) -> None:
        """Set what grows the other way beside the finished column."""
        while block.pending:
            # what leaves nearest the bar stands nearest, so that what leaves further away passes outside it
            block.pending.sort(key=lambda p: abs(p.way[-1][1]))
            first = block.pending[0]
            x, y = first.way[-1]
            extent = first.block.box
            excess = math.ceil(2 - y - extent.top if forward > 0 else y + extent.bottom + 2)
            if excess > 0 and block.entry is not None:
                block.lengthen(excess, forward)
                continue
            block.pending.pop(0)
            block.simple = False
            self._push(block, first.block, (x, y), first.out, 3, first.way)


def _levels(ports: list[int], xs: list[int], one: bool) -> list[int]:
    """On which level each spreading run turns, so that none crosses another: the outermost nearest the symbol."""
    if one:
        return [0] * len(xs)
    left = [n for n, (p, at) in enumerate(zip(ports, xs, strict=True)) if at < p]
    right = [n for n, (p, at) in enumerate(zip(ports, xs, strict=True)) if at > p]
    levels = [0] * len(xs)
    for rank, n in enumerate(left):
        levels[n] = rank
    for rank, n in enumerate(reversed(right)):
        levels[n] = rank
    return levels
