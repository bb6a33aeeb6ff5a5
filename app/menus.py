"""Menus and shortcuts, made from the table of commands."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QMainWindow, QMenu, QWidget

from app.icons import icon
from app.session import Session
from app.state import BY_ID, COMMANDS, MENUS, Command
from proofing.findings.kinds import Kind
from proofing.language import tr

_PAIR_ONLY = (
    "Left",
    "Right",
    "Up",
    "Down",
    "Home",
    "End",
    "Ins",
    "Del",
)
"""Keys that lists and text fields need for themselves: they work while a picture has the focus."""

_SWITCHES = {"eye_blur": "eye_blur", "surface_hint": "surface"}
"""Commands that switch a part of the view on and off, which the menu ticks."""

_FROM_ANYWHERE = ("Home", "End", "Ins", "Del")
"""Those that also work where no text is typed and no list is gone through."""


class Menus:
    """The menu bar. Each action runs its command; all follow the state."""

    def __init__(
        self, window: QMainWindow, pair: QWidget, session: Session, run: Callable[[str], None]
    ) -> None:
        self._session = session
        self._run = run
        self.actions: dict[str, QAction] = {}
        bar = window.menuBar()
        bar.setAccessibleName(tr("Menus"))
        menus = {title: bar.addMenu(tr(title)) for title in MENUS}
        for command in COMMANDS:
            self._add(command, menus[command.menu], window, pair)
        session.changed.connect(self.follow)
        self.follow()

    def _add(self, command: Command, menu: QMenu, window: QWidget, pair: QWidget) -> None:
        action = QAction(tr(command.title), menu)
        action.setMenuRole(QAction.MenuRole.NoRole)
        action.setObjectName(command.id)
        action.setIcon(icon(command.id))
        if command.shortcut:
            keys = QKeySequence(command.shortcut, QKeySequence.SequenceFormat.PortableText)
            action.setShortcut(keys)
        owner = window
        if command.shortcut in _PAIR_ONLY:
            owner = pair
            action.setShortcutContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        owner.addAction(action)
        action.triggered.connect(lambda _=False, id=command.id: self._run(id))
        is_mark = command.menu == "Marks" and command.id != "toggle_marks"
        action.setCheckable(is_mark or command.id in _SWITCHES)
        menu.addAction(action)
        self.actions[command.id] = action

    def run_plain(self, event: QKeyEvent) -> bool:
        """Run what a key of the pictures stands for, but for the arrows; whether there is such."""
        keys = QKeySequence(event.keyCombination())
        for id, action in self.actions.items():
            if BY_ID[id].shortcut in _FROM_ANYWHERE and action.shortcut() == keys:
                if action.isEnabled():
                    action.trigger()
                return True
        return False

    def follow(self) -> None:
        """Enabled, checked and titled as the state says."""
        state = self._session.state
        for id, action in self.actions.items():
            action.setEnabled(BY_ID[id].enabled(state))
        for kind in Kind:
            self.actions[f"mark_{kind.value}"].setChecked(kind in state.setting.marks)
        for id, field in _SWITCHES.items():
            self.actions[id].setChecked(bool(getattr(state.view, field)))
        for id, title in (("undo", state.history.undo_title), ("redo", state.history.redo_title)):
            word = tr(BY_ID[id].title)
            self.actions[id].setText(f"{word}: {title.lower()}" if title else word)

    def shortcuts(self) -> dict[str, str]:
        """The keys of each command as this desktop writes them."""
        return {
            id: action.shortcut().toString(QKeySequence.SequenceFormat.NativeText)
            for id, action in self.actions.items()
        }
