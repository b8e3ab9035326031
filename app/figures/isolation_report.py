"""How something is made dead, in a terminal; the words for its steps, which the page on paper uses too."""

from __future__ import annotations

from collections.abc import Iterator

from app.figures.lines import gaps, section, titled, wrapped
from app.figures.order_report import called, what, where
from app.text_report import cautions
from engine.circuit.switching.results import Isolation, MakeDead, Prove
from engine.rules.wording import Namer, listed, named
from engine.study import Study
from engine.words import _

__all__ = ["before", "cut_off", "isolation_report", "locks", "proofs", "remains", "short_deed", "subject"]


def subject(study: Namer, item: str) -> str:
    """*T1 (inverter)*; of a run its designation."""
    return named(study, item) if item in study.snapshot.equipment else study.name(item)


def short_deed(step: MakeDead) -> str:
    """What is done, in a few words: *open*, *to 0*, *draw the fuse*."""
    if step.kind == "switch":
        return _("open") if step.position == "open" else _("to {position}").format(position=step.position)
    return {
        "stop": _("stop"),
        "unplug": _("unplug"),
        "cover": _("cover"),
        "draw": _("draw the fuse"),
        "wait": _("wait"),
        "disable": _("keep from acting by itself"),
        "unload": _("switch off what it feeds"),
    }[step.kind]


def cut_off(study: Namer, step: MakeDead) -> str:
    """The sources a step cuts off."""
    return listed([named(study, item) for item in step.sources])


def before(study: Namer, told: Isolation) -> str:
    """What feeds it, in a sentence."""
    if not told.sources:
        return _("Nothing drawn feeds it.")
    return _("Fed by: {sources}.").format(sources="; ".join(named(study, item) for item in told.sources))


def remains(study: Namer, told: Isolation) -> str:
    """That it cannot be made dead, in a sentence; `""` where it can."""
    if told.remains:
        names = listed([named(study, item) for item in told.remains])
        return _("It cannot be made dead: {sources} still feeds it after all of this.").format(sources=names)
    if told.undecided:
        names = listed([named(study, item) for item in told.undecided])
        return _("Whether all of this makes it dead is not decided: {sources} may still feed it.").format(sources=names)
    return ""


def locks(study: Namer, told: Isolation) -> Iterator[str]:
    """Where to lock off, a sentence each."""
    for lock in told.locks:
        name = called(study.snapshot, lock.item)
        if lock.can:
            yield _("Lock {name}, keep the key, hang a notice on it.").format(name=name)
        elif lock.can is None:
            yield _("{name}: lock it if it can be locked, which is not recorded; hang a notice on it.").format(
                name=name
            )
        else:
            yield _("{name} cannot be locked: hang a notice on it, and let somebody stand by it.").format(name=name)


def proofs(study: Namer, told: Isolation) -> Iterator[str]:
    """How to prove it dead, a sentence each: the tester before and after."""
    yield _("Prove the tester on something known to be live.")
    for prove in told.prove:
        yield prove_words(study, prove)
    yield _("Prove the tester again on something known to be live.")


def prove_words(study: Namer, prove: Prove) -> str:
    """A terminal and what is measured there."""
    at = f"{study.name(prove.item)}.{prove.terminal}"
    if len(prove.conductors) == 1:
        return _("At {at}: {conductor} against earth.").format(at=at, conductor=prove.conductors[0])
    return _("At {at}: {conductors}, each against each other and against earth.").format(
        at=at, conductors=", ".join(prove.conductors)
    )


def isolation_report(file: str, study: Study, answers: tuple[Isolation, ...], width: int) -> str:
    """The whole report."""
    snapshot = study.snapshot
    parts = []
    for n, told in enumerate(answers):
        head = _("To make {name} dead.").format(name=subject(study, told.item))
        parts.append(titled(file, snapshot, head, width) if n == 0 else section(head))
        parts.append(wrapped(before(study, told), width))
        stays = remains(study, told)
        if stays:
            parts.append(wrapped(f"{_('WARNING')}: {stays}", width))
        if told.steps:
            parts.append(_steps(study, told, width))
        held = list(locks(study, told))
        if held:
            parts.append("\n".join([section(_("Lock off")), *(wrapped(text, width) for text in held)]))
        parts.append("\n".join([section(_("Prove dead")), *(wrapped(text, width) for text in proofs(study, told))]))
        if told.notes:
            parts.append("\n".join([section(_("To know")), *(wrapped(text, width) for text in told.notes)]))
        parts += gaps(told.missing, width)
    parts.append(cautions(width))
    return "\n\n".join(parts)


def _steps(study: Study, told: Isolation, width: int) -> str:
    snapshot = study.snapshot
    lines = []
    size = len(str(len(told.steps)))
    indent = " " * (size + 2)
    for number, step in enumerate(told.steps, 1):
        about = "; ".join(text for text in (what(snapshot, step.item), where(snapshot, step.item)) if text)
        head = f"{number:>{size}}. {called(snapshot, step.item)}: {short_deed(step)}"
        lines.append(wrapped(f"{head}  ({about})" if about else head, width, later=indent))
        if step.sources:
            lines.append(wrapped(_("cuts off {sources}").format(sources=cut_off(study, step)), width, indent))
        if step.why:
            lines.append(wrapped(step.why, width, indent))
    return "\n".join(lines)
