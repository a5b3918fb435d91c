"""The messages of a language: gettext catalogs in ``catalog/texts/<language>``, one file a room, read by Babel."""

from __future__ import annotations

import gettext
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from io import BytesIO
from pathlib import Path

from advisor import catalog
from advisor.errors import InputError, suggest

SOURCE_LANGUAGE = "en"


_texts: ContextVar[Path | None] = ContextVar("texts", default=None)


@contextmanager
def texts_from(folder: Path) -> Iterator[None]:
    """Read messages from another folder than ``catalog/texts`` in the code inside: one folder a language."""
    token = _texts.set(folder)
    try:
        yield
    finally:
        _texts.reset(token)


def _folder() -> Path:
    return _texts.get() or catalog.folder() / "texts"


def languages() -> tuple[str, ...]:
    """Return the languages there are: every folder of ``catalog/texts`` that holds messages."""
    return _languages(_folder())


@cache
def _languages(folder: Path) -> tuple[str, ...]:
    return tuple(sorted({path.parent.name for path in folder.glob("*/*.po")}))


@cache
def _room(folder: Path, language: str, room: str) -> gettext.GNUTranslations | None:
    """Return the messages of one room, compiled in memory; None where the language has no such file."""
    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po

    path = folder / language / f"{room}.po"
    if not path.is_file():
        return None
    compiled = BytesIO()
    with path.open("rb") as handle:
        write_mo(compiled, read_po(handle, locale=language))
    compiled.seek(0)
    return gettext.GNUTranslations(compiled)


def checked(language: str) -> str:
    """Return a language that there is.

    Raises
    ------
    InputError
        If there is no such folder.
    """
    if language not in languages():
        raise InputError(
            f"--language {language}: no such language{suggest(language, languages())}; one of {', '.join(languages())}"
        )
    from babel import Locale, UnknownLocaleError

    try:
        Locale.parse(language)
    except (UnknownLocaleError, ValueError):
        raise InputError(
            f"--language {language}: the folder's name is no language code (such as es or pt_BR)"
        ) from None
    return language


def text_of(message: str, language: str = SOURCE_LANGUAGE, count: int | None = None) -> str:
    """Return a message as it stands, with its places still open; the source language's where a language lacks it.

    Parameters
    ----------
    message : str
        Id; what stands before the first dot names the file.
    language : str
        Folder of ``catalog/texts``.
    count : int or None
        Chooses singular or plural by the language's own rule.

    Raises
    ------
    KeyError
        If the source language has no such message (an error of the program).
    """
    room = message.partition(".")[0]
    for one in dict.fromkeys((language, SOURCE_LANGUAGE)):
        texts = _room(_folder(), one, room)
        if texts is None:
            continue
        found = message if count is None else texts.ngettext(message, message, count)
        if found == message:  # no plural was asked for, or the message has none
            found = texts.gettext(message)
        if found != message:
            return found
    raise KeyError(f"no message '{message}' in catalog/texts/{SOURCE_LANGUAGE}/{room}.po")


def has(message: str) -> bool:
    """Return whether the source language has a message."""
    try:
        text_of(message)
    except KeyError:
        return False
    return True
