"""Geometry of an SVG that is read: transforms, numbers, path data. All in its own units; raises `SvgFault`."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple, TypeAlias

from engine.words import _

__all__ = [
    "LARGEST",
    "MOST_POINTS",
    "Matrix",
    "SvgFault",
    "circle_path",
    "number",
    "numbers",
    "path_of",
    "transform_of",
]

MOST_POINTS = 5_000  # of one path
LARGEST = 1e5  # number in the file
Segments: TypeAlias = list[list[Any]]
_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d{1,3})?")
_GAP = re.compile(r"[\s,]*")
_CALL = re.compile(r"\s*,?\s*([a-zA-Z]+)\s*\(([^()]*)\)")
_KAPPA = 4 / 3 * (math.sqrt(2) - 1)  # a quarter of a circle as a cubic curve
_COUNT = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "A": 7, "Z": 0}


class SvgFault(ValueError):
    """What is wrong with an element."""


class Matrix(NamedTuple):
    """x' = a x + c y + e, y' = b x + d y + f."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def then(self, inner: Matrix) -> Matrix:
        """`inner` first, then this one."""
        return Matrix(
            self.a * inner.a + self.c * inner.b,
            self.b * inner.a + self.d * inner.b,
            self.a * inner.c + self.c * inner.d,
            self.b * inner.c + self.d * inner.d,
            self.a * inner.e + self.c * inner.f + self.e,
            self.b * inner.e + self.d * inner.f + self.f,
        )

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Where a point comes to lie."""
        return self.a * x + self.c * y + self.e, self.b * x + self.d * y + self.f

    @property
    def scale(self) -> float:
        """How much longer things are."""
        return math.sqrt(abs(self.a * self.d - self.b * self.c))

    @property
    def is_upright(self) -> bool:
        """Neither turned nor mirrored nor stretched one way."""
        return self.a > 0 and math.isclose(self.a, self.d, rel_tol=1e-3) and abs(self.b) + abs(self.c) < 1e-3 * self.a


def number(key: str, text: str) -> float:
    """One number without a unit."""
    found = _NUMBER.fullmatch(text.strip())
    if found is None:
        raise SvgFault(_("{key}: expected a number, found {found!r}").format(key=key, found=text[:40]))
    return _sized(key, found.group())


def numbers(key: str, text: str) -> list[float]:
    """Numbers between spaces or commas."""
    made: list[float] = []
    at = 0
    while True:
        at = _GAP.match(text, at).end()  # type: ignore[union-attr]  # it always matches
        if at == len(text):
            return made
        found = _NUMBER.match(text, at)
        if found is None:
            raise SvgFault(_("{key}: expected a number, found {found!r}").format(key=key, found=text[at : at + 20]))
        made.append(_sized(key, found.group()))
        at = found.end()
        if len(made) > 2 * MOST_POINTS:
            raise SvgFault(_("{key}: more than {most} points").format(key=key, most=MOST_POINTS))


def _sized(key: str, text: str) -> float:
    value = float(text)
    if not math.isfinite(value) or abs(value) > LARGEST:
        raise SvgFault(_("{key}: {found} is beyond {most:g}").format(key=key, found=text[:40], most=LARGEST))
    return value


def transform_of(text: str) -> Matrix:
    """translate, scale and rotate, one after the other."""
    whole, at = Matrix(), 0
    while text[at:].strip(" \t\r\n,"):
        call = _CALL.match(text, at)
        if call is None:
            raise SvgFault(
                _("transform: expected translate, scale or rotate, found {found!r}").format(found=text[at : at + 40])
            )
        whole = whole.then(_one(call.group(1), numbers("transform", call.group(2))))
        at = call.end()
    return whole


def _one(name: str, v: Sequence[float]) -> Matrix:
    match name, len(v):
        case "translate", 1 | 2:
            return Matrix(e=v[0], f=v[1] if len(v) > 1 else 0.0)
        case "scale", 1 | 2:
            down = v[1] if len(v) > 1 else v[0]
            if not v[0] or not down:
                raise SvgFault(_("transform: a scale of 0 leaves nothing"))
            return Matrix(a=v[0], d=down)
        case "rotate", 1 | 3:
            angle = math.radians(v[0])
            turned = Matrix(math.cos(angle), math.sin(angle), -math.sin(angle), math.cos(angle))
            if len(v) == 1:
                return turned
            return Matrix(e=v[1], f=v[2]).then(turned).then(Matrix(e=-v[1], f=-v[2]))
    raise SvgFault(_("transform: expected translate, scale or rotate, found {found!r}").format(found=name))


def circle_path(x: float, y: float, across: float, down: float) -> Segments:
    """A whole ellipse as four curves."""
    kx, ky = across * _KAPPA, down * _KAPPA
    return [
        ["M", x + across, y],
        ["C", x + across, y + ky, x + kx, y + down, x, y + down],
        ["C", x - kx, y + down, x - across, y + ky, x - across, y],
        ["C", x - across, y - ky, x - kx, y - down, x, y - down],
        ["C", x + kx, y - down, x + across, y - ky, x + across, y],
        ["Z"],
    ]


def path_of(text: str) -> Segments:
    """Path data with M L H V C A Z, capital or small, as moves, lines, curves and closings in absolute places."""
    made: Segments = []
    x = y = start_x = start_y = 0.0
    for letter, v in _commands(text):
        big = letter.upper()
        if not made and big != "M":
            raise SvgFault(_("d: a path begins with M, found {found}").format(found=letter))
        dx, dy = (x, y) if letter.islower() else (0.0, 0.0)
        if big == "Z":
            made.append(["Z"])
            x, y = start_x, start_y
        elif big == "M":
            x, y = v[0] + dx, v[1] + dy
            start_x, start_y = x, y
            made.append(["M", x, y])
        elif big == "C":
            made.append(["C", v[0] + dx, v[1] + dy, v[2] + dx, v[3] + dy, v[4] + dx, v[5] + dy])
            x, y = v[4] + dx, v[5] + dy
        elif big == "A":
            end = (v[5] + dx, v[6] + dy)
            made.extend(_arc((x, y), v[0], v[1], v[2], bool(v[3]), bool(v[4]), end))
            x, y = end
        else:
            x = v[0] + dx if big != "V" else x
            y = v[-1] + dy if big != "H" else y
            made.append(["L", x, y])
        if abs(x) > LARGEST or abs(y) > LARGEST:
            raise SvgFault(_("d: it leads beyond {most:g}").format(most=LARGEST))
        if len(made) > MOST_POINTS:
            raise SvgFault(_("{key}: more than {most} points").format(key="d", most=MOST_POINTS))
    return made


def _commands(text: str) -> Iterator[tuple[str, list[float]]]:
    """Commands with their numbers; a letter that is followed by several sets counts for each (after M: L)."""
    at, letter = 0, ""
    while True:
        at = _GAP.match(text, at).end()  # type: ignore[union-attr]  # it always matches
        if at == len(text):
            return
        if text[at].isalpha():
            letter = text[at]
            at += 1
            if letter.upper() not in _COUNT:
                raise SvgFault(_("d: command {found} is not read; M L H V C A Z are").format(found=letter))
            if letter.upper() == "Z":
                yield letter, []
                letter = ""
                continue
        elif not letter:
            raise SvgFault(_("d: expected a command, found {found!r}").format(found=text[at : at + 20]))
        values: list[float] = []
        big = letter.upper()
        for place in range(_COUNT[big]):
            at = _GAP.match(text, at).end()  # type: ignore[union-attr]  # it always matches
            if big == "A" and place in (3, 4):  # flags may stand without a gap
                if text[at : at + 1] not in ("0", "1"):
                    raise SvgFault(_("d: a flag of A is 0 or 1, found {found!r}").format(found=text[at : at + 10]))
                values.append(float(text[at]))
                at += 1
                continue
            found = _NUMBER.match(text, at)
            if found is None:
                raise SvgFault(
                    _("d: {letter} takes {count} numbers, found {found!r}").format(
                        letter=letter, count=_COUNT[big], found=text[at : at + 20]
                    )
                )
            values.append(_sized("d", found.group()))
            at = found.end()
        yield letter, values
        letter = {"M": "L", "m": "l"}.get(letter, letter)


def _arc(
    start: tuple[float, float], rx: float, ry: float, turned: float, large: bool, sweep: bool, end: tuple[float, float]
) -> Segments:
    """An elliptical arc as curves of a quarter at most (SVG 1.1, F.6.5: from end points to centre)."""
    rx, ry = abs(rx), abs(ry)
    if start == end:
        return []
    if rx < 1e-9 or ry < 1e-9:
        return [["L", *end]]
    phi = math.radians(turned)
    cos, sin = math.cos(phi), math.sin(phi)
    half_x, half_y = (start[0] - end[0]) / 2, (start[1] - end[1]) / 2
    px, py = cos * half_x + sin * half_y, -sin * half_x + cos * half_y
    over = (px / rx) ** 2 + (py / ry) ** 2
    if over > 1:  # radii too small to reach: the least that do
        rx, ry = rx * math.sqrt(over), ry * math.sqrt(over)
    below = (rx * py) ** 2 + (ry * px) ** 2
    if not below or not math.isfinite(below):
        return [["L", *end]]
    factor = math.sqrt(max(0.0, ((rx * ry) ** 2 - below) / below)) * (-1 if large == sweep else 1)
    cx, cy = factor * rx * py / ry, -factor * ry * px / rx
    first = math.atan2((py - cy) / ry, (px - cx) / rx)
    reach = math.atan2((-py - cy) / ry, (-px - cx) / rx) - first
    if sweep and reach < 0:
        reach += 2 * math.pi
    elif not sweep and reach > 0:
        reach -= 2 * math.pi
    middle = (cos * cx - sin * cy + (start[0] + end[0]) / 2, sin * cx + cos * cy + (start[1] + end[1]) / 2)
    pieces = max(1, math.ceil(abs(reach) / (math.pi / 2) - 1e-9))
    step = reach / pieces
    k = 4 / 3 * math.tan(step / 4)

    def at(ux: float, uy: float) -> tuple[float, float]:
        return middle[0] + cos * rx * ux - sin * ry * uy, middle[1] + sin * rx * ux + cos * ry * uy

    made: Segments = []
    for n in range(pieces):
        a, b = first + n * step, first + (n + 1) * step
        one = at(math.cos(a) - k * math.sin(a), math.sin(a) + k * math.cos(a))
        two = at(math.cos(b) + k * math.sin(b), math.sin(b) - k * math.cos(b))
        last = end if n == pieces - 1 else at(math.cos(b), math.sin(b))
        made.append(["C", *one, *two, *last])
    return made
