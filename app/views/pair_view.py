"""The two pictures, side by side, above each other or on each other, moving as one."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent, QResizeEvent, QScreen
from PySide6.QtWidgets import QApplication, QLabel, QVBoxLayout, QWidget

from app import theme
from app.panels.button import Button
from app.ruler import ruler_of
from app.session import Session
from app.state import differences, viewing_distance_m
from app.state.framing import is_wrapped
from app.state.lengths import distance_text
from app.state.pins import letter
from app.state.sheet import SHEETS
from app.views.canvas import Canvas
from app.views.frame import IN_THE_FILE
from app.views.sheet_view import SheetView
from app.views.viewport import Viewport
from proofing.findings.regions import Region
from proofing.language import mark, numeral, tr

_GAP = 2
_ELSEWHERE = (QEvent.Type.DevicePixelRatioChange, QEvent.Type.ScreenChangeInternal)
"""Events of a window that is moved to another monitor."""
_SURFACE_WORDS = mark("with a hint of its surface, drawn and not measured")
_GRIP = 11  # logical pixels that take hold of the line


def monitor_of(screen: QScreen) -> str:
    """By which a monitor is known again."""
    parts = (screen.manufacturer(), screen.model(), screen.serialNumber(), screen.name())
    return " ".join(part for part in parts if part)


class PairView(QWidget):
    """Left the photograph as the screen shows it, or a print that is kept; right the print on its
    wall.

    Signals
    -------
    open_asked : ()
        The button of the empty window was pressed.
    """

    open_asked = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.photograph = Canvas("photograph", self)
        self.print = Canvas("print", self)
        self._invitation = _Invitation(self.photograph)
        self._invitation.button.clicked.connect(self.open_asked)
        for canvas, other in ((self.photograph, self.print), (self.print, self.photograph)):
            canvas.gestured.connect(self._gesture)
            canvas.pointed.connect(self._pointer(canvas, other))
            canvas.left.connect(self._leave)
        self.sheet = SheetView(session, self)
        self.sheet.gestured.connect(self._gesture)
        self.sheet.pointed.connect(lambda x, y, from_keys: session.probe(x, y))
        self.sheet.left.connect(session.stop_probing)
        self.line = _Line(self)
        self.line.drawn_to.connect(self._draw_line)
        self._stood: tuple[str, float, int] | None = None
        session.changed.connect(self._follow)
        session.drawn.connect(self._show_pixels)
        session.proved.connect(self._follow)
        session.baked_changed.connect(self._show_surround)
        self._follow()

    # ---- layout

    def sizeHint(self) -> QSize:
        return QSize(1200, 560)

    def minimumSizeHint(self) -> QSize:
        return QSize(320, 120)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._stand()

    def _stand(self) -> None:
        """Put the pictures where the arrangement has them."""
        view, width, height = self._session.state.view, self.width(), self.height()
        divided = view.arrangement == "divided"
        if divided:
            # both panes begin at the same corner; the left one only ends earlier
            pane = QSize(width, height)
            at = round(view.divide * width)
            self.print.setGeometry(0, 0, width, height)
            self.photograph.setGeometry(0, 0, max(at, 1), height)
            self.line.setGeometry(at - _GRIP // 2, 0, _GRIP, height)
        elif view.arrangement == "above":
            half = (height - _GAP) // 2
            pane = QSize(width, half)
            self.photograph.setGeometry(0, 0, width, half)
            self.print.setGeometry(0, height - half, width, half)
        else:
            half = (width - _GAP) // 2
            pane = QSize(half, height)
            self.photograph.setGeometry(0, 0, half, height)
            self.print.setGeometry(width - half, 0, half, height)
        on_sheet = view.arrangement in SHEETS
        if on_sheet:
            self.sheet.setGeometry(0, 0, width, height)
            picture = self._session.state.facts.picture
            shape = 1.5 if picture is None else picture.width_px / picture.height_px
            pane = self.sheet.stand(shape)
            self.sheet.raise_()
        had_focus = self.isAncestorOf(QApplication.focusWidget() or self)
        self.sheet.setVisible(on_sheet)
        for canvas in (self.photograph, self.print):
            canvas.setVisible(not on_sheet)
        focused = QApplication.focusWidget()
        if had_focus and (focused is None or not self.isAncestorOf(focused)):
            self.take_focus()
        self.line.setVisible(divided)
        if divided:
            self.photograph.raise_()
            self.line.raise_()
        self.print.caption_at_right = divided
        self.print.update()
        self._invitation.setGeometry(self.photograph.rect())
        ratio = self.devicePixelRatioF()
        screen = self.screen()
        across = screen.geometry().width() * screen.devicePixelRatio()
        self._session.sight.stand_on(
            monitor_of(screen), ruler_of(screen.physicalSize().width(), across)
        )
        self._session.sight.set_pane(
            round(pane.width() * ratio), round(pane.height() * ratio), ratio
        )

    def event(self, event: QEvent) -> bool:
        if event.type() in _ELSEWHERE:
            self._stand()
        return super().event(event)

    def take_focus(self) -> None:
        """The keyboard goes to what is shown, so that its own keys work."""
        held = self.sheet if self.sheet.isVisible() else self.print
        held.setFocus(Qt.FocusReason.OtherFocusReason)

    def _draw_line(self, x: float) -> None:
        self._session.sight.divide(x / max(self.width(), 1))

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(theme.GROUND))
        painter.end()

    # ---- listening

    def _follow(self) -> None:
        now = self._session.state.view
        stands = (now.arrangement, now.divide, len(self._session.sheet.prints))
        if stands != self._stood:
            self._stood = stands
            self._stand()
        view = self._session.sight.viewport
        for canvas in (self.photograph, self.print):
            canvas.show_viewport(view)
        self._invitation.setVisible(view is None and not self._session.opening)
        self.sheet.follow(view)
        left, right = ("", "") if view is None else self._captions(view)
        self.photograph.show_caption(left)
        self.print.show_caption(right)
        pins = tuple(
            (letter(number), x, y) for number, (x, y) in enumerate(self._session.state.view.pins)
        )
        for canvas in (self.photograph, self.print, *self.sheet.cells):
            canvas.show_pins(pins)
        findings, finding = self._session.losses.findings, self._session.losses.finding
        chosen = () if finding is None else finding.region.outlines
        for canvas, in_file in ((self.photograph, True), (self.print, False)):
            plates = [
                (number, *_head(found.region))
                for number, found in enumerate(findings, start=1)
                if (found.kind in IN_THE_FILE) is in_file
            ]
            canvas.show_places(plates, chosen)

    def _captions(self, view: Viewport) -> tuple[str, str]:
        """What hangs left and right; of two prints, how they differ."""
        session, zoom = self._session, zoom_text(view.scale)
        size = session.state.view.size
        if size:
            said = {"true": tr("true size"), "seen": tr("as large as from the viewing distance")}[
                size
            ]
            zoom = (
                said
                if session.sight.ruler.matched
                else tr("{said}, as the monitor tells its own", said=said)
            )
        if session.state.view.as_resolved:
            facts = session.state.facts
            away = distance_text(viewing_distance_m(session.setting, facts), facts.inches)
            zoom += tr("   as an eye at {away} resolves it", away=away)
        surface = f"   {tr(_SURFACE_WORDS)}" if session.state.view.surface else ""
        kept, facts = session.state.view.kept, session.state.facts
        if kept is None:
            return tr("Photograph   {place}{zoom}", place=self._place_at_hand(), zoom=zoom), tr(
                "Print{surface}", surface=surface
            )
        left, right = (
            differences(kept, session.setting, facts), differences(session.setting, kept, facts)
        )  # fmt: skip
        if not left and not right:
            right = tr("as the kept one, until you choose otherwise")
        return (
            tr(
                "Kept print   {told}{zoom}{surface}",
                told=left + "   " if left else "",
                zoom=zoom,
                surface=surface,
            ),
            tr("Print   {told}{surface}", told=right, surface=surface),
        )

    def _place_at_hand(self) -> str:
        """Which of several pictures it is, '' for the only one."""
        state = self._session.state
        pictures, now = state.view.pictures, state.setting.photograph
        if len(pictures) < 2 or now not in pictures:
            return ""
        return tr("{index} of {pictures}   ", index=pictures.index(now) + 1, pictures=len(pictures))

    def hide_marks(self, hidden: bool) -> None:
        """See the pictures without marks for a while."""
        for canvas in (self.photograph, self.print):
            canvas.hide_marks(hidden)

    def _show_pixels(self) -> None:
        session = self._session
        for canvas in (self.photograph, self.print):
            canvas.show_frames(session.sight.base, session.sight.detail)
        self.sheet.follow(session.sight.viewport)

    def _show_surround(self) -> None:
        baked, kept = self._session.baked, self._session.beside.kept
        if baked is not None:
            wrapped = is_wrapped(self._session.setting)  # a canvas has no paper round it
            paper = None if wrapped else theme.colour(baked.paper_bgr)
            self.print.show_surround(theme.colour(baked.wall_bgr), paper)
        if kept is None:
            self.photograph.show_surround(QColor(theme.PANE), None)
        else:
            wrapped = is_wrapped(kept.setting)
            self.photograph.show_surround(
                theme.colour(kept.baked.wall_bgr),
                None if wrapped else theme.colour(kept.baked.paper_bgr),
            )
        self.photograph.setAccessibleName(tr("Photograph") if kept is None else tr("Kept print"))

    # ---- gestures

    def _gesture(self, change: Callable[[Viewport], Viewport]) -> None:
        self._session.sight.gesture(change)

    def _pointer(self, canvas: Canvas, other: Canvas) -> Callable[[float, float, bool], None]:
        def pointed(x: float, y: float, from_keys: bool) -> None:
            # Under the mouse the arrow itself points; from the keyboard the cross does.
            canvas.show_cross((x, y) if from_keys else None)
            other.show_cross((x, y))
            self._session.probe(x, y)

        return pointed

    def _leave(self) -> None:
        for canvas in (self.photograph, self.print):
            canvas.show_cross(None)
        self._session.stop_probing()


class _Line(QWidget):
    """The line between two pictures that lie on each other, to be drawn to and fro.

    Signals
    -------
    drawn_to : float
        Where across the pictures it is to stand, logical pixels.
    """

    drawn_to = Signal(float)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setCursor(Qt.CursorShape.SplitHCursor)
        self.setAccessibleName(tr("Line between the pictures"))
        self.setToolTip(tr("Draw it to and fro (Ctrl+Shift+Left, Ctrl+Shift+Right)"))
        self.hide()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        middle = self.width() // 2
        painter.fillRect(middle - 1, 0, 3, self.height(), QColor("#202020"))
        painter.fillRect(middle, 0, 1, self.height(), QColor("#f0f0f0"))
        painter.end()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if event.buttons() & Qt.MouseButton.LeftButton:
            parent = self.parentWidget()
            assert parent is not None
            self.drawn_to.emit(self.mapTo(parent, event.position()).x())


class _Invitation(QWidget):
    """What an empty window says."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        words = QLabel(tr("Drop a photograph here"))
        words.setFont(theme.font(theme.SENTENCE_PX))
        words.setStyleSheet("color: #000000;")
        self.button = Button(tr("Open a photograph…"))
        self.button.setStyleSheet(
            "QPushButton { color: #000000; border: 1px solid #2c2c2c; padding: 6px 16px; }"
            f"QPushButton:hover {{ background: #868686; }}"
            f"QPushButton:focus {{ border: 2px solid {theme.FOCUS}; }}"
        )
        column = QVBoxLayout(self)
        column.setSpacing(2 * theme.SPACE)
        column.addStretch(1)
        column.addWidget(words, 0, Qt.AlignmentFlag.AlignHCenter)
        column.addWidget(self.button, 0, Qt.AlignmentFlag.AlignHCenter)
        column.addStretch(1)


def _head(region: Region) -> tuple[float, float]:
    """Where a place begins: the uppermost point of its longest outline."""
    if not region.outlines:
        return float(region.box[0]), float(region.box[1])
    line = max(region.outlines, key=len)
    x, y = line[line[:, 1].argmin()]
    return float(x), float(y)


def zoom_text(scale: float) -> str:
    """Monitor pixels for each pixel of the file.

    >>> zoom_text(1.0), zoom_text(0.25), zoom_text(2.0)
    ('1 : 1', '25 %', '200 %')
    """
    if scale == 1.0:
        return "1 : 1"
    return numeral(f"{scale * 100:.0f} %" if scale >= 0.1 else f"{scale * 100:.1f} %")
