"""Any text at all, in forms that other programs read."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET

import pytest
from ezdxf import recover
from hypothesis import given, settings
from hypothesis import strategies as st

from app.paper.dxf import dxf_bytes
from app.paper.svg import svg_bytes
from engine.meaning import Meaning, Symbol, Thing
from engine.picture import Picture, Text, circle

pytestmark = pytest.mark.long

WORDS = st.one_of(
    st.text(max_size=40),
    st.text(st.characters(categories=["Cs", "Cc", "Cf", "Cn", "Zl", "Zp", "Zs"]), max_size=12),
    st.text("%^\\U+0123abc{}<>&;]'\" ", max_size=30),
)


@given(WORDS, WORDS)
@settings(max_examples=300)
def test_a_reader_finds_nothing_to_mend(text: str, other: str) -> None:
    stroke = circle(9, 9, 3, owner="e1")
    meaning = Meaning(0, (Thing("e1", "equipment", "dc", text, other),), (Symbol("e1", other, 9, 9, (stroke,)),))
    made = Picture(99, 80, (stroke, Text(5, 20, text, link=other)), other, ((other, 1.0, 1.0),), meaning=meaning)
    document, found = recover.read(io.BytesIO(dxf_bytes(made)))
    assert (found.errors, found.fixes) == ([], [])
    assert len(document.modelspace().query("INSERT")) == 1
    root = ET.fromstring(svg_bytes(made))
    assert root.tag.endswith("svg")
    if text.isprintable():
        assert "".join(t.text or "" for t in root.iter("{http://www.w3.org/2000/svg}text")) == text
