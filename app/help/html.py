"""The page of a rule as rich text for the window: names of rules are links, every word is escaped."""

from __future__ import annotations

import html
import re
from collections.abc import Collection, Sequence

from app.help.examples import Shown, Told
from app.help.page import LINK, STRESSED, Block, BookSays, RulePage, family_title
from app.text_report import WORD_NAMES
from engine.words import _

__all__ = ["page_html", "picture_name"]

_CODE = re.compile(r"`+([^`]+)`+")
_NAMES = re.compile(r"(?<![\w-])[a-z]+(?:-[a-z]+)+(?![\w-])")  # "overloaded" is a word of the language too


def picture_name(number: int) -> str:
    """What the picture of an example is called in the text."""
    return f"example {number}"


def page_html(
    page: RulePage, known: Collection[str], shown: Sequence[Shown] = (), sizes: Sequence[tuple[int, int]] = (),
    waiting: str = "",
) -> str:  # fmt: skip
    """The whole page. `known`: rules that links lead to; `sizes`: of the pictures, px; `waiting`: in their place."""
    parts = [
        f"<h2>{html.escape(page.slug)}</h2>",
        f"<p><b>{html.escape(f'{_(WORD_NAMES[page.word])}: {page.title}.')}</b> "
        f"{html.escape(family_title(page.family))}.</p>",
    ]
    others = set(known) - {page.slug}
    if page.looks_at:
        parts.append(f"<p>{html.escape(_('Looks at: {what}.').format(what=page.looks_at))}</p>")
    for section in page.sections:
        if section.heading:
            parts.append(_heading(section.heading))
        parts.extend(_block(block, others) for block in section.blocks)
    parts.append(_heading(_("Examples")))
    if waiting:
        parts.append(f"<p>{html.escape(waiting)}</p>")
    for n, each in enumerate(shown):
        size = sizes[n] if n < len(sizes) else (0, 0)
        parts.append(_example(each, n, size))
    parts.append(_names(page, bool(shown)))
    parts.append(_heading(_("Limits in the books")))
    parts.extend(_book(book) for book in page.books)
    parts.append(_heading(_("Edits offered")))
    parts.append(f"<p>{html.escape(page.edits())}</p>")
    return "".join(parts)


def _heading(text: str) -> str:
    return f"<h3>{html.escape(text)}</h3>"


def _inline(text: str, others: Collection[str]) -> str:
    """Names of fields as code, stress as italics, names of rules as links."""
    made = html.escape(text, quote=False)
    made = _CODE.sub(r"<code>\1</code>", made)
    made = STRESSED.sub(r"<i>\1</i>", made)

    def linked(found: re.Match[str]) -> str:
        slug = found[0]
        return f'<a href="{LINK}{slug}">{slug}</a>' if slug in others else slug

    return _NAMES.sub(linked, made)


def _block(block: Block, others: Collection[str]) -> str:
    if block.is_list:
        return "<ul>" + "".join(f"<li>{_inline(text, others)}</li>" for text in block.texts) + "</ul>"
    return f"<p>{_inline(block.texts[0], others)}</p>"


def _example(each: Shown, number: int, size: tuple[int, int]) -> str:
    wide, high = size
    parts = [
        f"<p><b>{html.escape(each.heading())}</b><br>{html.escape(_('judged by {book}').format(book=each.book))}</p>",
        f'<p><img src="{picture_name(number)}" width="{wide}" height="{high}" '
        f'alt="{html.escape(each.description())}"></p>',
    ]
    parts.extend(_told(told) for told in each.told)
    parts.extend(f"<p>{html.escape(note)}</p>" for note in each.notes)
    return "".join(parts)


def _told(told: Told) -> str:
    number = f"{told.number}. " if told.number else ""
    lines = [f"<b>{html.escape(number + told.heading)}</b>", html.escape(told.message)]
    lines.extend(html.escape(text) for text in told.more)
    made = f"<p>{'<br>'.join(lines)}</p>"
    for title, some in ((_("To put right:"), told.to_do), (_("Edit offered:"), told.edits)):
        if some:
            points = "".join(f"<li>{html.escape(text)}</li>" for text in some)
            made += f"<p><b>{html.escape(title)}</b></p><ul>{points}</ul>"
    return made


def _names(page: RulePage, is_drawn: bool) -> str:
    """The other examples, by name."""
    first = 1 if is_drawn else 0
    points = [_("Is found: {name}").format(name=name) for name in page.bad[first:]]
    points += [_("Passes: {name}").format(name=name) for name in page.good[first:]]
    if not points:
        return ""
    title = _("Others that the rule is tried on:") if is_drawn else _("What the rule is tried on:")
    return f"<p><b>{html.escape(title)}</b></p><ul>" + "".join(f"<li>{html.escape(p)}</li>" for p in points) + "</ul>"


def _book(book: BookSays) -> str:
    """What a book says, its values as a table."""
    edition = _("edition {edition}").format(edition=book.edition)
    parts = [
        f"<p><b>{html.escape(f'{_(book.title)}, {edition} ({book.slug})')}</b><br>{html.escape(book.standing())}.</p>"
    ]
    if book.word:
        word = _("Signal word in this book: {word}.").format(word=_(WORD_NAMES[book.word]))
        parts.append(f"<p>{html.escape(word)}</p>")
    if book.limits:
        heads = ((_("Value"), 28), (_("Limit"), 24), (_("Source and standing"), 48))
        rows = [
            "<tr>" + "".join(f'<th align="left" width="{w}%">{html.escape(text)}</th>' for text, w in heads) + "</tr>"
        ]
        for limit in book.limits:
            name, shown = html.escape(limit.name), html.escape(limit.shown)
            if limit.source:
                source = "; ".join(each for each in (limit.source, limit.standing()) if each)
                cells = f"<td>{shown}</td><td>{html.escape(source)}</td>"
            else:  # a choice may be long
                cells = f'<td colspan="2">{shown} ({html.escape(_("choice of this book"))})</td>'
            rows.append(f"<tr><td>{name}</td>{cells}</tr>")
        parts.append(f'<table border="1" cellspacing="0" cellpadding="3" width="100%">{"".join(rows)}</table>')
    return "".join(parts)
