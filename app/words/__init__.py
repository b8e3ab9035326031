"""Translations: a catalogue `<language>/LC_MESSAGES/linewright.mo` here is used where the system asks for it."""

from __future__ import annotations

import gettext
import logging
from pathlib import Path

from engine.words import speak

__all__ = ["load"]

log = logging.getLogger(__name__)


def load() -> None:
    """Speak the language the environment asks for, English where there is no catalogue or it cannot be read."""
    try:
        speak(gettext.translation("linewright", localedir=Path(__file__).parent, fallback=True))
    except (OSError, UnicodeDecodeError, ValueError) as fault:
        log.warning("catalogue not read: %s", fault)
        speak(gettext.NullTranslations())
