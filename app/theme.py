"""Greys, type and spacing of the window.

Everything around a picture that is being judged is neutral, and the same on a light and on a
dark desktop. Text stands at 4.5:1 or better (WCAG 2.2, 1.4.3); a test measures every pair in
:data:`TEXT_PAIRS`. The one accent, a greyed blue, shows the keyboard focus and nothing else.
"""

from __future__ import annotations

from collections.abc import Sequence
from importlib import resources
from typing import Final

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QByteArray, Qt
from PySide6.QtGui import QColor, QFont, QFontDatabase, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication, QStyleFactory

GROUND: Final = "#474747"  # the band that carries the text
RAISED: Final = "#555555"  # what the pointer is on
CARD: Final = "#333333"  # a chooser
FIELD: Final = "#262626"  # a field to type in
LINE: Final = "#6a6a6a"  # hairlines
PANE: Final = "#777777"  # around the photograph; 18.4 % luminance in sRGB, a mid grey
TEXT: Final = "#f2f2f2"
QUIET: Final = "#cbcbcb"  # secondary text
FAINT: Final = "#a8a8a8"  # disabled text, exempt from the contrast rule
CHOSEN: Final = "#5c5c5c"  # the chosen row of a list
FOCUS: Final = "#a9bfd0"  # the one accent

TEXT_PAIRS: Final = (
    (TEXT, GROUND),
    (QUIET, GROUND),
    (TEXT, RAISED),
    (TEXT, CARD),
    (QUIET, CARD),
    (TEXT, FIELD),
    (QUIET, FIELD),
    (TEXT, CHOSEN),
    ("#dcdcdc", CHOSEN),
)

SPACE: Final = 8  # the unit of all distances, logical pixels
BODY_PX: Final = 13
SMALL_PX: Final = 12
SENTENCE_PX: Final = 18


def font(pixels: int = BODY_PX, *, strong: bool = False, tabular: bool = False) -> QFont:
    """The interface font at a size in logical pixels; ``tabular`` for figures that change."""
    made = QFont(QApplication.font())
    made.setPixelSize(pixels)
    if strong:
        made.setWeight(QFont.Weight.DemiBold)
    if tabular:
        made.setFeature(QFont.Tag("tnum"), 1)
    return made


