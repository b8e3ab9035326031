"""Languages: a folder here is one; its catalogue is `<language>/LC_MESSAGES/linewright.mo`. English needs none.

Which is spoken: what `LINEWRIGHT_LANGUAGE` names (the window tells it the processes it starts), else what the person
has chosen, else what the system asks for. The decimal sign goes with it, unless the system names another place for
numbers.
"""

from __future__ import annotations

import gettext
import json
import locale
import logging
import os
from pathlib import Path

from engine.words import speak

__all__ = ["ENVIRONMENT", "chosen", "languages", "load", "speaks"]

log = logging.getLogger(__name__)
FOLDER = Path(__file__).parent
ENVIRONMENT = "LINEWRIGHT_LANGUAGE"
_NAMES = {"en": "English", "de": "Deutsch"}  # as each calls itself
_speaks = "en"


def languages() -> dict[str, str]:
    """Languages the program speaks, each with its own name: ``{"en": "English", "de": "Deutsch"}``."""
    found = {path.parents[1].name for path in FOLDER.glob("*/LC_MESSAGES/linewright.mo")}
    return {"en": _NAMES["en"]} | {code: _NAMES.get(code, code) for code in sorted(found)}


def speaks() -> str:
    """The language spoken now, "en" or another of `languages()`."""
    return _speaks


def chosen() -> str:
    """The language the person has chosen in the window, "" none."""
    from app.settings import LARGEST, folder

    file = folder() / "settings.json"
    try:
        if not file.is_file() or file.stat().st_size > LARGEST:  # opening a pipe nobody writes to would hang
            return ""
        found = json.loads(file.read_bytes())
    except (OSError, ValueError, RecursionError):
        return ""
    language = found.get("language", "") if isinstance(found, dict) else ""
    return language if isinstance(language, str) else ""


def load(language: str = "") -> None:
    """Speak `language`, "" as the module says; English where there is no catalogue or it cannot be read."""
    global _speaks
    language = language or os.environ.get(ENVIRONMENT, "") or chosen()
    wanted = [language] if language else _system()
    try:
        found = gettext.find("linewright", FOLDER, wanted)
        code = Path(found).parents[1].name if found and wanted[0].partition("_")[0] != "en" else "en"
        made = gettext.NullTranslations() if code == "en" else gettext.translation("linewright", FOLDER, [code])
    except (OSError, UnicodeDecodeError, ValueError, IndexError) as fault:
        log.warning("catalogue not read: %s", fault)
        code, made = "en", gettext.NullTranslations()
    _speaks = code
    speak(made, _decimal_sign(code))


def _system() -> list[str]:
    """Languages the system asks for, the best first."""
    for name in ("LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG"):
        asked = os.environ.get(name, "")
        if asked:
            return [each.partition(".")[0] for each in asked.split(":") if each] or ["en"]
    try:
        return [locale.getlocale()[0] or "en"]
    except ValueError:
        return ["en"]


def _decimal_sign(language: str) -> str:
    """The sign of the place that the system names for numbers, else that of the language."""
    asked = os.environ.get("LC_ALL", "") or os.environ.get("LC_NUMERIC", "")
    place = asked.partition(".")[0]
    if place in ("", "C", "POSIX") or os.environ.get(ENVIRONMENT) or place.partition("_")[0] == language:
        place = place if place.partition("_")[0] == language else language
    if place.partition("_")[0] == "en":
        return "."  # asked most often, and nothing needs to be loaded for it
    from babel import Locale, UnknownLocaleError

    try:
        sign = Locale.parse(place).number_symbols.get("latn", {}).get("decimal", ".")
    except (UnknownLocaleError, ValueError):
        return "."
    return sign if sign in (".", ",") else "."
