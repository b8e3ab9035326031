"""What stands on sheets and what joins it: each side of a converter is a piece of its own, as DC and AC never meet."""

from __future__ import annotations

from typing import Literal, NamedTuple

from engine.equipment.base import Equipment
from engine.installation import End, Snapshot

__all__ = ["KINDS", "Edge", "Family", "Join", "Kind", "Piece", "Pieces", "take_apart"]

Family = Literal["dc", "ac"]
Kind = Literal["power", "return", "earth", "signal"]
KINDS: dict[str, Kind] = {
    "dc pair": "power",
    "dc positive": "power",
    "ac": "power",
    "dc negative": "return",
    "earth": "earth",
    "bonding": "earth",
    "signal": "signal",
}
_HUB = 3  # from so many earth runs up a bus or point is a hub that bonded equipment is shown around


class Piece(NamedTuple):
    """Equipment, or the side of it that belongs to a sheet of one family. `terminals` are those it shows."""

    key: str
    equipment: str
    family: Family
    terminals: tuple[str, ...]
    role: str
    earth_only: bool = False


class Join(NamedTuple):
    """One end of a run as a piece sees it: the terminal here, the piece and terminal there."""

    run: str
    kind: Kind
    here: str
    piece: str
    there: str
    forward: bool  # the run's `from` end is here


class Edge(NamedTuple):
    """A run between two pieces."""

    run: str
    kind: Kind
    a: str
    at_a: str
    b: str
    at_b: str


class Pieces(NamedTuple):
    """All pieces and runs of an installation, in the order of their ids."""

    pieces: dict[str, Piece]
    edges: dict[str, Edge]
    joins: dict[str, list[Join]]
    at: dict[tuple[str, str], str]  # (equipment, terminal) -> piece

    def records(self, snapshot: Snapshot, key: str) -> Equipment:
        """The equipment a piece shows."""
        return snapshot.equipment[self.pieces[key].equipment]


def take_apart(snapshot: Snapshot) -> Pieces:
    """Equipment split where DC and AC meet in it, and where its earth belongs to the bonding system."""
    arrivals: dict[str, dict[str, list[str]]] = {}
    for item, run in snapshot.runs.items():
        for end in (run.from_end, run.to_end):
            arrivals.setdefault(end.equipment, {}).setdefault(end.terminal, []).append(item)
    hubs = _hubs(snapshot, arrivals)
    pieces: dict[str, Piece] = {}
    at: dict[tuple[str, str], str] = {}
    for item, record in snapshot.equipment.items():
        for piece in _split(snapshot, item, record, arrivals.get(item, {}), hubs):
            pieces[piece.key] = piece
            for name in piece.terminals:
                at[item, name] = piece.key
    edges: dict[str, Edge] = {}
    joins: dict[str, list[Join]] = {key: [] for key in pieces}
    for item, run in snapshot.runs.items():
        a, b = _piece_at(at, pieces, run.from_end), _piece_at(at, pieces, run.to_end)
        kind = KINDS[run.function]
        edges[item] = Edge(item, kind, a, run.from_end.terminal, b, run.to_end.terminal)
        joins[a].append(Join(item, kind, run.from_end.terminal, b, run.to_end.terminal, True))
        joins[b].append(Join(item, kind, run.to_end.terminal, a, run.from_end.terminal, False))
    return Pieces(pieces, edges, joins, at)


def _piece_at(at: dict[tuple[str, str], str], pieces: dict[str, Piece], end: End) -> str:
    found = at.get((end.equipment, end.terminal))
    return found if found is not None else next(k for k, p in pieces.items() if p.equipment == end.equipment)


def _hubs(snapshot: Snapshot, arrivals: dict[str, dict[str, list[str]]]) -> frozenset[str]:
    """Equipment around which a bonding drawing can be made: where earth runs, and nothing else, come together."""
    found = []
    for item, record in snapshot.equipment.items():
        runs = [run for here in arrivals.get(item, {}).values() for run in here]
        if record.ROLE not in ("bus", "junction", "earth") or len(runs) < _HUB:
            continue
        if all(KINDS[snapshot.runs[run].function] in ("earth", "return") for run in runs):
            earths = sum(KINDS[snapshot.runs[run].function] == "earth" for run in runs)
            if earths >= _HUB:
                found.append(item)
    return frozenset(found)


def _split(
    snapshot: Snapshot, item: str, record: Equipment, here: dict[str, list[str]], hubs: frozenset[str]
) -> list[Piece]:
    names = [t.name for t in record.terminals()]
    names += sorted(set(here) - set(names))
    if not names:
        return [Piece(item, item, "dc", (), record.ROLE)]
    carries = {t.name: t.conductors for t in record.terminals()}
    family: dict[str, str] = {}
    bonded: list[str] = []
    for name in names:
        functions = [snapshot.runs[run].function for run in here.get(name, ())]
        kinds = [KINDS[f] for f in functions]
        if "ac" in functions:
            family[name] = "ac"
        elif "power" in kinds or "return" in kinds:
            family[name] = "dc"
        elif kinds and set(kinds) == {"earth"} and set(carries.get(name, ())) == {"PE"}:
            far = [snapshot.runs[run] for run in here[name]]
            ends = {end.equipment for run in far for end in (run.from_end, run.to_end)} - {item}
            if ends & hubs:
                bonded.append(name)
    present = set(family.values())
    if not present:
        only: Family = "ac" if _made_for_ac(record) else "dc"
        return [Piece(item, item, only, tuple(names), record.ROLE, bool(bonded))]
    main: Family = "dc" if "dc" in present else "ac"
    groups: dict[str, list[str]] = {"dc": [], "ac": [], "earth": []}
    for name in names:
        if name in bonded:
            groups["earth"].append(name)
        elif name in family:
            groups[family[name]].append(name)
        elif len(present) == 2 and set(carries.get(name, ())) & {"L1", "N", "PE"} and "+" not in carries.get(name, ()):
            groups["ac"].append(name)
        else:
            groups[main].append(name)
    made = []
    for group, of in groups.items():
        if of:
            where: Family = "ac" if group == "ac" else "dc"
            key = item if group == main else f"{item}/{group}"
            made.append(Piece(key, item, where, tuple(of), record.ROLE, group == "earth"))
    return made


def _made_for_ac(record: Equipment) -> bool:
    """Whether a piece without power runs is AC equipment."""
    systems = [record.nominal_volts(t.name) for t in record.terminals()]
    told = {s[0] for s in systems if s is not None}
    return told == {"ac"}
