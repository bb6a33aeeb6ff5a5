"""The reader's language and decimal sign, from Qt's translations and the system's locale.

Translations are Qt's: ``python -m app.translating stocklight_de.ts`` collects every text,
``pyside6-lrelease`` makes the ``.qm`` of it that stands in ``resources/language``.
"""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import replace
from importlib import resources

from PySide6.QtCore import QCoreApplication, QLibraryInfo, QLocale, QTranslator

from proofing.language import Speech, speak, speech

COMMA = ","
_CONTEXT = ""  # lupdate gives none to the plain functions of proofing.language


def has_comma(locale: QLocale) -> bool:
    """Whether numbers are written with a decimal comma there."""
    return locale.decimalPoint() == COMMA


def use_decimal_comma(comma: bool) -> None:
    """Write numbers with a comma, or with a point."""
    speak(replace(speech(), decimal_sign=COMMA if comma else "."))


def use_language(application: QCoreApplication, locale: QLocale) -> list[QTranslator]:
    """Say everything in the language of a locale, where there is a translation of it.

    Parameters
    ----------
    application
        Gets the translators: that of the texts and that of Qt's own buttons.
    locale
        Whose language.

    Returns
    -------
    list of QTranslator
        Those that were found; none where the texts are not translated, and English is said.
    """
    with ExitStack() as stack:
        folder = stack.enter_context(resources.as_file(resources.files("resources") / "language"))
        own = QTranslator()
        if not own.load(locale, "stocklight", "_", str(folder)):
            return []
    own.setParent(application)
    return take_translation(application, own, locale)


def take_translation(
    application: QCoreApplication, own: QTranslator, locale: QLocale
) -> list[QTranslator]:
    """Say everything as a loaded translation has it."""
    found = [own]
    of_qt = QTranslator(application)
    path = QLibraryInfo.path(QLibraryInfo.LibraryPath.TranslationsPath)
    if of_qt.load(locale, "qtbase", "_", path):
        found.append(of_qt)
    for translator in found:
        application.installTranslator(translator)
    speak(Speech(_translated, speech().decimal_sign, locale.name()))
    return found


def _translated(text: str, singular: str | None, n: int) -> str:
    if singular is None:
        return QCoreApplication.translate(_CONTEXT, text)
    said = QCoreApplication.translate(_CONTEXT, text, singular, n)
    return singular if said == text and n == 1 else said
