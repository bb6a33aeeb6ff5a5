"""What an advice has brought: the losses before it was followed, and after."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from app.state.setting import Setting
from app.state.state import State
from app.state.table import SETTINGS, number_text
from proofing.findings.kinds import Kind
from proofing.findings.words import share_in_words, stops_in_words
from proofing.language import tr

Shares = Mapping[Kind, float]

WORTH_A_WORD = 0.01
"""Another kind of loss that changes by this share of the picture is told, too."""
_PRINTED = (
    Kind.BLOCKED_SHADOWS,
    Kind.BLOWN_HIGHLIGHTS,
    Kind.FLATTENED_COLOUR,
    Kind.OUT_OF_GAMUT,
)  # what an advice can change on the print, the gravest first


@dataclass(frozen=True)
class Trial:
    """One advice that has been followed.

    Attributes
    ----------
    kind
        The loss it was to help against.
    what
        What is tried, in words that follow "Tried": ``'on baryta'``.
    before, after
        The settings around the step.
    shares_before
        Share of the picture by kind, 0..1, before; None where that was not known.
    shares_after
        The same with the new setting; None until the picture has been scanned.
    """

    kind: Kind
    what: str
    before: Setting
    after: Setting
    shares_before: Shares | None
    shares_after: Shares | None = None

    @property
    def is_answered(self) -> bool:
        """Whether it is known what it has brought."""
        return self.shares_after is not None

    def stands_in(self, state: State) -> bool:
        """Whether it is the newest step of the history."""
        past = state.history.past
        return bool(past) and past[-1] == self.before and state.setting == self.after

    def answered(self, shares: Shares) -> Trial:
        """The same, with what it has brought."""
        return replace(self, shares_after=dict(shares))

    @property
    def sentence(self) -> str:
        """Before and after, for people."""
        name = self.kind.title.lower()
        if self.shares_after is None:
            return tr("Trying it {what}: looking for what is lost…", what=self.what)
        now = self.shares_after[self.kind]
        after = _share(now)
        if self.shares_before is None:
            return tr(
                "Tried {what}: {name} {after} of the picture.",
                what=self.what,
                name=name,
                after=after,
            )
        was = self.shares_before[self.kind]
        before = _share(was)
        if before == after:
            said = tr("{name} {after} of the picture as before", name=name, after=after)
        elif now > was:
            said = tr(
                "it got worse, {name} {after} of the picture instead of {before}",
                name=name,
                after=after,
                before=before,
            )
        else:
            said = tr(
                "{name} {after} of the picture instead of {before}",
                name=name,
                after=after,
                before=before,
            )
        return tr(
            "Tried {what}: {said}{besides}.", what=self.what, said=said, besides=self._besides()
        )

    def _besides(self) -> str:
        """What else has become worse, or better, '' for nothing."""
        assert self.shares_before is not None and self.shares_after is not None
        worse, better = "", ""
        for kind in _PRINTED:
            was, now = self.shares_before[kind], self.shares_after[kind]
            said = tr(
                "{kind} {now} instead of {was}",
                kind=kind.title.lower(),
                now=_share(now),
                was=_share(was),
            )
            if kind is self.kind or abs(now - was) < WORTH_A_WORD:
                continue
            if now > was:
                worse += tr("; but {said}", said=said)
            else:
                better += f"; {said}"
        return better + worse


def _share(share: float) -> str:
    """As elsewhere, but for nothing, which must read on beside another number."""
    return share_in_words(share) if share > 0.0 else "0 %"


def trial_in_words(field: str, setting: Setting) -> str:
    """What of a setting was tried, in words that follow "Tried".

    Parameters
    ----------
    field
        The setting's id.
    setting
        The one that is tried.

    Examples
    --------
    >>> trial_in_words("stock", Setting(stock="baryta"))
    'on baryta'
    >>> trial_in_words("illuminance", Setting(illuminance=120))
    'at 120 lx'
    >>> trial_in_words("glazing", Setting(glazing="no glass"))
    'without glass'
    >>> trial_in_words("intent", Setting(intent="perceptual"))
    'rendered perceptual'
    """
    value = getattr(setting, field)
    if field == "stock":
        return tr("on {stock}", stock=Path(value).stem if Path(value).suffix else tr(value))
    if field == "illuminance":
        return (
            tr("at {lux} lx", lux=number_text(value))
            if isinstance(value, float)
            else tr("at {place}", place=tr(value))
        )
    if field == "glazing":
        none = value == SETTINGS["glazing"].default
        return tr("without glass") if none else tr("behind {pane}", pane=tr(value))
    if field == "black_point_compensation":
        return (
            tr("with black point compensation") if value else tr("without black point compensation")
        )
    row = SETTINGS[field]
    if field == "shadow_lift":
        return tr("with shadows lifted by {stops}", stops=stops_in_words(value))
    if field == "colour_ease":
        return tr("with strong colours eased in by {percent} %", percent=number_text(value))
    if field == "intent":
        return tr("rendered {intent}", intent=row.format(value))
    return tr("with {setting} {value}", setting=tr(row.title).lower(), value=row.format(value))
