"""Pictures of sheets as messages between the window and the study process, and of messages. No Qt.

Of a picture only the owners that differ from what was sent before are told, in lots of `STROKES` primitives.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

import msgspec

from app.judgement import Layer, SheetPicture
from app.worker_messages import Drawn, Laid
from engine.picture import Box, Path, Primitive, Text

__all__ = ["STROKES", "drawn_parts", "laid", "layer_of", "merged", "primitives_of"]

STROKES = 500  # primitives in one message


def drawn_parts(picture: SheetPicture, before: Mapping[str, tuple[Primitive, ...]] | None) -> Iterator[Drawn]:
    """A picture as messages: of the owners only those that differ from `before`, all where that is `None`."""
    changed = [
        (owner, primitives)
        for owner, primitives in picture.of.items()
        if before is None or before.get(owner) != primitives
    ]
    lots = list(_lots(changed))
    for left, lot in zip(range(len(lots) - 1, -1, -1), lots, strict=True):
        made = Drawn(picture.at, picture.sheet, *_sorted(lot), left)
        if not left:
            made = msgspec.structs.replace(
                made,
                width=picture.width,
                height=picture.height,
                order=tuple(picture.of),
                note_boxes={number: tuple(box) for number, box in picture.note_boxes.items()},
                whole=before is None,
            )
        yield made


def _sorted(
    lot: Iterable[tuple[str, tuple[Primitive, ...]]],
) -> tuple[dict[str, str], tuple[Any, ...], tuple[Any, ...]]:
    """Letters by owner, paths, texts."""
    paths: list[Any] = []
    texts: list[Any] = []
    of: dict[str, str] = {}
    for owner, primitives in lot:
        letters = ""
        for primitive in primitives:
            is_text = isinstance(primitive, Text)
            (texts if is_text else paths).append(primitive)
            letters += "t" if is_text else "p"
        of[owner] = letters
    return of, tuple(paths), tuple(texts)


def _lots(
    changed: Iterable[tuple[str, tuple[Primitive, ...]]],
) -> Iterator[list[tuple[str, tuple[Primitive, ...]]]]:
    """Owners in lots; at least one lot, and an owner is never parted."""
    lot: list[tuple[str, tuple[Primitive, ...]]] = []
    count = 0
    for owner, primitives in changed:
        if lot and count + len(primitives) > STROKES:
            yield lot
            lot, count = [], 0
        lot.append((owner, primitives))
        count += len(primitives)
    yield lot


def laid(layer: Layer) -> Laid:
    """A layer as a message."""
    return Laid(layer.at, layer.sheet, layer.condition, layer.what, *_sorted(layer.of.items()), layer.unplaced)


def layer_of(message: Laid) -> Layer:
    """The layer of its message. Raises `ValueError` where it tells of others than it holds."""
    m = message
    return Layer(m.at, m.sheet, m.condition, m.what, primitives_of(m), m.unplaced)


def primitives_of(drawn: Drawn | Laid) -> dict[str, tuple[Primitive, ...]]:
    """The primitives of one message by owner. Raises `ValueError` where it tells of others than it holds."""
    every = "".join(drawn.of.values())
    if every.count("p") != len(drawn.paths) or len(every) != len(drawn.paths) + len(drawn.texts):
        raise ValueError(f"the picture of {drawn.sheet} is not what it says")
    paths, texts = iter(drawn.paths), iter(drawn.texts)
    made: dict[str, tuple[Primitive, ...]] = {}
    for owner, letters in drawn.of.items():
        made[owner] = tuple(Path._make(next(paths)) if letter == "p" else Text._make(next(texts)) for letter in letters)
    return made


def merged(parts: Sequence[Drawn], before: SheetPicture | None) -> SheetPicture:
    """The picture after the messages `parts`, the last of them the closing one, where `before` was shown.

    Raises `ValueError` where they speak of what was never sent.
    """
    last = parts[-1]
    known: dict[str, tuple[Primitive, ...]] = {} if last.whole or before is None else dict(before.of)
    for part in parts:
        known.update(primitives_of(part))
    try:
        of = {owner: known[owner] for owner in last.order}
    except KeyError as owner:
        raise ValueError(f"the picture of {last.sheet} lacks {owner}") from None
    boxes = {number: Box(*box) for number, box in last.note_boxes.items()}
    return SheetPicture(last.sheet, last.at, last.width, last.height, of, boxes)
