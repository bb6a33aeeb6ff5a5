"""The screen is matched to a white sheet, and its darkest tones and its steps are looked at."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
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
    WhiteMatch,
    lost_below_L,
    match_white,
    tinted,
)
from app.session import Session
from app.state import build_screen, number_text

if TYPE_CHECKING:
    from app.worker import Cancel

_SIZE = QSize(720, 620)
_OWN = "measured with a luxmeter"
_RAMP = (96, 160)  # codes of the smooth ramp, a step every few pixels


def _words(text: str, *, quiet: bool = False) -> QLabel:
    label = QLabel(text)
    label.setWordWrap(True)
    if quiet:
        label.setProperty("quiet", True)
        label.setFont(theme.font(theme.SMALL_PX))
    return label


class Patch(QWidget):
    """A field of one colour."""

    def __init__(self) -> None:
        super().__init__()
        self.colour = QColor("#c8c8c8")
        self.setMinimumHeight(120)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("Patch to be matched to a white sheet")

    def show_codes(self, codes: tuple[float, float, float]) -> None:
        """Show codes, 0..255."""
        self.colour = QColor(*(round(code) for code in codes))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(theme.PANE))
        painter.fillRect(self.rect().adjusted(24, 12, -24, -12), self.colour)
        painter.end()


class DarkPatches(QWidget):
    """Patches on black, lighter from one to the next.

    Signals
    -------
    chosen : int
        The first one that is seen, counted from 0.
    """

    chosen = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self.at = -1
        self.setMinimumHeight(130)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Dark patches")
        self.setAccessibleDescription("The arrows choose the darkest patch that you can see.")

    def patch(self, number: int) -> QRect:
        """Where a patch stands."""
        across = self.width() // len(DARKEST_CODES)
        return QRect(number * across + 6, 30, across - 12, self.height() - 60)

    def choose(self, number: int) -> None:
        """The darkest one that is seen."""
        self.at = min(max(number, 0), len(DARKEST_CODES) - 1)
        self.update()
        self.chosen.emit(self.at)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor("#000000"))
        painter.setFont(theme.font(theme.SMALL_PX))
        for number, code in enumerate(DARKEST_CODES):
            box = self.patch(number)
            painter.fillRect(box, QColor(code, code, code))
            painter.setPen(QColor("#6a6a6a"))
            below = QRect(box.left(), box.bottom() + 6, box.width(), 18)
            painter.drawText(below, Qt.AlignmentFlag.AlignCenter, str(number + 1))
        if self.at >= 0:
            painter.setPen(QPen(QColor("#8a8a8a"), 1))
            painter.drawRect(self.patch(self.at).adjusted(-4, -4, 3, 3))
        if self.hasFocus():
            painter.setPen(QColor(theme.FOCUS))
            painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        painter.end()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.choose(int(event.position().x() * len(DARKEST_CODES) / max(self.width(), 1)))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()))
        if step is None:
            super().keyPressEvent(event)
        else:
            self.choose(self.at + step)


class Ramp(QWidget):
    """A smooth ramp in the steps that this window can draw, 256 from black to white."""

    def __init__(self) -> None:
        super().__init__()
        self.setMinimumHeight(130)
        self.setAccessibleName("Smooth grey ramp in steps of 8 bits")

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        first, last = _RAMP
        count = last - first
        for number in range(count):
            left = number * self.width() // count
            right = (number + 1) * self.width() // count
            code = first + number
            painter.fillRect(QRect(left, 0, right - left, self.height()), QColor(code, code, code))
        painter.end()


class ScreenPage(QDialog):
    """Three pages: white, black, steps. What is found is set in the sentence by a button."""

    def __init__(self, session: Session, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle("Match the screen to a white sheet")
        self._session = session
        self._white: WhiteMatch | None = None
        tabs = QTabWidget()
        tabs.addTab(self._white_page(), "White")
        tabs.addTab(self._black_page(), "Black")
        tabs.addTab(self._steps_page(), "Steps")
        close = QPushButton("Close")
        close.setAutoDefault(False)
        close.clicked.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(tabs, 1)
        column.addWidget(close, 0, Qt.AlignmentFlag.AlignRight)
        self.resize(_SIZE.boundedTo(parent.screen().availableSize() - QSize(40, 60)))
        session.answer_with("match", self._take_white)
        self.finished.connect(lambda _: session.worker.drop("match"))
        self._match()

    # ---- white

    def _white_page(self) -> QWidget:
        page = QWidget()
        state = self._session.state
        self.patch = Patch()
        self.places = QComboBox()
        self.places.setAccessibleName("Where the light falls")
        self.places.addItem(_OWN, None)
        for place in state.facts.places:
            self.places.addItem(f"{place.name}, about {number_text(place.lux, 0)} lx", place.lux)
        self.lux = QDoubleSpinBox()
        self.lux.setRange(5.0, 20_000.0)
        self.lux.setDecimals(0)
        self.lux.setSuffix(" lx")
        self.lux.setAccessibleName("Light on the sheet")
        self.lux.setValue(500.0)
        self.grey = self._slider("Brightness", 40, 255, 200)
        self.cooler = self._slider("Warmer or cooler", -100, 100, 0)
        self.greener = self._slider("Pinker or greener", -100, 100, 0)
        self.white_words = _words("")
        self.use_white = QPushButton("Take this luminance over")
        self.use_white.setAutoDefault(False)
        self.use_white.clicked.connect(self._use_white)
        form = QFormLayout()
        light = QHBoxLayout()
        light.addWidget(self.places, 1)
        light.addWidget(self.lux)
        form.addRow("Light on the sheet", light)
        form.addRow("Brightness", self.grey)
        form.addRow("Warmer – cooler", self.cooler)
        form.addRow("Pinker – greener", self.greener)
        column = QVBoxLayout(page)
        column.addWidget(
            _words(
                "Hold a sheet of plain white paper beside the screen, in the light that you judge "
                "prints in, and let none of that light fall on the screen. Draw the sliders until "
                "the patch looks like the paper."
            )
        )
        column.addWidget(self.patch, 1)
        column.addLayout(form)
        column.addWidget(self.white_words)
        column.addWidget(self.use_white, 0, Qt.AlignmentFlag.AlignLeft)
        self.places.currentIndexChanged.connect(self._place)
        self.lux.valueChanged.connect(self._own_lux)
        for slider in (self.grey, self.cooler, self.greener):
            slider.valueChanged.connect(self._match)
        return page

    @staticmethod
    def _slider(name: str, low: int, high: int, value: int) -> QSlider:
        slider = QSlider(Qt.Orientation.Horizontal)
        slider.setRange(low, high)
        slider.setValue(value)
        slider.setAccessibleName(name)
        return slider

    def _place(self) -> None:
        lux = self.places.currentData()
        if lux is not None:
            was = self.lux.blockSignals(True)
            self.lux.setValue(lux)
            self.lux.blockSignals(was)
        self._match()

    def _own_lux(self) -> None:
        was = self.places.blockSignals(True)
        self.places.setCurrentIndex(0)
        self.places.blockSignals(was)
        self._match()

    def _codes(self) -> tuple[float, float, float]:
        codes = tinted(self.grey.value(), self.cooler.value() / 100.0, self.greener.value() / 100.0)
        return round(codes[0]), round(codes[1]), round(codes[2])

    def _match(self) -> None:
        """Work out what the patch tells, in the background."""
        codes, lux, session = self._codes(), self.lux.value(), self._session
        self.patch.show_codes(codes)
        tools, setting = session.tools, session.state.setting
        is_measured = self.places.currentData() is None

        def work(cancel: Cancel) -> WhiteMatch:
            screen = build_screen(setting)
            light = None if tools is None else tools.catalogue.light(setting.light).XYZ_w
            return match_white(screen, codes, lux, light, is_measured=is_measured)

        session.ask("match", work)

    def _take_white(self, found: WhiteMatch) -> None:
        self._white = found
        low, high = (found.luminance_cd_m2 * (1.0 + sign * found.spread) for sign in (-1, 1))
        said = (
            f"If the patch looks like the sheet, this screen's white has about "
            f"{found.luminance_cd_m2:.0f} cd/m² ({low:.0f} to {high:.0f})."
        )
        if found.cct_K is not None:
            said += f" Its white is near {round(found.cct_K / 100) * 100}\u00a0K."
        if self.grey.value() == self.grey.maximum():
            said += (
                " If the sheet is still brighter, the light is brighter than this screen can be: "
                "dim the lamp, or go further from it."
            )
        elif found.luminance_cd_m2 > 160.0:
            said += (
                " That is brighter than a sheet in common light; 80 to 120 cd/m² is usual where "
                "prints are judged."
            )
        self.white_words.setText(said)

    def _use_white(self) -> None:
        if self._white is not None:
            value = round(min(max(self._white.luminance_cd_m2, 20.0), 2000.0))
            self._session.change(screen_luminance_cd_m2=float(value))

    # ---- black

    def _black_page(self) -> QWidget:
        page = QWidget()
        self.dark = DarkPatches()
        self.dark.chosen.connect(self._take_black)
        self.black_words = _words("Choose the darkest patch that you can tell from the black.")
        column = QVBoxLayout(page)
        column.addWidget(
            _words(
                "With the room as you judge in it: which is the darkest patch that stands out from "
                "the black around it? Click it, or choose it with the arrow keys."
            )
        )
        column.addWidget(self.dark)
        column.addWidget(self.black_words)
        column.addStretch(1)
        return page

    def _take_black(self, number: int) -> None:
        screen = build_screen(self._session.state.setting)
        lost = lost_below_L(screen, DARKEST_CODES[number])
        self.black_words.setText(
            f"Shadows below L* {lost:.1f} of a file cannot be "
            "judged on this screen in this room: trust the marks and the numbers there. A darker "
            "room, or no lamp that falls on the screen, shows more."
        )

    # ---- steps

    def _steps_page(self) -> QWidget:
        page = QWidget()
        depth = self.screen().depth()
        column = QVBoxLayout(page)
        column.addWidget(
            _words(
                "A smooth ramp in the finest steps that this window draws, 256 from black to "
                f"white (8 bits a channel). The desktop tells {depth} bits a pixel for the screen. "
                "Steps or tints that you see in the ramp are the screen's: the same in a sky is no "
                "fault of the file."
            )
        )
        column.addWidget(Ramp())
        column.addWidget(
            _words(
                "Ramp and pictures are drawn with 8 bits a channel, on a screen of 10 bits, too. "
                "Whether a print will band is worked out from the file itself and marked as "
                "banding risk.",
                quiet=True,
            )
        )
        column.addStretch(1)
        return page
