"""A small ring to ask "why", and the card that answers."""

from __future__ import annotations

from collections.abc import Callable

import shiboken6
from PySide6.QtCore import QEvent, QObject, QPoint, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QApplication,
    QFrame,
    QHBoxLayout,
    QLabel,
    QMainWindow,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app import theme
from app.panels.button import Button
from app.panels.enter_button import ENTER, EnterButton
from app.panels.link import Link
from app.whys import Why, why
from proofing.language import tr

_SIDE = 16
_CARD_WIDTH = 400
_GAP = 8
_EDGE = 4  # of the window, kept free
_NEAR = 3  # of widgets within one another: what is further out is about something else


class WhyButton(EnterButton):
    """Asks why a number is what it is; the card opens beside it."""

    def __init__(self, id: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.id = id
        found = why(id)
        title = "" if found is None else found.title
        self.setAccessibleName(tr("Why: {title}", title=title))
        self.setToolTip(tr("Why? ({keys})", keys="Shift+F1"))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setFixedSize(_SIDE, _SIDE)
        self.clicked.connect(self.open)

    def open(self) -> None:
        """Open the card."""
        explain(self.id, self)

    def sizeHint(self) -> QSize:
        return QSize(_SIDE, _SIDE)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)
        lit = self.underMouse() or self.hasFocus()
        colour = QColor(theme.FOCUS if self.hasFocus() else theme.TEXT if lit else theme.QUIET)
        painter.setPen(QPen(colour, 1.0))
        painter.drawEllipse(QRectF(1.5, 1.5, _SIDE - 3, _SIDE - 3))
        painter.setFont(theme.font(10, strong=True))
        painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, "?")
        painter.end()