def colour(bgr: Sequence[int] | npt.NDArray[np.uint8]) -> QColor:
    """A colour of three code values in the order of the pixels."""
    blue, green, red = (int(value) for value in bgr)
    return QColor(red, green, blue)


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, WCAG 2.2.

    >>> round(contrast("#ffffff", "#000000"), 1)
    21.0
    """

    def luminance(name: str) -> float:
        channels = (int(name[i : i + 2], 16) / 255 for i in (1, 3, 5))
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def palette() -> QPalette:
    """The palette of the whole program."""
    made = QPalette()
    roles = {
        QPalette.ColorRole.Window: GROUND,
        QPalette.ColorRole.WindowText: TEXT,
        QPalette.ColorRole.Base: FIELD,
        QPalette.ColorRole.AlternateBase: CARD,
        QPalette.ColorRole.Text: TEXT,
        QPalette.ColorRole.PlaceholderText: QUIET,
        QPalette.ColorRole.Button: RAISED,
        QPalette.ColorRole.ButtonText: TEXT,
        QPalette.ColorRole.BrightText: TEXT,
        QPalette.ColorRole.ToolTipBase: CARD,
        QPalette.ColorRole.ToolTipText: TEXT,
        QPalette.ColorRole.Highlight: CHOSEN,
        QPalette.ColorRole.HighlightedText: TEXT,
        QPalette.ColorRole.Accent: FOCUS,
        QPalette.ColorRole.Link: TEXT,
        QPalette.ColorRole.LinkVisited: TEXT,
        QPalette.ColorRole.Light: "#7a7a7a",
        QPalette.ColorRole.Midlight: LINE,
        QPalette.ColorRole.Mid: "#3a3a3a",
        QPalette.ColorRole.Dark: "#2c2c2c",
        QPalette.ColorRole.Shadow: "#1e1e1e",
    }
    for role, colour in roles.items():
        made.setColor(role, QColor(colour))
    for role in (
        QPalette.ColorRole.WindowText,
        QPalette.ColorRole.Text,
        QPalette.ColorRole.ButtonText,
    ):
        made.setColor(QPalette.ColorGroup.Disabled, role, QColor(FAINT))
    return made


STYLE: Final = f"""
QMenuBar {{ background: {GROUND}; color: {TEXT}; border: none; padding: 2px 6px; }}
QMenuBar::item {{ padding: 4px 9px; background: transparent; border-radius: 3px; }}
QMenuBar::item:selected {{ background: {CHOSEN}; }}
QMenu {{ background: {CARD}; color: {TEXT}; border: 1px solid {LINE}; padding: 4px; }}
QMenu::item {{ padding: 5px 28px 5px 22px; border-radius: 3px; }}
QMenu::item:selected {{ background: {CHOSEN}; }}
QMenu::item:disabled {{ color: {FAINT}; }}
QMenu::separator {{ height: 1px; background: {LINE}; margin: 4px 8px; }}
QToolTip {{ background: {CARD}; color: {TEXT}; border: 1px solid {LINE}; padding: 4px 6px; }}
QFrame#card {{ background: {CARD}; border: 1px solid {LINE}; border-radius: 6px; }}
QFrame#card QLabel {{ background: transparent; }}
QLabel[quiet="true"] {{ color: {QUIET}; }}
QLineEdit, QDoubleSpinBox {{
    background: {FIELD}; color: {TEXT}; border: 1px solid {LINE}; border-radius: 3px;
    padding: 4px 6px; selection-background-color: {CHOSEN}; selection-color: {TEXT};
    placeholder-text-color: {QUIET};
}}
QLineEdit:focus, QDoubleSpinBox:focus {{ border: 1px solid {FOCUS}; }}
QDoubleSpinBox QLineEdit {{ border: none; padding: 0 4px; background: transparent; }}
QDoubleSpinBox::up-button, QDoubleSpinBox::down-button {{ width: 0; border: none; }}
QLineEdit[refused="true"] {{ border: 2px solid {TEXT}; padding: 3px 5px; }}
QLabel[refused="true"] {{ color: {TEXT}; font-weight: 600; }}
QCheckBox, QRadioButton {{
    spacing: 6px; padding: 1px 4px; border: 1px solid transparent; border-radius: 3px;
}}
QCheckBox:focus, QRadioButton:focus {{ border: 1px solid {FOCUS}; }}
QRadioButton::indicator {{
    width: 12px; height: 12px; border: 1px solid {FAINT}; border-radius: 7px; background: {FIELD};
}}
QRadioButton::indicator:checked {{
    background: qradialgradient(cx: 0.5, cy: 0.5, radius: 0.5, fx: 0.5, fy: 0.5,
        stop: 0 {TEXT}, stop: 0.5 {TEXT}, stop: 0.6 {FIELD}, stop: 1 {FIELD});
}}
QSlider {{ border: 1px solid transparent; border-radius: 3px; }}
QSlider:focus {{ border: 1px solid {FOCUS}; }}
QListView {{
    background: transparent; border: 1px solid transparent; border-radius: 4px; outline: none;
}}
QListView:focus {{ border: 1px solid {FOCUS}; }}
QPushButton {{
    background: transparent; color: {TEXT}; border: 1px solid {LINE}; border-radius: 3px;
    padding: 4px 12px;
}}
QPushButton:hover {{ background: {RAISED}; }}
QPushButton:focus {{ border: 1px solid {FOCUS}; }}
QPushButton:disabled {{ color: {FAINT}; }}
QScrollBar:vertical {{ background: transparent; width: 8px; margin: 0; }}
QTabWidget::pane {{ border: 1px solid {LINE}; border-radius: 3px; background: {GROUND}; }}
QTabBar::tab {{ background: {GROUND}; padding: 6px 14px; border-bottom: 2px solid transparent; }}
QTabBar::tab:selected {{ border-bottom: 2px solid {TEXT}; }}
QTabBar::tab:focus {{ color: {FOCUS}; }}
QScrollBar::handle:vertical {{ background: {LINE}; border-radius: 4px; min-height: 24px; }}
QScrollBar::add-line, QScrollBar::sub-line {{ height: 0; width: 0; }}
QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}
"""


def load_fonts() -> str:
    """Register the fonts that come with the program; returns the family's name.

    A system may have no font at all, and then text is boxes.
    """
    family = ""
    for name in ("Inter-Regular.otf", "Inter-SemiBold.otf"):
        data = (resources.files("resources") / "fonts" / name).read_bytes()
        number = QFontDatabase.addApplicationFontFromData(QByteArray(data))
        families = QFontDatabase.applicationFontFamilies(number) if number >= 0 else []
        family = family or (families[0] if families else "")
    return family


def dress(application: QApplication) -> None:
    """Give the whole program its greys, whatever the desktop's."""
    QGuiApplication.styleHints().setColorScheme(Qt.ColorScheme.Dark)
    application.setStyle(QStyleFactory.create("Fusion"))
    application.setPalette(palette())
    plain = QFont(load_fonts() or application.font().family())
    plain.setPixelSize(BODY_PX)
    plain.setStyleStrategy(QFont.StyleStrategy.NoSubpixelAntialias)  # its fringes are coloured
    application.setFont(plain)
    application.setStyleSheet(STYLE)
