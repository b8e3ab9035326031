"""What a person would fit or lead otherwise, as fixes: a device, a conductor, a device put into a run, an interlock.

Whatever is fitted anew has the status *new* where it was *existing*; what named the old article (maker, part number,
price, where the value comes from) goes with it. A device that is moved, a cover or an interlock changes no article.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

import msgspec

from engine.edits import Edit, Put, Several
from engine.edits.designations import for_kind, next_designation
from engine.edits.draft import Draft, highest_id
from engine.equipment import kind_named
from engine.equipment.base import LIVE, Equipment
from engine.fixes import Fix
from engine.fixing.trial import ARTICLE
from engine.installation.model import Snapshot
from engine.installation.records import End, Held, Interlock, Passage, Run
from engine.sizing.basis import index_of, offered
from engine.study import Study
from engine.units import number, show, show_size
from engine.words import _

__all__ = [
    "fitted",
    "in_run",
    "interlocked",
    "larger_runs",
    "of_rating",
    "ratings_down",
    "ratings_up",
    "refitted",
    "resized",
    "run_in",
    "together",
]

LEADS = (0.1, 0.05, 0.02)  # m of conductor before a device that is put into a run: as near as it goes


def refitted(record: Any, **fields: Any) -> Any:
    """Equipment or a run as another article of its kind, with other `fields`."""
    changes: dict[str, Any] = {name: value for name, value in ARTICLE.items() if hasattr(record, name)}
    if record.status == "existing":
        changes["status"] = "new"
    names = {*changes, *fields}
    origins = tuple((field, origin) for field, origin in record.origins if field.split(".")[0] not in names)
    return msgspec.structs.replace(record, **(changes | fields), origins=origins)


def fitted(text: str, study: Study, item: str, **fields: Any) -> Fix:
    """Equipment in place of what is there: of the same kind, with other figures."""
    return Fix(text, Put("equipment", item, refitted(study.snapshot.equipment[item], **fields), words=text))


# -- devices ------------------------------------------------------------------------------------------------------
def ratings_down(study: Study, most: float) -> Iterator[float]:
    """Standard ratings of the book up to `most`, the largest first."""
    for rating in sorted(study.book.standard_ratings_a, reverse=True):
        if rating <= most * (1 + 1e-9):
            yield float(rating)


def ratings_up(study: Study, least: float) -> Iterator[float]:
    """Standard ratings of the book from `least`, the smallest first."""
    for rating in sorted(study.book.standard_ratings_a):
        if rating >= least * (1 - 1e-9):
            yield float(rating)


def of_rating(study: Study, item: str, ratings: Iterable[float]) -> Iterator[Fix]:
    """A device of another rating, of the same class; nothing for what has no rating to choose."""
    record = study.snapshot.equipment.get(item)
    trip = None if record is None else record.trip()
    if record is None or trip is None or getattr(record, trip.rating_field, None) is None:
        return
    for rating in ratings:
        if rating == trip.rating_a:
            continue
        fields: dict[str, Any] = {trip.rating_field: rating}
        if hasattr(record, "let_through_a2s"):
            fields["let_through_a2s"] = None  # that of the other link
        text = _("fit {device} as {amps}").format(device=study.name(item), amps=show(rating, "A", digits=6))
        yield fitted(text, study, item, **fields)


# -- conductors ---------------------------------------------------------------------------------------------------
def larger(run: Run) -> tuple[str, ...]:
    """Sizes of the run's own series above its own, the smallest first; none where its size is not recorded."""
    if not run.size:
        return ()
    sizes = offered(run.size.split()[-1])
    place = index_of(run.size, sizes)
    if place is None or place >= len(sizes):
        return ()
    return sizes[place + 1 :] if sizes[place] == run.size else sizes[place:]


def resized(snapshot: Snapshot, item: str, size: str) -> Run:
    """The run in another size."""
    made: Run = refitted(snapshot.runs[item], size=size)
    return made


def run_in(study: Study, item: str) -> Iterator[Fix]:
    """A run in each larger size, the smallest first."""
    run = study.snapshot.runs.get(item)
    for size in larger(run) if run is not None else ():
        text = _("run {run} in {size}").format(run=study.name(item), size=show_size(size))
        yield Fix(text, Put("runs", item, resized(study.snapshot, item, size), words=text))


def larger_runs(study: Study, items: Iterable[str]) -> Iterator[Fix]:
    """Several runs together, each so many sizes larger, the least first."""
    ladders = {item: sizes for item in items if (sizes := larger(study.snapshot.runs[item]))}
    if len(ladders) < 2:
        return
    for step in range(max(len(sizes) for sizes in ladders.values())):
        chosen = {item: sizes[min(step, len(sizes) - 1)] for item, sizes in ladders.items()}
        text = "; ".join(
            _("run {run} in {size}").format(run=study.name(item), size=show_size(size)) for item, size in chosen.items()
        )
        puts = tuple(Put("runs", i, resized(study.snapshot, i, size), words=text) for i, size in chosen.items())
        yield Fix(text, Several(puts, text))


def together(fixes: Iterable[Fix]) -> Fix:
    """Several as one."""
    made = tuple(fixes)
    text = "; ".join(fix.text for fix in made)
    return Fix(text, Several(tuple(fix.edit for fix in made), text))


