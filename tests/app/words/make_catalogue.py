"""Translations kept in order: what is to be translated is read out of the program, `app/words/<language>/` follows.

    python tests/app/words/make_catalogue.py           # new ones go in untranslated, what is gone goes, .mo is made
    python tests/app/words/make_catalogue.py --check    # tells what is missing or stale, changes nothing

A language is a folder with one catalogue an area (`engine.po`, `rules.po`, ...), sorted, without places in the code, so
that a difference shows what a person changed; all are compiled into its `LC_MESSAGES/linewright.mo`.
"""

from __future__ import annotations

import argparse
import functools
import io
import string
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract_from_file
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

ROOT = Path(__file__).parents[3]
WORDS = ROOT / "app" / "words"
KEYWORDS = {"_": None, "N_": None, "ngettext": (1, 2)}
# areas in their order, with the paths that belong to each; a message belongs to the first that has it
AREAS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("actions", ("app/actions", "app/canvas")),
    ("window", ("app/window",)),
    ("drawing", ("app/drawing", "symbols")),
    ("handover", ("app/handover", "app/paper")),
    ("equipment", ("engine/equipment", "engine/installation", "engine/templates")),
    ("rules", ("engine/rules",)),
    ("engine", ("engine",)),
    ("commands", ("app",)),
)
TAIL = ("choices", "symbols", "pages", "books")  # what no `_()` names
_PLAIN = string.Formatter()
Key = str | tuple[str, str]


def in_code(paths: Iterable[str]) -> Iterator[Key]:
    """Messages that stand in the code, in its order."""
    for path in paths:
        for file in sorted((ROOT / path).rglob("*.py")):
            for _line, message, _comments, _context in extract_from_file("python", file, keywords=KEYWORDS):
                if isinstance(message, tuple):
                    yield message[0], message[1]
                elif message:
                    yield message


def choices() -> Iterator[str]:
    """Words that fields offer, and positions of switches."""
    from engine.equipment import kinds
    from engine.findings import WORDS
    from engine.installation import LONE, TABLES
    from engine.record import field_specs

    seen: set[object] = set()

    def of(cls: object) -> Iterator[str]:
        if cls in seen:
            return
        seen.add(cls)
        for spec in field_specs(cls):
            if spec.item is not None and spec.shape in ("records", "record"):
                yield from of(spec.item)
            for choice in spec.choices:
                if sum(c.isalpha() for c in choice) > 2 or " " in choice:
                    yield choice

    yield from WORDS
    for kind in kinds().values():
        yield from of(kind)
        yield from (p for p in kind().positions() if sum(c.isalpha() for c in p) > 1)
    for table in (*(cls for cls, _letter in TABLES.values()), *LONE.values()):
        if table.__name__ != "Equipment":
            yield from of(table)


def pages() -> Iterator[str]:
    """Docstrings that are shown: of rules and kinds; names of the examples of rules."""
    from engine.equipment import kinds
    from engine.rules import rules

    for rule in rules().values():
        yield rule.doc
        yield from (example.name for example in (*rule.good, *rule.bad))
    for kind in kinds().values():
        if kind.__doc__:
            yield " ".join(kind.__doc__.split())
        yield gloss(kind)


def gloss(kind: type) -> str:
    """What the list of equipment tells of a kind: the first paragraph of its file."""
    doc = (sys.modules[kind.__module__].__doc__ or "").strip()
    return " ".join(doc.split("\n\n")[0].replace("`", "").split())


def symbols() -> Iterator[str]:
    """Names of symbols and their variants."""
    import tomllib

    for file in sorted((ROOT / "symbols").rglob("*.toml")):
        yield tomllib.loads(file.read_text("utf-8")).get("name", "")


def books() -> Iterator[str]:
    """What books are called, whom they bind, values told in words."""
    from engine.books import book_names, load

    for name in book_names():
        book = load(name)
        yield from (book.title, book.binds_text, book.basis)
        yield from (book.ampacity.source, book.ampacity.bundle_source)
    yield from sorted(_citations())
    for section in _sections():
        for value in section.values():
            text = value.get("text", "") if isinstance(value, dict) else ""
            if sum(c.isalpha() for c in text) > 3 and " " in text:
                yield text


def _citations() -> set[str]:
    """Clauses and sources: which document, and whether it was read."""
    import tomllib

    found: set[str] = set()

    def walk(value: object, key: str = "") -> None:
        if isinstance(value, dict):
            for name, each in value.items():
                walk(each, name)
        elif isinstance(value, list):
            for each in value:
                walk(each, key)
        elif isinstance(value, str) and key in ("clause", "source", "bundle_source"):
            found.add(value)

    for file in (ROOT / "engine" / "books").rglob("*.toml"):
        walk(tomllib.loads(file.read_text("utf-8")))
    return found


def _sections() -> Iterator[dict[str, object]]:
    import tomllib

    for file in sorted((ROOT / "engine" / "books").glob("*.toml")):
        yield from tomllib.loads(file.read_text("utf-8")).get("rules", {}).values()


