"""The window: two pictures, and under them, like a label on a wall, one sentence."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QEvent, QObject, QPoint, QRect, QSize, Qt, QTimer, Signal
from PySide6.QtGui import (
    QCloseEvent,
    QDragEnterEvent,
    QDropEvent,
    QKeyEvent,
    QMouseEvent,
    QResizeEvent,
)
from PySide6.QtWidgets import (
    QApplication,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QMainWindow,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app import theme
from app.dialogs import Dialogs, is_saved_setting
from app.job import notes_of, screen_line
from app.menus import Menus
from app.panels.chooser import Chooser, phrase_of
from app.panels.findings_panel import FindingsPanel
from app.panels.marks_panel import MarksPanel
from app.panels.pin_table import PinTable
from app.panels.probe_line import ProbeLine, reading
from app.panels.walk_card import WalkCard
from app.panels.why_card import WhyButton, WhyCard, explain, id_near
from app.session import Session
from app.state import BY_ID, CORRECTIONS, SETTINGS, Phrase, sentence
from app.state.sheet import SHEETS
from app.state.walk import STEPS, go_on, leave_walk
from app.views.marks_key import MarksKey
from app.views.notice_bar import NoticeBar
from app.views.pair_view import PairView
from app.views.pair_window import PairWindow, dropped_files, other_screen
from app.views.sentence_view import PAD, Piece, SentenceView
from app.views.work_sign import WorkSign
from app.work import closed
from proofing.findings.kinds import Kind
from proofing.findings.stage import Stage
from proofing.language import tr

if TYPE_CHECKING:
    from proofing.engine import Probe

SMALLEST = QSize(640, 400)  # smaller than a laptop's screen at a scale of two
_START = QSize(1440, 900)
_RECORDS = (".icc", ".icm", ".toml")
_LOW = 660  # under this height the legend and the probe are close-set
_LOWEST = 520  # under this one the sentence is set smaller
_NARROW = 1100  # under this width, and in a low window, the sentence has the whole width
_FOR_PICTURES = 0.45  # of a window's height at least
_FOR_FINDINGS = 0.2
_LEAST_LINES = 2  # of the sentence; the rest scrolls


class _Band(QWidget):
    """What is under the pictures. It grows with its words but never shrinks while the window
    keeps its width: the pictures must not jump while settings are tried.

    Signals
    -------
    pressed : ()
        On no control.
    """

    pressed = Signal()

    def __init__(self, spare: Callable[[], int]) -> None:
        super().__init__()
        self.spare = spare  # height kept for the usual additions

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.pressed.emit()

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.LayoutRequest:
            self.setMinimumHeight(max(self.minimumHeight(), self._wanted()))
        return super().event(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self.fit()

    def fit(self) -> None:
        """As high as its words now, be it less than before."""
        self.setMinimumHeight(self._wanted())

    def _wanted(self) -> int:
        layout = self.layout()
        assert layout is not None
        return layout.totalHeightForWidth(self.width()) + self.spare()


class _Words(QScrollArea):
    """The sentence and the remarks; in a low window they scroll, so that the pictures have room."""

    def __init__(self, inside: QWidget) -> None:
        super().__init__()
        self._limit = self._whole_lines = 10_000
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setWidgetResizable(True)
        inside.setMinimumSize(1, 1)  # or a wrapped label asks for the height of a narrow one
        self.setWidget(inside)

    @property
    def is_cut(self) -> bool:
        """Whether there is more than it may show."""
        inside = self.widget()
        return inside is not None and inside.heightForWidth(self.width()) > self._limit

    def limit(self, height: int, ends: Sequence[int]) -> None:
        """No higher than this; where that is less than wanted, it ends where a line ends."""
        least = ends[min(_LEAST_LINES, len(ends)) - 1]
        whole = max((end for end in ends if end <= max(height, least)), default=least)
        if (height, whole) != (self._limit, self._whole_lines):
            self._limit, self._whole_lines = height, whole
            self.updateGeometry()

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        inside = self.widget()
        wanted = 0 if inside is None else inside.heightForWidth(width)
        return wanted if wanted <= self._limit else min(wanted, self._whole_lines)

    def sizeHint(self) -> QSize:
        return QSize(720, self.heightForWidth(720))

    def minimumSizeHint(self) -> QSize:
        return QSize(240, 24)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self.widget() and event.type() == QEvent.Type.LayoutRequest:
            self.updateGeometry()
        return super().eventFilter(watched, event)


class MainWindow(QMainWindow):
    """Everything a person sees."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        session.setParent(self)  # goes with the window, and on its thread
        self.setWindowTitle("stocklight")
        self.setMinimumSize(SMALLEST)
        self.resize(_START)
        self.setAcceptDrops(True)
        self.chooser: Chooser | None = None
        self.apart: PairWindow | None = None  # where the pictures are when not in this window
        self.notice = NoticeBar()
        self.pair = PairView(session)
        self.sentence = SentenceView()
        self.remarks = QLabel()
        self.remarks.setWordWrap(True)
        self.remarks.setFont(theme.font(theme.SMALL_PX))
        self.remarks.setTextFormat(Qt.TextFormat.PlainText)
        self.remarks.setProperty("quiet", True)
        self.remarks.setAccessibleName(tr("Remarks"))
        self.remarks_why = WhyButton("remarks")
        line = self.remarks.fontMetrics().height()  # no line gets higher by the ring
        self.remarks_why.setFixedHeight(min(self.remarks_why.height(), line))
        self.probe = ProbeLine()
        self.pin_table = PinTable()
        self.sign = WorkSign()
        self._marks_key = MarksKey(self, self.pair)
        self.menus = Menus(self, self.pair, session, self.run_command)
        self.dialogs = Dialogs(self, session, self.menus.shortcuts, self.pair.window)
        self.marks = MarksPanel(self.menus.shortcuts())
        self.findings = FindingsPanel()
        self.sentence.comes_after(self.pair.print)
        self._explained = session.setting
        self._findings_stood = True
        self._lay_out()
        self._listen()
        self._follow()
        self.pair.print.setFocus()

    def _lay_out(self) -> None:
        self.remarks.setContentsMargins(PAD, 0, PAD, 0)  # in line with the sentence's words
        inside = QWidget()
        words = QVBoxLayout(inside)
        words.setContentsMargins(0, 0, 0, 0)
        words.setSpacing(theme.SPACE)
        words.addWidget(self.sentence)
        said = QHBoxLayout()
        said.setSpacing(0)
        said.addWidget(self.remarks, 1)
        said.addWidget(self.remarks_why, 0, Qt.AlignmentFlag.AlignTop)
        words.addLayout(said)
        words.addStretch(1)
        self._words = _Words(inside)
        self._band = _Band(self._spare)
        self._grid = QGridLayout(self._band)
        self._grid.setColumnStretch(0, 1)
        self._grid.setRowStretch(1, 1)
        self._arrange(low=False, stacked=False)
        self._centre = QWidget()
        column = QVBoxLayout(self._centre)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.notice)
        column.addWidget(self.pair, 1)
        column.addWidget(self._band)
        self.setCentralWidget(self._centre)
        self.walk = WalkCard(self._centre)

    def _arrange(self, *, low: bool, stacked: bool) -> None:
        """The sentence, the findings, the legend and the probe under the pictures."""
        edge, grid = 2 * theme.SPACE, self._grid
        for part in (
            self._words, self.findings, self.marks, self.pin_table, self.probe, self.sign
        ):  # fmt: skip
            grid.removeWidget(part)
        top = Qt.AlignmentFlag.AlignTop
        right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        grid.addWidget(self._words, 0, 0, 1, 2 if stacked else 1)
        grid.addWidget(self.findings, 1, 0)
        grid.addWidget(self.marks, 1 if stacked else 0, 1, 1 if stacked else 2, 1, top)
        grid.addWidget(self.pin_table, 2, 0, 1, 2)
        grid.addWidget(self.probe, 3, 0, 1, 2)
        grid.addWidget(self.sign, 3, 0, 1, 2, right)
        for part in (self.marks, self.pin_table, self.probe, self.sign):
            part.show_low(low)
        self.sign.raise_()
        taken = 0 if low else self.sign.sizeHint().width() + edge
        self.probe.setContentsMargins(PAD, 0, taken, 0)
        self.pin_table.setViewportMargins(PAD, 0, 0, 0)
        if low:
            grid.setContentsMargins(edge - PAD, 6, edge, 2)
        else:
            grid.setContentsMargins(edge - PAD, edge - 4, edge, theme.SPACE)
        grid.setHorizontalSpacing((2 if low else 4) * theme.SPACE)
        grid.setVerticalSpacing(4 if low else theme.SPACE)

    def _spare(self) -> int:
        """Height that the sentence may yet need, where it does not scroll."""
        return 0 if self._words.is_cut else self.sentence.spare(self.sentence.width())

    def _listen(self) -> None:
        session = self.session
        session.changed.connect(self._follow)
        session.baked_changed.connect(self._show_remarks)
        session.proved.connect(self._show_proof)
        session.proved.connect(lambda: QTimer.singleShot(0, self, self._place_walk))
        session.progressed.connect(self.sign.progress)
        session.probed.connect(self._show_probe)
        session.pinned.connect(self._show_pins)
        session.working.connect(self.sign.say)
        self.sign.stopped.connect(session.stop)
        session.failed.connect(self._show_notice)
        session.offered.connect(self._show_offer)
        session.noted.connect(self._show_notes)
        session.asked.connect(self._answer)
        application = QApplication.instance()
        assert isinstance(application, QApplication), "make the application before its window"
        application.focusChanged.connect(self._focus_moved)
        self._band.pressed.connect(self._keep)
        self.notice.dismissed.connect(self.pair.print.setFocus)
        self.notice.followed.connect(session.run)
        self.walk.stepped.connect(lambda by: session.become(go_on(session.state, by)))
        self.walk.left.connect(lambda: session.become(leave_walk(session.state)))
        self.sentence.asked.connect(self._toggle_chooser)
        self.pair.open_asked.connect(lambda: session.run("open_photograph"))
        self.marks.toggled.connect(session.run)
        self.marks.tolerance_asked.connect(lambda: self.open_chooser("gamut_tolerance"))
        self.marks.strengthened.connect(session.losses.strengthen)
        self.findings.chosen.connect(session.losses.go_to)
        self.findings.followed.connect(session.losses.follow)
        self.findings.taken_back.connect(session.losses.take_back)
        self.findings.dismissed.connect(session.losses.dismiss)
        self.findings.marks_wanted.connect(session.losses.show_kinds)

    # ---- listening

    def _follow(self) -> None:
        session = self.session
        parts = sentence(session.setting, session.state.facts)
        self.sentence.show_pieces([self._piece(part) for part in parts])
        name = session.state.facts.picture
        self.setWindowTitle("stocklight" if name is None else f"{name.name} – stocklight")
        self.marks.show_marks(session.state.setting.marks, session.setting.gamut_tolerance)
        self._show_proof()
        self.marks.show_strength(session.state.view.mark_strength)
        for part in (self.marks, self.findings):
            part.setVisible(self._findings_stand)
        if self._findings_stand != self._findings_stood:
            self._findings_stood = self._findings_stand
            self._share_height()
        self._stand_apart(session.state.view.apart)
        filled = self if self.apart is None else self.apart
        if session.state.view.full_screen != filled.isFullScreen():
            filled.setWindowState(filled.windowState() ^ Qt.WindowState.WindowFullScreen)
        self._show_remarks()
        self._show_walk()
        if session.setting != self._explained:  # a why told of what was there
            self._put_cards_away()
        self._explained = session.setting
        chooser = self.chooser
        if chooser is not None and session.state.setting != chooser.state.setting:
            self.close_chooser()  # an undo, or a command, has changed what it was opened on
        elif chooser is not None and not session.state.facts.lists_alike(chooser.state.facts):
            self.open_chooser(chooser.phrase)  # its lists have been read, or others hold now

    @property
    def _findings_stand(self) -> bool:
        """Whether findings and legend are in sight: beside a sheet there is no room for them."""
        view = self.session.state.view
        return view.findings_open and view.arrangement not in SHEETS

    def _put_cards_away(self) -> None:
        for card in self.findChildren(WhyCard):
            if card.isVisible():
                card.put_away()

    def _show_walk(self) -> None:
        """The step of the first walk beside what it is about, if there is one."""
        step = self.session.state.view.walk
        if step is None:
            if self.walk.isVisible():
                had_focus = self.walk.isAncestorOf(QApplication.focusWidget() or self)
                self.walk.put_away()
                if had_focus:
                    self.pair.print.setFocus()
            return
        begins = not self.walk.isVisible()
        self.walk.show_step(step)
        self._place_walk()
        QTimer.singleShot(0, self, self._place_walk)  # once a row that opens has its height
        if begins:
            self.walk.on.setFocus(Qt.FocusReason.OtherFocusReason)

    def _place_walk(self) -> None:
        step = self.session.state.view.walk
        if step is None:
            return
        place = STEPS[step].at
        parts: dict[str, QWidget] = {"pictures": self.pair, "findings": self.findings}
        part = parts.get(place) or self.sentence.phrase(place) or self.sentence
        at = QRect(part.mapTo(self._centre, QPoint(0, 0)), part.size())
        if part is self.pair:
            at = at.adjusted(6, 6, -6, -6)
        elif part is self.findings:
            at.setHeight(self.findings.filled_height())  # the sentence above it stays in sight
        room = self._centre.rect().adjusted(4, 4, -4, -4)
        self.walk.stand_by(at, room, below=part is self.findings)

    def changeEvent(self, event: QEvent) -> None:
        """The desktop, too, fills the screen with a window and takes it back."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.WindowStateChange and self.apart is None:
            self.session.note_full_screen(self.isFullScreen())

    def run_command(self, id: str) -> None:
        """Run a command; what is seen in an open chooser is kept, but for a step in the history."""
        if self.chooser is not None and id not in ("undo", "redo"):
            considered = self.chooser.values
            if considered:
                self.session.change(**considered)
        self.session.run(id)

    def _stand_apart(self, apart: bool) -> None:
        """Put the pictures into a window of their own, or back into this one."""
        if apart == (self.apart is not None):
            return
        column = self._centre.layout()
        assert isinstance(column, QVBoxLayout)
        if apart:
            column.removeWidget(self.pair)
            self.apart = PairWindow(self.pair, self.menus.actions.values())
            self.apart.closed.connect(self._come_back)
            self.apart.filled.connect(self.session.note_full_screen)
            self.apart.dropped.connect(lambda paths: self.open_dropped(*paths))
            self.apart.stand_on(other_screen(self.screen()))
            self.session.note_full_screen(self.apart.isFullScreen())
            column.setStretch(1, 1)
        elif self.apart is not None:
            window, self.apart = self.apart, None
            column.insertWidget(1, window.give_back(), 1)
            column.setStretch(2, 0)
            window.closed.disconnect(self._come_back)
            window.close()
            window.deleteLater()
            self.pair.take_focus()
            self.session.note_full_screen(self.isFullScreen())
        self._share_height()

    def _come_back(self) -> None:
        """The window of the pictures was closed."""
        if self.session.state.view.apart:
            self.session.run("pair_apart")

    @staticmethod
    def _piece(part: Phrase | str) -> Piece:
        if isinstance(part, str):
            return Piece(part)
        return Piece(part.text, part.field, tr(SETTINGS[part.field].title))

    def _show_remarks(self) -> None:
        """What must be said about what is shown, in whole sentences."""
        baked = self.session.baked
        said = [] if baked is None else notes_of(baked)
        self.remarks.setText(" ".join(closed(text) for text in said))
        self.remarks_why.setVisible(bool(said))

    def _show_proof(self) -> None:
        session = self.session
        proof = session.losses.proof
        if proof is None:
            counting = session.photograph is not None
            self.marks.show_shares(None, counting=counting)
            self.findings.show_verdict(tr("Looking for what is lost…") if counting else "", "")
        else:
            known = (mark for mark in proof.marks if mark.kind not in proof.pending)
            self.marks.show_shares({mark.kind: mark.share for mark in known})
            verdict = proof.verdict
            if proof.stage is Stage.PROVISIONAL:
                verdict = tr(
                    "At a first glance, from a reduced copy: {verdict}",
                    verdict=f"{verdict[0].lower()}{verdict[1:]}",
                )
            screen = screen_line(proof)
            self.findings.show_verdict(verdict, screen)
        trial = session.losses.trial
        self.findings.show_others(session.losses.hidden, session.losses.shares)
        self.findings.show_findings(session.losses.findings, session.state.view.finding)
        self.findings.show_answer("" if trial is None else trial.sentence)

    def _show_probe(self, probe: Probe | None) -> None:
        photograph = self.session.photograph
        if probe is None or photograph is None:
            self.probe.show_reading(None)
            return
        self.probe.show_reading(reading(probe, photograph))

    def _show_pins(self) -> None:
        before = self.pin_table.wanted_height()
        self.pin_table.show_pins(self.session.pins.readings, self.session.photograph)
        if before != self.pin_table.wanted_height():
            self._share_height()  # the findings make room, not the pictures

    def _show_notice(self, text: str) -> None:
        if text:
            self.notice.say(text)
        else:
            self.notice.clear()

    def _show_offer(self, text: str, command: str) -> None:
        self.notice.say(text, tr(BY_ID[command].title), command)

    def _show_notes(self) -> None:
        if self.chooser is not None:
            self.chooser.show_notes(self.session.notes)

    def _answer(self, asked: str) -> None:
        """Do what the state waits for."""
        if asked.startswith("choose "):
            self.open_chooser(asked.removeprefix("choose "))
        elif asked == "why":
            self._explain()
        elif asked == "quit":
            self.close()
        else:
            self._put_cards_away()
            self.dialogs.answer(asked)

    def _explain(self) -> None:
        """Why the number that the keyboard is at is what it is; else the verdict's."""
        focused = self.focusWidget()
        at_pictures = focused is None or self.pair.isAncestorOf(focused)
        id = "" if at_pictures else id_near(focused)
        if focused is None or not id or focused is self.findings:
            explain("verdict", self.findings.whys[0])
        else:
            explain(id, focused)

    # ---- choosers

    def _toggle_chooser(self, field: str) -> None:
        if self.chooser is not None and self.chooser.phrase == phrase_of(field):
            self._keep()
        else:
            self.open_chooser(field)

    def open_chooser(self, field: str) -> None:
        """Open the chooser that holds a setting."""
        self._put_cards_away()
        if field == "photograph":
            self.session.run("open_photograph")
            return
        if field == "marks":
            self.marks.boxes[Kind.OUT_OF_GAMUT].setFocus(Qt.FocusReason.OtherFocusReason)
            return
        self._keep()
        session = self.session
        chooser = Chooser(field, session.state, session.notes, self._centre)
        chooser.considered.connect(session.consider)
        chooser.accepted.connect(self._choose)
        chooser.dismissed.connect(self.close_chooser)
        chooser.file_wanted.connect(self._choose_file)
        self.chooser = chooser
        self._words.ensureWidgetVisible(self._anchor(chooser.phrase))
        self._place_chooser()
        chooser.show()
        chooser.raise_()
        chooser.take_focus()
        self.sentence.show_open(chooser.phrase)

    def _place_chooser(self) -> None:
        chooser = self.chooser
        if chooser is None:
            return
        anchor = self._anchor(chooser.phrase)
        at = QRect(anchor.mapTo(self._centre, QPoint(0, 0)), anchor.size())
        chooser.stand_by(at, self._centre.rect().adjusted(4, 4, -4, -4))

    def _anchor(self, phrase: str) -> QWidget:
        """What a chooser stands by: its phrase; the tolerance may have none."""
        own = self.sentence.phrase(phrase)
        if own is None and phrase in CORRECTIONS:
            own = self.sentence.phrase("photograph")
        return own or self.marks.tolerance

    def _choose(self, values: dict[str, Any]) -> None:
        self._put_chooser_away()
        if values:
            self.session.change(**values)
        self.session.consider(None)

    def _choose_file(self, field: str) -> None:
        self.close_chooser()
        self.dialogs.answer(f"file for {field}")

    def close_chooser(self) -> None:
        """Put the chooser away and go back to what was chosen."""
        self._put_chooser_away()
        self.session.consider(None)

    def _put_chooser_away(self) -> None:
        chooser, self.chooser = self.chooser, None
        if chooser is None:
            return
        had_focus = chooser.isAncestorOf(QApplication.focusWidget() or self)
        chooser.hide()
        chooser.deleteLater()
        self.sentence.show_open(None)
        if had_focus:
            self._anchor(chooser.phrase).setFocus(Qt.FocusReason.PopupFocusReason)

    def _keep(self) -> None:
        """Choose what is seen and put the chooser away."""
        if self.chooser is not None:
            self._choose(self.chooser.values)

    def _focus_moved(self, before: QWidget | None, now: QWidget | None) -> None:
        """The keyboard has left the chooser, by a click elsewhere or by Tab: keep what is seen."""
        chooser = self.chooser
        if chooser is None or now is None or now.window() is not self:
            return
        if isinstance(now.parentWidget(), WhyCard):
            return  # it explains a field and gives the keyboard back
        if now is not chooser and not chooser.isAncestorOf(now):
            self._keep()

    # ---- the window itself

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Keys that nothing else wants: Escape leaves the walk, then the place gone to; those
        of the pictures work from a phrase or a button, too."""
        if event.key() != Qt.Key.Key_Escape:
            if not self.menus.run_plain(event):
                super().keyPressEvent(event)
        elif self.walk.isVisible():
            self.walk.left.emit()
        elif self.session.state.view.finding is not None:
            self.session.run("leave_finding")
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._share_height()

    def _share_height(self) -> None:
        """Arrange what is under the pictures by the room that the window has."""
        low = self.height() < _LOW
        stacked = low or self.width() < _NARROW
        self._arrange(low=low, stacked=stacked)
        self.sentence.show_small(self.height() < _LOWEST)
        legend = self.marks.sizeHint().height()
        for_findings = legend if low else max(80, round(_FOR_FINDINGS * self.height()))
        for_findings = max(60, for_findings - self.pin_table.wanted_height())
        if not self._findings_stand:
            for_findings = legend = 0
        self.findings.want(for_findings)
        if stacked:
            for_findings = max(for_findings, legend)
        margins = self._grid.contentsMargins()
        rest = self.menuBar().height() + self.probe.heightForWidth(self.width() - 2 * PAD)
        rest += margins.top() + margins.bottom() + 2 * self._grid.verticalSpacing() + for_findings
        for_pictures = _FOR_PICTURES if self.apart is None else 0.0
        room = round((1 - for_pictures) * self.height()) - rest
        self._words.limit(room, self._line_ends())
        self._band.fit()
        self._place_chooser()
        QTimer.singleShot(0, self, self._place_walk)  # once the parts stand where they will

    def _line_ends(self) -> list[int]:
        """Where lines of the sentence and of the remarks end, from the top of the words."""
        width = self._words.viewport().width()
        line, whole = self.sentence.line_height(self.width()), self.sentence.heightForWidth(width)
        ends = [*range(line, whole, line), whole]
        step = self.remarks.fontMetrics().lineSpacing()
        below = whole + theme.SPACE
        remarks = self.remarks.heightForWidth(max(width - self.remarks_why.width(), 1))
        return [*ends, *range(below + step, below + remarks + 1, step)]

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if dropped_files(event):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        if paths := dropped_files(event):
            event.acceptProposedAction()
            self.open_dropped(*paths)

    def open_dropped(self, *paths: str) -> None:
        """Photographs or a folder of them, a saved setting, or with an ICC profile or a record a
        stock."""
        path = paths[0]
        if is_saved_setting(path):
            self.dialogs.load_setting(path)
        elif Path(path).suffix.lower() in _RECORDS:
            self.session.use_stock_file(path)
        else:
            self.dialogs.open_all(paths)

    def closeEvent(self, event: QCloseEvent) -> None:
        self._put_chooser_away()
        self._end_apart()
        self.dialogs.close()
        self.hide()  # what is still worked on may take a moment to end
        self.session.close()
        super().closeEvent(event)

    def _end_apart(self) -> None:
        """The window ends, and that of the pictures with it; the next one begins alike."""
        if self.apart is not None:
            self.apart.closed.disconnect(self._come_back)
            self.apart.close()