# -- into a run ---------------------------------------------------------------------------------------------------
def device_for(snapshot: Snapshot, run: Run, rating: float, conductors: tuple[str, ...] = ()) -> Equipment:
    """A protective device for a run: a fuse in direct current, a breaker of all its poles in alternating current.

    Its class and what it breaks stay to be chosen.
    """
    kind = "circuit_breaker" if run.is_ac() else "fuse"
    cls: Any = kind_named(kind)
    live = conductors or tuple(c for c in run.conductors() if c in LIVE)
    neutral = ("N",) if "N" in run.conductors() else ()
    facts: dict[str, Any] = {"poles": (*live, *neutral)} if run.is_ac() else {}
    if neutral and facts:
        facts["untripped"] = neutral
    made: Equipment = cls(designation=for_kind(snapshot, kind), rating_a=rating, status="new", **facts)
    return made


def in_run(study: Study, item: str, end: str, record: Equipment, text: str) -> Iterator[Fix]:
    """Equipment put into a run, as near to its `end` ("from" or "to") as it goes.

    The run keeps its designation from there on; the short piece before it is a run of its own. `text` may name
    `{device}`, `{run}`, `{at}`.
    """
    snapshot = study.snapshot
    old = snapshot.runs[item]
    here = old.from_end if end == "from" else old.to_end
    at = snapshot.equipment[here.equipment]
    said = text.format(device=record.designation, run=study.name(item), at=study.name(here.equipment))
    for lead in LEADS:
        near = lead if old.length_m is None else min(lead, old.length_m / 2)
        draft = Draft(snapshot, highest_id(snapshot))
        placed = msgspec.structs.replace(record, place=at.place)
        device = draft.add("equipment", placed)
        line, load = End(equipment=device, terminal="in"), End(equipment=device, terminal="out")
        short = msgspec.structs.replace(
            old,
            designation=next_designation(draft.snapshot(), "W") if old.designation else "",
            **({"from_end": here, "to_end": line} if end == "from" else {"from_end": line, "to_end": here}),
            length_m=near,
            places=_beside(old, end),
            status="new" if old.status == "existing" else old.status,
            origins=_without(old, "length_m", "places", "to_end", "to", "from", "from_end", "designation"),
        )
        rest = msgspec.structs.replace(
            old,
            **{f"{end}_end": load},
            length_m=None if old.length_m is None else old.length_m - near,
            origins=_without(old, "length_m", end, f"{end}_end"),
        )
        draft.put("runs", item, rest)
        draft.add("runs", short)
        for route, record_of in snapshot.routes.items():
            if record_of.run == item:
                draft.put("routes", route, None)  # its way was another's
        yield Fix(said, draft.done(said))


def _beside(run: Run, end: str) -> tuple[Passage, ...]:
    """The place that an end of a run stands in."""
    nearest = run.places[:1] if end == "from" else run.places[-1:]
    return tuple(msgspec.structs.replace(place, length_m=None, unsheathed_m=None) for place in nearest)


def _without(run: Run, *fields: str) -> tuple[tuple[str, Any], ...]:
    return tuple((field, origin) for field, origin in run.origins if field.split(".")[0] not in fields)


# -- interlocks ---------------------------------------------------------------------------------------------------
def interlocked(study: Study, held: Iterable[tuple[str, tuple[str, ...]]]) -> Iterator[Fix]:
    """An interlock by which not all of these stand so at once; nothing for fewer than two.

    Where they are drawn so, the last that can stand otherwise is drawn otherwise: the drawing must keep its own lock.
    """
    devices = tuple(Held(equipment=item, positions=tuple(positions)) for item, positions in held)
    if len(devices) < 2:
        return
    names = [study.name(one.equipment) for one in devices]
    text = _("fit an interlock: at most {count} of {names}").format(
        names=", ".join(
            f"{name} {' / '.join(_(p) for p in one.positions)}" for name, one in zip(names, devices, strict=True)
        ),
        count=number(len(devices) - 1),
    )
    draft = Draft(study.snapshot, highest_id(study.snapshot))
    draft.add("interlocks", Interlock(name="", at_most=len(devices) - 1, held=devices))
    equipment = study.snapshot.equipment
    if all(equipment[one.equipment].drawn_position() in one.positions for one in devices):
        for one in reversed(devices):
            free = [p for p in equipment[one.equipment].positions() if p not in one.positions]
            if free:
                draft.change("equipment", one.equipment, in_position=free[0])
                text += _("; draw {device} {position}").format(device=study.name(one.equipment), position=_(free[0]))
                break
    yield Fix(text, draft.done(text))


def renumbered(edit: Edit, snapshot: Snapshot, last_id: int) -> Edit:
    """The same edit where what it makes anew has ids above `last_id`: ids are made once and never used again."""
    from engine.edits.rewriting import rewritten
    from engine.installation.model import TABLES

    puts = list(_flat(edit))
    fresh = [
        (put.table, put.id)
        for put in puts
        if isinstance(put, Put) and put.table in TABLES and put.id not in snapshot.tables[put.table]
    ]
    if not fresh or last_id <= highest_id(snapshot):
        return edit
    names = {key: f"{TABLES[key[0]][1]}{last_id + n}" for n, key in enumerate(dict.fromkeys(fresh), start=1)}

    def named(table: str, item: str) -> str:
        return names.get((table, item), item)

    made = tuple(
        Put(
            put.table, named(put.table, put.id), None if put.record is None else rewritten(put.record, named), put.words
        )
        if isinstance(put, Put)
        else put
        for put in puts
    )
    return Several(made, edit.words)


def _flat(edit: Edit) -> Iterator[Any]:
    if isinstance(edit, Several):
        for one in edit.edits:
            yield from _flat(one)
    else:
        yield edit