@functools.cache
def messages() -> dict[str, list[Key]]:
    """All messages by area."""
    made: dict[str, list[Key]] = {}
    known: set[str] = set()
    sources: list[tuple[str, Iterable[Key]]] = [(area, in_code(paths)) for area, paths in AREAS]
    sources += [(name, globals()[name]()) for name in TAIL]
    for area, keys in sources:
        for key in keys:
            one = key[0] if isinstance(key, tuple) else key
            if one and one not in known:
                known.add(one)
                made.setdefault(area, []).append(key)
            elif isinstance(key, tuple):  # known as a plain message: the plural form is wanted too
                for of in made.values():
                    if one in of:
                        of[of.index(one)] = key
    return {area: sorted(keys, key=lambda k: k[0] if isinstance(k, tuple) else k) for area, keys in made.items()}


def languages() -> list[str]:
    """Languages there are catalogues for."""
    return sorted(p.name for p in WORDS.iterdir() if p.is_dir() and any(p.glob("*.po")))


def read(language: str) -> dict[str, Message]:
    """Every translated message of a language by its (first) key."""
    found: dict[str, Message] = {}
    for file in sorted((WORDS / language).glob("*.po")):
        with file.open("rb") as stream:
            for message in read_po(stream, locale=language):
                if message.id:
                    found.setdefault(_one(message.id), message)
    return found


def _one(key: object) -> str:
    return str(key[0]) if isinstance(key, (tuple, list)) else str(key)


def catalogues(language: str) -> dict[str, bytes]:
    """What the files of a language should hold, by name: what is translated stays, what is gone goes."""
    have = read(language)
    made: dict[str, bytes] = {}
    whole = Catalog(locale=language, project="linewright", fuzzy=False)
    for area, keys in messages().items():
        catalog = Catalog(locale=language, project="linewright", charset="utf-8", fuzzy=False)
        for key in keys:
            old = have.get(_one(key))
            text = old.string if old is not None else ""
            if isinstance(key, tuple) != isinstance(text, (tuple, list)):
                text = (text, "") if isinstance(key, tuple) else (text[0] if text else "")
            catalog.add(key, text)
            if all(text) if isinstance(text, (tuple, list)) else text:
                whole.add(key, text)
        stream = io.BytesIO()
        write_po(stream, catalog, width=100, omit_header=True, sort_output=False)
        made[f"{area}.po"] = _HEAD.format(language=language).encode() + stream.getvalue()
    stream = io.BytesIO()
    whole.header_comment = ""
    write_mo(stream, _timeless(whole))
    made["LC_MESSAGES/linewright.mo"] = stream.getvalue()
    return made


_HEAD = """msgid ""
msgstr ""
"Language: {language}\\n"
"Content-Type: text/plain; charset=utf-8\\n"
"Plural-Forms: nplurals=2; plural=(n != 1);\\n"

"""


def _timeless(catalog: Catalog) -> Catalog:
    """The same without the day it was made on: same translations, same bytes."""
    import datetime

    catalog.creation_date = catalog.revision_date = datetime.datetime(2000, 1, 1, tzinfo=datetime.UTC)
    return catalog


def faults(language: str) -> list[str]:
    """What is not right with a language: untranslated, other names in braces, other marks at the ends."""
    told = []
    have = read(language)
    for keys in messages().values():
        for key in keys:
            message = have.get(_one(key))
            texts = () if message is None else message.string
            texts = texts if isinstance(texts, (tuple, list)) else (texts,)
            ids = key if isinstance(key, tuple) else (key,)
            if not texts or not all(texts) or len(texts) < len(ids):
                told.append(f"not translated: {_one(key)!r}")
                continue
            for own, text in zip(ids, texts, strict=False):
                told.extend(f"{why}: {_one(key)!r}" for why in _wrong(own, text))
    return told


def _wrong(key: str, text: str) -> Iterator[str]:
    if _fields(key) != _fields(text):
        yield f"other names in braces ({', '.join(sorted(_fields(text)))})"
    if key[:1].isspace() != text[:1].isspace() or key[-1:].isspace() != text[-1:].isspace():
        yield "other spaces at its ends"
    if key.count("\n") and "----" in key and text.count("---") < key.count("---"):
        yield "a heading lost its line"
    if (key.endswith("…")) != (text.endswith("…")):
        yield "the ellipsis differs"


def _fields(text: str) -> set[str]:
    try:
        found = [(name, form) for _text, name, form, _conversion in _PLAIN.parse(text) if name is not None]
    except ValueError:  # braces that are no fields
        return set()
    return {f"{name}:{form}" for name, form in found}


def main() -> int:
    """Write, or with --check tell."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--check", action="store_true")
    parser.add_argument("language", nargs="*", default=[])
    asked = parser.parse_args()
    code = 0
    for language in asked.language or languages():
        stale = [
            name
            for name, data in catalogues(language).items()
            if not (WORDS / language / name).exists() or (WORDS / language / name).read_bytes() != data
        ]
        if not asked.check:
            for name, data in catalogues(language).items():
                file = WORDS / language / name
                file.parent.mkdir(parents=True, exist_ok=True)
                file.write_bytes(data)
            for file in (WORDS / language).glob("*.po"):
                if file.stem not in (*(area for area, _paths in AREAS), *TAIL):
                    file.unlink()
            stale = []
        told = [*(f"stale: {name}" for name in stale), *faults(language)]
        for line in told[:40]:
            print(f"{language}: {line}")
        print(f"{language}: {len(told)} to do")
        code |= bool(told)
    return code


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    sys.exit(main())
