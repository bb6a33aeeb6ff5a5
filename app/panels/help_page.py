"""The pages of help in a window beside the pictures."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from PySide6.QtCore import QPoint, QSize, Qt, QUrl
from PySide6.QtGui import (
    QColor,
    QFont,
    QImage,
    QKeySequence,
    QResizeEvent,
    QShortcut,
    QTextBlockFormat,
    QTextCharFormat,
    QTextCursor,
    QTextDocument,
    QTextTable,
)
from PySide6.QtWidgets import (
    QBoxLayout,
    QDialog,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QTextBrowser,
    QVBoxLayout,
    QWidget,
)

from app import theme
from app.helping import HelpPage, pages, picture_of
from app.panels.button import Button
from app.panels.marks_panel import Swatch
from proofing.findings.kinds import Kind
from proofing.language import tr

_SIZE = QSize(860, 660)
_CONTENTS = QSize(210, 72)  # beside the page; above it in a narrow window
_NARROW = 560
_ANY = 16_777_215  # of a height, the toolkit's QWIDGETSIZE_MAX
_HEADINGS_PX = {1: 22, 2: 16}
_BETWEEN = 9  # pixels between paragraphs
_LINE_PERCENT = 125.0


class _Page(QTextBrowser):
    """Knows the textures of the marks by the names of their pictures."""

    def loadResource(self, kind: int, name: QUrl | str) -> Any:
        wanted = name.toString() if isinstance(name, QUrl) else name
        found = [each for each in Kind if picture_of(each) == wanted]
        return _texture(found[0]) if found else super().loadResource(kind, name)


class HelpWindow(QDialog):
    """A list of contents, a page, and a line to find words in all of them."""

    def __init__(self, parent: QWidget, keys: Mapping[str, str]) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("Help"))
        self._pages = pages(keys)
        self.contents = QListWidget()
        self.contents.setAccessibleName(tr("Pages of help"))
        self.contents.addItems([page.title for page in self._pages])
        self.contents.setSpacing(3)
        self.page = _Page()
        self.page.setAccessibleName(tr("Page of help"))
        self.page.setOpenLinks(False)
        self.page.anchorClicked.connect(self._follow)
        self.page.document().setDocumentMargin(2 * theme.SPACE)
        self.words = QLineEdit()
        self.words.setPlaceholderText(
            tr("Words to find in the help; Enter goes on to the next place")
        )
        self.words.setAccessibleName(tr("Find in the help"))
        self.words.textChanged.connect(lambda _: self._find(from_here=True))
        self.words.returnPressed.connect(lambda: self._find(from_here=False))
        self.found = QLabel()
        self.found.setProperty("quiet", True)
        self.back = Button(tr("Back"))
        self.back.setAutoDefault(False)
        self.back.clicked.connect(self._go_back)
        close = Button(tr("Close"))
        close.setAutoDefault(False)
        close.clicked.connect(self.reject)
        self._plain: dict[int, str] = {}
        for keys_of, called in (
            (QKeySequence.StandardKey.Find, self._to_words),
            (QKeySequence.StandardKey.Back, self._go_back),
        ):
            QShortcut(QKeySequence(keys_of), self, called)
        self.words.setToolTip(QKeySequence(QKeySequence.StandardKey.Find).toString())
        self.back.setToolTip(QKeySequence(QKeySequence.StandardKey.Back).toString())
        self._way: list[int] = []
        self._shown = -1
        head = QHBoxLayout()
        head.addWidget(self.back)
        head.addWidget(self.words, 1)
        head.addWidget(self.found)
        self._middle = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._middle.addWidget(self.contents)
        self._middle.addWidget(self.page, 1)
        column = QVBoxLayout(self)
        column.addLayout(head)
        column.addLayout(self._middle, 1)
        column.addWidget(close, 0, Qt.AlignmentFlag.AlignRight)
        self.contents.currentRowChanged.connect(self._show)
        self.contents.setCurrentRow(0)
        self.resize(_SIZE.boundedTo(parent.screen().availableSize() - QSize(40, 60)))
        self.page.setFocus()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        narrow = event.size().width() < _NARROW
        self.contents.setMinimumWidth(0 if narrow else _CONTENTS.width())
        self.contents.setMaximumWidth(_ANY if narrow else _CONTENTS.width())
        self.contents.setMaximumHeight(_CONTENTS.height() if narrow else _ANY)
        way = QBoxLayout.Direction
        self._middle.setDirection(way.TopToBottom if narrow else way.LeftToRight)

    def _to_words(self) -> None:
        self.words.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.words.selectAll()

    @property
    def shown(self) -> HelpPage:
        """The page in sight."""
        return self._pages[self._shown]

    def go_to(self, id: str) -> None:
        """Show the page of that name."""
        names = [page.id for page in self._pages]
        if id in names:
            self.contents.setCurrentRow(names.index(id))

    def _show(self, row: int, *, keep: bool = True) -> None:
        if row in (-1, self._shown):
            return
        if keep and self._shown >= 0:
            self._way.append(self._shown)
        self._shown = row
        document = self.page.document()
        self.page.setMarkdown(self._pages[row].text)
        _set_type(document)
        self.page.moveCursor(QTextCursor.MoveOperation.Start)
        self.back.setEnabled(bool(self._way))

    def _go_back(self) -> None:
        if self._way:
            row = self._way.pop()
            self._show(row, keep=False)
            self.contents.setCurrentRow(row)

    def _follow(self, link: QUrl) -> None:
        self.go_to(link.toString().removesuffix(".md"))

    def _find(self, *, from_here: bool) -> None:
        """Go to the next place of the words, on this page or a later one, all round.

        Parameters
        ----------
        from_here
            Whether the place that is marked may be found again, as while one types.
        """
        words = self.words.text().strip()
        self.found.clear()
        if not words:
            return
        if from_here:
            cursor = self.page.textCursor()
            cursor.setPosition(cursor.selectionStart())
            self.page.setTextCursor(cursor)
        if self.page.find(words):
            return
        count = len(self._pages)
        for step in range(1, count + 1):
            row = (self._shown + step) % count
            if words.casefold() in self._text_of(row).casefold():
                self.contents.setCurrentRow(row)
                self.page.moveCursor(QTextCursor.MoveOperation.Start)
                self.page.find(words)
                return
        self.found.setText(tr("Not in the help."))

    def _text_of(self, row: int) -> str:
        if row not in self._plain:
            document = QTextDocument()
            document.setMarkdown(self._pages[row].text)
            self._plain[row] = document.toPlainText()
        return self._plain[row]


def _set_type(document: QTextDocument) -> None:
    """Air between paragraphs, the window's strong type for what is strong, links in its grey."""
    cursor = QTextCursor(document)
    for frame in document.rootFrame().childFrames():
        if isinstance(frame, QTextTable):
            form = frame.format()
            form.setBorder(0)
            form.setCellSpacing(0)
            form.setCellPadding(5)
            frame.setFormat(form)
    block = document.begin()
    while block.isValid():
        level = block.blockFormat().headingLevel()
        spaced = QTextBlockFormat()
        in_table = QTextCursor(block).currentTable() is not None
        spaced.setBottomMargin(2 if in_table else _BETWEEN)
        spaced.setTopMargin(2 * _BETWEEN if level > 1 else 0)
        spaced.setLineHeight(
            _LINE_PERCENT, int(QTextBlockFormat.LineHeightTypes.ProportionalHeight.value)
        )
        cursor.setPosition(block.position())
        cursor.mergeBlockFormat(spaced)
        at = block.begin()
        while not at.atEnd():
            fragment = at.fragment()
            was = fragment.charFormat()
            now = QTextCharFormat()
            if level:
                now.setFont(theme.font(_HEADINGS_PX.get(level, theme.BODY_PX), strong=True))
            elif was.fontWeight() > QFont.Weight.Normal:
                now.setFont(theme.font(theme.BODY_PX, strong=True))
            if was.isAnchor():
                now.setForeground(QColor(theme.TEXT))
                now.setFontUnderline(True)
            cursor.setPosition(fragment.position())
            cursor.setPosition(
                fragment.position() + fragment.length(), QTextCursor.MoveMode.KeepAnchor
            )
            cursor.mergeCharFormat(now)
            at += 1
        block = block.next()


def _texture(kind: Kind) -> QImage:
    """A mark's texture as the legend has it."""
    swatch = Swatch(kind)
    ratio = 2.0
    image = QImage(
        round(swatch.width() * ratio), round(swatch.height() * ratio), QImage.Format.Format_RGB32
    )
    image.setDevicePixelRatio(ratio)
    swatch.render(image, QPoint(0, 0))
    return image