class WhyCard(QFrame):
    """Three sentences, the formula and its source. A click elsewhere, Escape or Enter closes it.

    Tab stays in it; what the keyboard was at before gets it back.
    """

    def __init__(self, found: Why, window: QWidget, back: QWidget | None) -> None:
        super().__init__(window)
        self.found = found
        self._back = back
        self._beside = QRect()
        self.setObjectName("why")
        self.setAccessibleName(tr("Why: {found}", found=found.title))
        said = " ".join(found.sentences)
        self.setAccessibleDescription(f"{said} {found.formula}. {found.source}")
        self.setStyleSheet(
            f"QFrame#why {{ background: {theme.CARD}; border: 1px solid {theme.QUIET};"
            "border-radius: 6px; }"
        )
        title = QLabel(found.title)
        title.setFont(theme.font(theme.BODY_PX, strong=True))
        column = QVBoxLayout(self)
        column.setContentsMargins(14, 10, 14, 10)
        column.setSpacing(theme.SPACE - 2)
        column.addWidget(title)
        for sentence in found.sentences:
            column.addWidget(self._line(sentence))
        column.addWidget(self._line(found.formula.replace(";  ", "\n"), size=theme.BODY_PX))
        source = self._line(tr("Source: {source}", source=found.source))
        source.setProperty("quiet", True)
        column.addWidget(source)
        self.more: list[QPushButton] = []
        self.close_button = Button(tr("Close"))
        self.close_button.clicked.connect(self.put_away)
        if found.more:
            column.addLayout(self._links())
        column.addWidget(self.close_button, 0, Qt.AlignmentFlag.AlignRight)
        self.setFixedWidth(min(_CARD_WIDTH, window.width() - 8))
        application = QApplication.instance()
        if application is not None:
            application.installEventFilter(self)

    def _links(self) -> QHBoxLayout:
        """What else is explained."""
        line = QHBoxLayout()
        line.setContentsMargins(-Link.PAD, 0, 0, 0)
        line.setSpacing(2)
        for id in self.found.more:
            other = why(id)
            if other is None:
                continue
            button = Link(other.title)
            button.setAccessibleName(tr("Why: {other}", other=other.title))
            button.clicked.connect(self._leading_to(id))
            self.more.append(button)
            line.addWidget(button)
        line.addStretch(1)
        return line

    def _leading_to(self, id: str) -> Callable[[], None]:
        return lambda: self._go_on(id)

    def _go_on(self, id: str) -> None:
        """Another explanation in the place of this one."""
        found, window = why(id), self.parentWidget()
        if found is not None and window is not None:
            _show(found, window, self._back, self._beside)
            self.put_away()

    @staticmethod
    def _line(text: str, size: int = theme.SMALL_PX) -> QLabel:
        line = QLabel(text)
        line.setWordWrap(True)
        line.setFont(theme.font(size, tabular=True))
        line.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        return line

    def stand_by(self, at: QRect, window: QWidget) -> None:
        """Stand above a part of the window; where there is no room beside it, or below it. The
        menus stay in sight."""
        self._beside = at
        central = window.centralWidget() if isinstance(window, QMainWindow) else None
        first = _EDGE + (0 if central is None else central.mapTo(window, QPoint(0, 0)).y())
        layout = self.layout()
        assert layout is not None
        layout.activate()
        self.resize(self.width(), layout.totalHeightForWidth(self.width()))
        middle = at.center()
        left, top = middle.x() - self.width() // 2, at.top() - _GAP - self.height()
        if top < first:
            top = middle.y() - self.height() // 2
            if at.right() + _GAP + self.width() <= window.width() - _EDGE:
                left = at.right() + _GAP
            elif at.left() - _GAP - self.width() >= _EDGE:
                left = at.left() - _GAP - self.width()
            else:
                top = at.bottom() + _GAP
        left = max(min(left, window.width() - self.width() - _EDGE), _EDGE)
        last = window.height() - self.height() - _EDGE
        self.move(left, max(min(max(top, first), last), _EDGE))

    def put_away(self) -> None:
        """Close, and give the keyboard back."""
        application = QApplication.instance()
        if application is not None:
            application.removeEventFilter(self)
        had_focus = self.isAncestorOf(QApplication.focusWidget() or self)
        self.hide()
        back = self._back
        if had_focus and back is not None and shiboken6.isValid(back):
            back.setFocus(Qt.FocusReason.PopupFocusReason)
        self.deleteLater()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if not isinstance(watched, QWidget) or watched is self or self.isAncestorOf(watched):
            return False
        if event.type() == QEvent.Type.MouseButtonPress:
            self.put_away()
        escapes = isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape
        if escapes and event.type() == QEvent.Type.KeyPress:
            self.put_away()  # though the keyboard was taken away from the card
            return True
        return False

    def focusNextPrevChild(self, forward: bool) -> bool:
        stops = [*self.more, self.close_button]
        now = QApplication.focusWidget()
        at = next((i for i, stop in enumerate(stops) if stop is now), 0)
        stops[(at + (1 if forward else -1)) % len(stops)].setFocus(
            Qt.FocusReason.TabFocusReason if forward else Qt.FocusReason.BacktabFocusReason
        )
        return True

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Escape, *ENTER):
            self.put_away()
        else:
            super().keyPressEvent(event)


def explain(id: str, beside: QWidget, at: QRect | None = None) -> WhyCard | None:
    """Open the card of an id beside a widget, in its window; None where there is none.

    Parameters
    ----------
    id
        Of the explanation.
    beside
        What shows the number.
    at
        The part of it; all of it where not given.
    """
    found, window = why(id), beside.window()
    if found is None:
        return None
    for card in window.findChildren(WhyCard):
        card.put_away()
    back = QApplication.focusWidget()
    part = at if at is not None else beside.rect()
    place = QRect(beside.mapTo(window, part.topLeft()), part.size())
    return _show(found, window, back if back is not None else beside, place)


def _show(found: Why, window: QWidget, back: QWidget | None, at: QRect) -> WhyCard:
    card = WhyCard(found, window, back)
    card.stand_by(at, window)
    card.show()
    card.raise_()
    card.close_button.setFocus(Qt.FocusReason.PopupFocusReason)
    return card


def id_near(widget: QWidget | None) -> str:
    """The id of the explanation that is nearest to a widget: its own, or one beside it; ''."""
    for _ in range(_NEAR):
        if widget is None:
            break
        own = widget.property("why")
        if isinstance(own, str) and own:
            return own
        if isinstance(widget, WhyButton):
            return widget.id
        button = widget.findChild(WhyButton)
        if button is not None and button.isVisibleTo(widget):
            return button.id
        widget = widget.parentWidget()
    return ""
