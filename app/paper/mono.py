"""Pictures in black and grey: every ink has its own, told here, so that nothing depends on how a printer takes colours.

What colours tell is told by shapes and words as well: a finding by its circle and number, what is by others by its
dots and its words.
"""

from __future__ import annotations

from engine.picture import Ink, Picture, Primitive, Text

__all__ = ["MONO", "in_mono"]

MONO: dict[Ink, Ink] = {
    "black": "black",
    "red": "black",
    "blue": "black",
    "grey": "grey",
    "light": "light",
    "white": "white",
}


def in_mono(picture: Picture) -> Picture:
    """The picture without colours."""
    meaning = picture.meaning
    if meaning is not None:
        symbols = tuple(each._replace(strokes=_all(each.strokes)) for each in meaning.symbols)
        meaning = meaning._replace(symbols=symbols)
    photographs = tuple(each._replace(grey=True) for each in picture.photographs)
    return picture._replace(
        primitives=_all(picture.primitives), around=_all(picture.around), meaning=meaning, photographs=photographs
    )


def _all(primitives: tuple[Primitive, ...]) -> tuple[Primitive, ...]:
    return tuple(map(_one, primitives))


def _one(p: Primitive) -> Primitive:
    if isinstance(p, Text):
        return p if MONO[p.ink] == p.ink else p._replace(ink=MONO[p.ink])
    fill = None if p.fill is None else MONO[p.fill]
    return p if (MONO[p.ink], fill) == (p.ink, p.fill) else p._replace(ink=MONO[p.ink], fill=fill)
