"""The window in another language and with a decimal comma: what is on the screen says so.

The other language is made by Qt's own tools from what Qt's lupdate finds: every Latin letter of
a text is replaced by a Greek one, what is filled in stays. What is then still Latin on the screen
has never been given to a translator.
"""

from __future__ import annotations

import re
import subprocess
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from pathlib import Path

import PySide6
import pytest
from PySide6.QtCore import QBuffer, QCoreApplication, QLocale, QSize, Qt, QTranslator
from PySide6.QtSvg import QSvgGenerator
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QLabel, QListWidget, QWidget

import app.window
from app.main_window import MainWindow
from app.memory import Sitting
from app.session import Session
from app.speaking import has_comma, take_translation
from app.state import COMMANDS, Setting
from app.translating import collect
from proofing.language import Speech, counted, speak, tr
from tests.window.conftest import settle
from tests.window.test_everything import put_dialogs_away

pytestmark = pytest.mark.qt_log_ignore("propagateSizeHints", "This plugin does not support raise")

LATIN = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
GREEK = "αβψδεφγηιξκλμνοπϑρστθωςχυζΑΒΨΔΕΦΓΗΙΞΚΛΜΝΟΠΘΡΣΤΘΩΣΧΥΖ"
TO_GREEK = str.maketrans(LATIN, GREEK)
FIELD = re.compile(r"(\{[^}]*\})")
STAYS = re.compile(
    r"<[^>]*>|/\S+|\b[\w.-]+\.(png|tif|jpg)\b|\{\w+\}|\bramp\b|stocklight"  # mark-up, files, us
    r"|\b(Ctrl|Shift|Alt|Backspace|PgDown|PgUp|Down|Left|Right|Home|End|Ins|Del|Esc)\b"  # keys
    r"|\b(cd/m²|cm|mm|lx|ppi|px|in|ft)\b|sRGB|Adobe RGB"  # units, and data sets
    r"|^(Cancel|OK)$"  # Qt's own, in a language that Qt has not
)
WORD = re.compile(r"[A-Za-z]{3,}")
POINT = re.compile(r"\d\.\d")


def greek(text: str) -> str:
    return "".join(part if FIELD.match(part) else part.translate(TO_GREEK)
                   for part in FIELD.split(text))  # fmt: skip


