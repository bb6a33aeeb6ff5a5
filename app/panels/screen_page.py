"""The screen is matched to a white sheet, and its darkest tones and its steps are looked at."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDoubleSpinBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QSlider,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from app import theme
from app.match_sheet import (
    DARKEST_CODES,
    DUV_STEP,
    MIRED_STEP,
    PAPER_REFLECTANCE,
    Codes,
    Sampled,
    WhiteMatch,
    lost_below_L,
    match_white,
    sample,
    step_size,
    tinted,
)
from app.match_words import (
    luminance_in_words,
    sensible,
    shadows_in_words,
    steps_in_words,
    taken_in_words,
    white_in_words,
)
from app.panels.button import Button
from app.panels.screen_patches import DarkPatches, Patch, Ramp, bits_of_window
from app.session import Session
from app.state import SETTINGS, build_screen, number_text
from proofing.errors import UnknownName
from proofing.language import tr

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from app.worker import Cancel

    Answer = tuple[Sampled, npt.NDArray[np.float64] | None]

_SIZE = QSize(720, 660)
_LEAST = QSize(640, 480)
_USUAL_LUX = 500.0  # of a place to judge prints at, ISO 3664:2009 P2
_GREY = (40, 255, 200)  # lowest, highest and first code of the patch
_MOST_GREEN = 40  # steps of Duv: 0.02, beyond which no light is white
_MOST_LINES = 4  # of what is told
_GUESSED, _MEASURED = 0, 1  # rows of the list of places


def _words(text: str, *, quiet: bool = False) -> QLabel:
    label = QLabel(text)
    label.setWordWrap(True)
    if quiet:
        label.setProperty("quiet", True)
        label.setFont(theme.font(theme.SMALL_PX))
    return label


def _slider(name: str, low: int, high: int, value: int) -> QSlider:
    slider = QSlider(Qt.Orientation.Horizontal)
    slider.setRange(low, high)
    slider.setValue(value)
    slider.setAccessibleName(name)
    return slider


def _button(words: str) -> QPushButton:
    button = Button(words)
    button.setAutoDefault(False)
    return button


class ScreenPage(QDialog):
    """Three pages: white, black, steps. What is found is set in the sentence by a button."""

    def __init__(self, session: Session, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("Match the screen to a white sheet"))
        self._session = session
        self._own: Sampled | None = None
        self._light: npt.NDArray[np.float64] | None = None
        self._white: WhiteMatch | None = None
        self._touched = False
        tabs = QTabWidget()
        tabs.addTab(self._white_page(), tr("White"))
        tabs.addTab(self._black_page(), tr("Black"))
        tabs.addTab(self._steps_page(), tr("Steps"))
        tabs.currentChanged.connect(self._tell_steps)
        close = _button(tr("Close"))
        close.clicked.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(tabs, 1)
        column.addWidget(close, 0, Qt.AlignmentFlag.AlignRight)
        self.resize(_SIZE.boundedTo(parent.screen().availableSize() - QSize(40, 60)))
        self.setMinimumSize(_LEAST.boundedTo(self.size()))
        session.answer_with("match", self._take_screen)
        self.finished.connect(lambda _: session.worker.drop("match"))
        self._ask_screen()

    # ---- white

    def _white_page(self) -> QWidget:
        page = QWidget()
        self._make_light()
        self.patch = Patch()
        self.grey = _slider(tr("Brightness"), *_GREY)
        self.cooler = _slider(tr("More yellow or more blue"), -1, 1, 0)
        self.greener = _slider(tr("More pink or more green"), -_MOST_GREEN, _MOST_GREEN, 0)
        self.white_words = _words(tr("Nothing is matched yet."))
        self.white_words.setAlignment(Qt.AlignmentFlag.AlignTop)
        lines = _MOST_LINES * self.white_words.fontMetrics().lineSpacing()
        self.white_words.setMinimumHeight(lines)  # else the patch changes its size with the words
        self.use_white = _button(tr("Take this luminance over"))
        self.use_white.setEnabled(False)
        self.use_white.clicked.connect(self._use_white)
        amount = QHBoxLayout()
        amount.addWidget(self.places, 1)
        amount.addWidget(self.lux)
        light, patch = QFormLayout(), QFormLayout()
        light.addRow(tr("Light"), amount)
        light.addRow(tr("Kind"), self.lights)
        patch.addRow(tr("Brightness"), self.grey)
        patch.addRow(tr("Yellow – blue"), self.cooler)
        patch.addRow(tr("Pink – green"), self.greener)
        for layout in (amount, light, patch):
            layout.setSpacing(theme.SPACE)  # else that of the row they stand in
        controls = QHBoxLayout()
        controls.setSpacing(3 * theme.SPACE)
        controls.addLayout(light, 1)
        controls.addLayout(patch, 1)
        column = QVBoxLayout(page)
        column.addWidget(
            _words(
                tr(
                    "Hold a sheet of plain white paper beside the screen, in the light that you "
                    "judge prints in, and let none of that light fall on the screen. Move the "
                    "sliders until the patch looks like the paper."
                )
            )
        )
        column.addWidget(self.patch, 1)
        column.addLayout(controls)
        column.addWidget(self.white_words)
        column.addWidget(
            _words(
                tr(
                    "The sheet is taken to send back {PAPER_REFLECTANCE:.0f} % of the light, "
                    "evenly and without a tint. A brightened one is a little bluer in daylight.",
                    PAPER_REFLECTANCE=100.0 * PAPER_REFLECTANCE,
                ),
                quiet=True,
            )
        )
        column.addWidget(self.use_white, 0, Qt.AlignmentFlag.AlignLeft)
        for slider in (self.grey, self.cooler, self.greener):
            slider.valueChanged.connect(self._touch)
        return page

    def _make_light(self) -> None:
        """What is told of the light; it begins with that of the sentence."""
        state = self._session.state
        self.places = QComboBox()
        self.places.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.places.setAccessibleName(tr("How the light on the sheet is known"))
        self.places.addItem(tr("a guess of your own"), None)
        self.places.addItem(tr("measured with a luxmeter"), None)
        for place in state.facts.places:
            self.places.addItem(
                tr("{place}, about {lux} lx", place=tr(place.name), lux=number_text(place.lux, 0)),
                place.lux,
            )
        self.lux = QDoubleSpinBox()
        self.lux.setFixedWidth(84)
        self.lux.setRange(5.0, 20_000.0)
        self.lux.setDecimals(0)
        self.lux.setSuffix(" lx")
        self.lux.setAccessibleName(tr("Light on the sheet"))
        try:
            self.lux.setValue(state.facts.lux(state.setting.illuminance))
        except UnknownName:  # a place, before the places have been read
            self.lux.setValue(_USUAL_LUX)
        self.lights = QComboBox()
        self.lights.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.lights.setAccessibleName(tr("Kind of light on the sheet"))
        self.lights.addItem(tr("not known"), "")
        for light in state.facts.lights:
            self.lights.addItem(tr(light.words or light.name), light.name)
        self.lights.setCurrentIndex(max(self.lights.findData(state.setting.light), 0))
        self.places.currentIndexChanged.connect(self._place)
        self.lux.valueChanged.connect(self._own_lux)
        self.lights.currentIndexChanged.connect(self._ask_screen)

    def _place(self) -> None:
        lux = self.places.currentData()
        if lux is not None:
            was = self.lux.blockSignals(True)
            self.lux.setValue(lux)
            self.lux.blockSignals(was)
        self._match()

    def _own_lux(self) -> None:
        """Another number is no longer that of the place."""
        if self.places.currentData() is not None:
            was = self.places.blockSignals(True)
            self.places.setCurrentIndex(_GUESSED)
            self.places.blockSignals(was)
        self._match()

    def _ask_screen(self) -> None:
        """Sample the screen and look the light up, in the background."""
        tools, setting, known = self._session.tools, self._session.state.setting, self._own
        name = self.lights.currentData()

        def work(cancel: Cancel) -> Answer:
            own = sample(build_screen(setting)) if known is None else known
            return own, tools.catalogue.light(name).XYZ_w if tools is not None and name else None

        self._session.ask("match", work)

    def _take_screen(self, answer: Answer) -> None:
        self._own, self._light = answer
        was = self.cooler.blockSignals(True)
        self.cooler.setRange(*self._own.slider_bounds())
        self.cooler.blockSignals(was)
        self._match()
        self._tell_steps()

    def _touch(self) -> None:
        self._touched = True
        self._match()

    def _match(self) -> None:
        """Show the patch, and say what it tells once someone has moved it."""
        own = self._own
        if own is None:
            return
        cooler, greener = self.cooler.value() * MIRED_STEP, self.greener.value() * DUV_STEP
        codes: Codes = tinted(own, self.grey.value(), cooler, greener)
        self.patch.show_codes(codes)
        if not self._touched:
            return
        is_measured = self.places.currentIndex() == _MEASURED
        found = match_white(own, codes, self.lux.value(), self._light, is_measured=is_measured)
        low, high = SETTINGS["screen_luminance_cd_m2"].bounds or (0.0, 0.0)
        usable = low <= sensible(found.luminance_cd_m2) <= high
        at_most = self.grey.value() == self.grey.maximum()
        said = luminance_in_words(found, at_most=at_most, usable=usable)
        self.white_words.setText(f"{said} {white_in_words(found)}" if usable else said)
        self.use_white.setEnabled(usable)
        self._white = found

    def _use_white(self) -> None:
        if self._white is None or self._own is None:
            return
        luminance = sensible(self._white.luminance_cd_m2)
        self._session.change(screen_luminance_cd_m2=luminance)
        refused = self._session.state.setting.screen_luminance_cd_m2 != luminance
        self.white_words.setText(taken_in_words(luminance, refused=refused))
        self.use_white.setEnabled(False)
        if not refused:
            self._own = replace(self._own, luminance_cd_m2=luminance)

    # ---- black

    def _black_page(self) -> QWidget:
        page = QWidget()
        self.dark = DarkPatches()
        self.dark.chosen.connect(self._take_black)
        self.none_seen = _button(tr("I see none of them"))
        self.none_seen.clicked.connect(self._take_none)
        self.black_words = _words(tr("Choose the darkest patch that you can tell from the black."))
        column = QVBoxLayout(page)
        column.addWidget(
            _words(
                tr(
                    "With the room as you judge in it: which is the darkest patch that stands "
                    "out from the black around it? Click it, or choose it with the arrow keys."
                )
            )
        )
        column.addWidget(self.dark, 1)
        column.addWidget(self.none_seen, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(self.black_words)
        return page

    def _take_black(self, number: int, *, seen: bool = True) -> None:
        if self._own is not None:
            code = DARKEST_CODES[number]
            lost = lost_below_L(self._own, code)
            self.black_words.setText(shadows_in_words(lost, code, seen=seen))

    def _take_none(self) -> None:
        self.dark.clear()
        self._take_black(len(DARKEST_CODES) - 1, seen=False)

    # ---- steps

    def _steps_page(self) -> QWidget:
        page = QWidget()
        self.ramp, self.fine_ramp = Ramp(8), Ramp(10)
        self.fine_ramp.hide()
        self.steps_words = _words("")
        column = QVBoxLayout(page)
        column.addWidget(_words(tr("A smooth grey ramp in the steps that this window can draw.")))
        column.addWidget(self.ramp, 1)
        column.addWidget(self.fine_ramp, 1)
        column.addWidget(self.steps_words)
        column.addWidget(
            _words(
                tr(
                    "Whether a print will band is worked out from the file itself and marked as "
                    "banding risk."
                ),
                quiet=True,
            )
        )
        return page

    def _tell_steps(self) -> None:
        if self._own is not None:
            bits = bits_of_window(self)
            self.fine_ramp.setVisible(bits >= 10)
            self.steps_words.setText(steps_in_words(bits, step_size(self._own)))
