"""The SVG, read back as XML."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest

from app.paper.svg import svg_bytes, svg_set
from engine.picture import Box, Path, Picture, Text, circle, line, polyline, rectangle, text_width

SVG = "{http://www.w3.org/2000/svg}"
LINK = "{http://www.w3.org/1999/xlink}href"


def read(picture: Picture, **rest: dict[str, str]) -> ET.Element:
    return ET.fromstring(svg_bytes(picture, **rest))


def page(*primitives: Path | Text, title: str = "sheet") -> Picture:
    return Picture(420.0, 297.0, primitives, title)


def words(root: ET.Element) -> list[str]:
    return [each.text or "" for each in root.iter(f"{SVG}text")]


def test_true_size_in_millimetres() -> None:
    # ISO 216:2007: A3 is 297 x 420 mm
    root = read(page())
    assert (root.get("width"), root.get("height")) == ("420mm", "297mm")
    assert root.get("viewBox") == "0 0 42000 29700"  # a user unit is a hundredth of a millimetre
    assert read(Picture(279.4, 215.9)).get("width") == "279.4mm"


def test_cap_join_and_dash_stand_on_every_stroke() -> None:
    drawn = page(
        line(10, 10, 50, 10, 0.35, dash="chain"),
        polyline(((0, 0), (10, 10), (20, 0)), 0.7, "red", cap="square", join="bevel"),
        rectangle(1, 1, 2, 2, 0.0, fill="grey"),
        circle(5, 5, 1, 0.25, fill="white"),
    )
    paths = [p for p in read(drawn).iter(f"{SVG}path") if p.get("stroke-width")]
    first, second, third = paths
    assert first.get("stroke-dasharray") == "600 150 80 150"  # 6, 1.5, 0.8, 1.5 mm
    assert (first.get("stroke-linecap"), first.get("stroke-linejoin")) == ("butt", "miter")
    assert (second.get("stroke"), second.get("stroke-width")) == ("#aa1414", "70")
    assert (second.get("stroke-linecap"), second.get("stroke-linejoin")) == ("square", "bevel")
    assert second.get("stroke-dasharray") == "none"
    assert third.get("fill") == "#ffffff"
    area = next(p for p in read(drawn).iter(f"{SVG}path") if p.get("fill") == "#6e6e6e")
    assert area.get("stroke") == "none"


def test_letters_are_outlines_of_which_each_is_held_once() -> None:
    root = read(page(Text(10, 20, "AVAVAV"), Text(10, 30, "AV", bold=True)))
    outlines = [p for p in root.iter(f"{SVG}path") if p.get("id")]
    assert len(outlines) == 4  # A and V of either weight
    assert all(p.get("d") for p in outlines)
    used = [u.get(LINK) for u in root.iter(f"{SVG}use")]
    assert len(used) == 8
    assert set(used) == {f"#{p.get('id')}" for p in outlines}


def test_letters_stand_as_the_engine_measures() -> None:
    root = read(page(Text(100, 20, "AVAM", 3.5, "end")))
    group = next(g for g in root.iter(f"{SVG}g") if "translate(10000 2000)" in (g.get("transform") or ""))
    letters = next(group.iter(f"{SVG}g"))
    scale = float(re.search(r"scale\(([\d.]+)", ET.tostring(letters, "unicode"))[1]) / 100  # type: ignore[index]  # mm
    xs = [float(u.get("x", "nan")) * scale for u in group.iter(f"{SVG}use")]
    before = [text_width("AVAM"[:n], 3.5) for n in range(4)]
    assert xs == pytest.approx([b - text_width("AVAM", 3.5) for b in before], abs=0.005)


def test_every_line_of_type_is_there_as_text_that_is_not_painted() -> None:
    told = 'F3 & F4 <b>25,6 V</b> "2 × 35 mm²" é \' Ω'
    root = read(page(Text(30, 60, told, 3.5)))
    (text,) = root.iter(f"{SVG}text")
    assert text.text == told
    assert (text.get("fill"), text.get("stroke")) == ("none", "none")
    assert float(text.get("textLength", "0")) == pytest.approx(text_width(told, 3.5) * 100, abs=0.1)


@pytest.mark.parametrize(
    "told",
    [
        "<script>alert(1)</script>",
        "]]>&amp;<!--",
        "a\x00b\x07c\ud800\ufffe\uffff\n\r",
        "العربية 🙂 日本",
        "\u202eabc",
        "",
        "e" * 5000,
    ],
)
def test_whatever_a_person_typed_is_text_and_the_file_is_read(told: str) -> None:
    root = read(Picture(200, 100, (Text(10, 10, told, link=told),), told, ((told, 1.0, 2.0),)))
    assert not list(root.iter(f"{SVG}script"))
    title = root.find(f"{SVG}title")
    assert title is not None
    if told.isprintable():
        assert (title.text or "") == told
        assert words(root) == ([told] if told else [])


def test_what_the_font_lacks_is_a_box_as_in_the_pdf() -> None:
    root = read(page(Text(10, 20, "a☃b")))
    assert len([p for p in root.iter(f"{SVG}path") if p.get("stroke-width")]) == 1
    assert len(list(root.iter(f"{SVG}use"))) == 2
    assert words(root) == ["a☃b"]


def test_links_lead_to_places_here_and_in_the_files_beside() -> None:
    first = Picture(
        200,
        100,
        (Text(1, 9, "here", link="W1:from"), Text(1, 19, "there", link="W1:to"), Text(1, 29, "nowhere", link="gone")),
        "1",
        (("W1:from", 5.0, 6.0),),
    )
    second = Picture(200, 100, (Text(1, 9, "back", link="W1:from"),), "2", (("W1:to", 7.0, 8.0),))
    one, two = (ET.fromstring(data) for data in svg_set((first, second), ("ketch é-01.svg", "ketch é-02.svg")))
    here, there = [a.get(LINK) or "" for a in one.iter(f"{SVG}a")]
    assert here.startswith("#")
    assert there.startswith("ketch%20%C3%A9-02.svg#")
    ids = {g.get("id") for g in one.iter(f"{SVG}g")}, {g.get("id") for g in two.iter(f"{SVG}g")}
    assert here[1:] in ids[0]
    assert there.partition("#")[2] in ids[1]
    assert words(one) == ["here", "there", "nowhere"]
    assert (next(two.iter(f"{SVG}a")).get(LINK) or "").startswith("ketch%20%C3%A9-01.svg#")


def test_a_clip_and_what_stands_around_it() -> None:
    root = read(page(line(0, 0, 420, 0))._replace(clip=Box(10, 10, 100, 90), around=(Text(10, 120, "row 1"),)))
    (clip,) = root.iter(f"{SVG}clipPath")
    assert clip[0].get("d") == "M1000 1000H10000V9000H1000Z"
    clipped = next(g for g in root.iter(f"{SVG}g") if g.get("clip-path"))
    assert not list(clipped.iter(f"{SVG}text"))
    assert words(root) == ["row 1"]


def test_film_is_mirrored_as_a_whole() -> None:
    root = read(page(Text(10, 20, "F3"))._replace(mirrored=True))
    assert any(g.get("transform") == "matrix(-1 0 0 1 42000 0)" for g in root.iter(f"{SVG}g"))


def test_same_picture_same_bytes() -> None:
    made = page(Text(10, 20, "F3 Windlass"), circle(1, 2, 3))
    assert svg_bytes(made) == svg_bytes(made)