@pytest.fixture(scope="module")
def translated(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A translation that Qt's lrelease has made."""
    folder = tmp_path_factory.mktemp("language")
    source, made = folder / "stocklight_el.ts", folder / "stocklight_el.qm"
    collect(source)
    tree = ET.parse(source)
    tree.getroot().set("language", "el")
    for message in tree.iter("message"):
        text, place = message.findtext("source") or "", message.find("translation")
        assert place is not None
        place.attrib.pop("type", None)
        if message.get("numerus") == "yes":
            for form in place.findall("numerusform"):
                place.remove(form)
            for each in (message.findtext("comment") or "", text):
                ET.SubElement(place, "numerusform").text = greek(each)
        else:
            place.text = greek(text)
    tree.write(source, encoding="utf-8", xml_declaration=True)
    release = Path(PySide6.__file__).parent / "lrelease"
    subprocess.run([release, "-silent", str(source), "-qm", str(made)], check=True)
    return made


@pytest.fixture
def speaking_greek(translated: Path, qapp: QApplication) -> Iterator[None]:
    own = QTranslator()
    assert own.load(str(translated))
    speak(Speech(decimal_sign=","))
    found = take_translation(qapp, own, QLocale("el_GR"))
    yield
    for translator in found:
        QCoreApplication.removeTranslator(translator)


def drawn_texts(widget: QWidget) -> list[str]:
    """Every text that is drawn of a widget, as Qt itself writes it to a vector picture."""
    buffer = QBuffer()
    generator = QSvgGenerator()
    generator.setOutputDevice(buffer)
    generator.setSize(QSize(widget.width(), widget.height()))
    widget.render(generator)
    del generator
    picture = ET.fromstring(bytes(buffer.data().data()))
    return ["".join(text.itertext()) for text in picture.iter() if text.tag.endswith("}text")]


def told_texts(widget: QWidget) -> Iterator[str]:
    """What is told of a widget to assistive technology, and beside the pointer."""
    yield from (widget.accessibleName(), widget.accessibleDescription(), widget.toolTip())
    yield widget.windowTitle()
    yield from (action.text() for action in widget.actions())
    if isinstance(widget, QListWidget):
        yield from (widget.item(row).text() for row in range(widget.count()))


def on_screen() -> set[str]:
    """All texts of what can be seen now."""
    found: set[str] = set()
    for widget in QApplication.allWidgets():
        if widget.isVisible() and not isinstance(widget.window(), QFileDialog):  # Qt's own
            found.update(told_texts(widget))
            if widget.isWindow():
                found.update(drawn_texts(widget))
    return found


@pytest.mark.with_findings
@pytest.mark.usefixtures("kept_proofs")
def test_everything_on_the_screen_can_be_said_in_another_language(
    speaking_greek: None, make_window, ramp: Path, qtbot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Through every command: no word of English is left but units, keys and names of files."""
    window: MainWindow = make_window(Setting(photograph=str(ramp), stock="smooth matte"))
    settle(window, qtbot)
    left: dict[str, str] = {}
    for command in sorted(COMMANDS, key=lambda command: "finding" not in command.id):
        if "finding" not in command.id:  # the others change nothing that is found
            monkeypatch.setattr(Session, "refine", lambda session: session.worker.drop())
        if command.id == "quit" or not command.enabled(window.session.state):
            continue
        window.session.run(command.id)
        settle(window, qtbot)
        if command.id in OWN_WORDS:
            put_dialogs_away()
            continue
        for text in on_screen():
            if WORD.search(STAYS.sub("", text)):
                left.setdefault(text, command.id)
        put_dialogs_away()
    assert left == {}, "\n".join(f"{where}: {text}" for text, where in left.items())


OWN_WORDS = {"help", "open_exhibit"}
"""Pages that are translated as pages (resources/language), and the pictures' own words."""


def test_texts_that_are_drawn_are_found(window: MainWindow) -> None:
    """The check above sees labels, and what a widget draws by itself, such as the probe's captions
    and the bars of the findings."""
    drawn = drawn_texts(window)
    assert "Density" in drawn
    assert any(text.startswith("Photograph") for text in drawn)
    label = QLabel("Left in English", window)
    label.resize(label.sizeHint())
    label.show()
    assert "Left in English" in drawn_texts(window)


def test_a_text_follows_its_number(speaking_greek: None) -> None:
    """The form is Qt's choice by the language's own rule; the number takes its comma."""
    many = "{n} findings of a kind whose mark is off: {kinds}"
    one = "{n} finding of a kind whose mark is off: {kinds}"
    assert greek("1 finding of a kind whose mark is off: ") in counted(many, one, 1, kinds="")
    assert greek("3 findings of a kind whose mark is off: ") in counted(many, one, 3, kinds="")
    assert tr("{stops:g} stops", stops=1.5) == f"1,5 {greek('stops')}"


@pytest.mark.with_findings
@pytest.mark.usefixtures("kept_proofs")
def test_figures_have_the_readers_decimal_sign(window: MainWindow, qtbot) -> None:
    """One key, and every figure on the screen stands with a comma; once more, and with a point."""
    held = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    window.session.run("next_finding")
    window.session.probe(0.5, 0.5)
    settle(window, qtbot)
    before = figures()
    assert any(POINT.search(text) for text in before)
    QTest.keyClick(window.windowHandle(), Qt.Key.Key_N, held)
    settle(window, qtbot)
    after = figures()
    assert not [text for text in after if POINT.search(text)]
    assert {text.replace(".", ",") for text in before} == {text.replace(".", ",") for text in after}
    QTest.keyClick(window.windowHandle(), Qt.Key.Key_N, held)
    settle(window, qtbot)
    assert figures() == before


def figures() -> set[str]:
    """Texts with decimals on the screen, but for the prose that explains a number."""
    return {text for text in on_screen() if re.search(r"\d[.,]\d", text) and not PROSE.search(text)}


PROSE = re.compile(r"0\.0 is printed as|with each 0\.3 more|ΔE00: how far")


def test_a_field_says_and_reads_a_comma(window: MainWindow, qtbot) -> None:
    """What a field shows can be typed back, with either sign."""
    window.session.run("toggle_comma")
    window.session.change(distance_m=1.25)
    window.open_chooser("distance_m")
    field = window.chooser.fields["distance_m"]
    assert field.edit.text() == "1,25 m"
    for typed in ("0,75", "0.5"):
        field.edit.selectAll()
        QTest.keyClicks(field.edit, typed)
        QTest.keyClick(field.edit, Qt.Key.Key_Return)
        settle(window, qtbot)
        assert window.session.state.setting.distance_m == float(typed.replace(",", "."))
        window.open_chooser("distance_m")
        field = window.chooser.fields["distance_m"]


def test_where_a_comma_is_usual_a_window_begins_with_it(monkeypatch, qtbot, tools) -> None:
    """CLDR's decimal signs, by Qt: a comma in Germany, a point in Switzerland and Ireland."""
    for name, expected in (("de_DE", True), ("de_CH", False), ("en_IE", False)):
        speak(Speech())
        locale = QLocale(name)
        assert has_comma(locale) is expected
        monkeypatch.setattr(app.window.QLocale, "system", lambda locale=locale: locale)
        made = app.window.make_window(load=lambda: tools)
        qtbot.addWidget(made)
        assert made.session.state.facts.comma is expected
        assert tr("{metres:.1f} m", metres=1.5) == ("1,5 m" if expected else "1.5 m")
        made.close()


def test_the_choice_of_the_sign_is_kept(window: MainWindow, make_window, qtbot) -> None:
    """The next sitting writes numbers as the last one did, whatever is usual where it runs."""
    window.session.run("toggle_comma")
    sitting = window.session.sitting("")
    assert '"decimal_sign": ","' in sitting.to_json()
    speak(Speech())
    later = make_window()
    later.session.take_up(Sitting.from_json(sitting.to_json()))
    assert later.session.state.facts.comma
    assert tr("{metres:.1f} m", metres=1.5) == "1,5 m"
