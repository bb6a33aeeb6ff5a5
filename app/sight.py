"""What of a session is in sight: where the pictures stand, how large, and what is drawn of them."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

from app.ruler import Ruler
from app.state import Setting, print_size_mm, viewing_distance_m
from app.views.eye_blur import added_spread_px
from app.views.frame import Frame, Hints, draw, whole_spec
from app.views.surface import SurfaceHint, hint_of
from app.views.viewport import Viewport
from app.worker import Cancel
from proofing.findings.sight import BACKGROUND

if TYPE_CHECKING:
    from app.kept import KeptPrint
    from app.session import Session
    from proofing.engine import Baked

CAPTION_PX = 30  # of wall above a fitted print, for the pane's caption


class View(NamedTuple):
    """What was drawn, and of what."""

    baked: Baked
    kept: KeptPrint | None
    base: Frame | None
    detail: Frame
    of: tuple[object, ...]


class Sight:
    """Where the pictures of a session stand on its monitor, and their pixels.

    Attributes
    ----------
    base, detail
        The whole picture at a low resolution, and what is in sight of it; None before they are.
    pane
        Width and height of one pane in device pixels.
    ruler
        How large the monitor's pixels are, and how far the eye is from them.
    rulers
        Those that people have matched, by monitor.
    monitor
        The one that the pictures stand on.
    """

    def __init__(self, session: Session) -> None:
        self._session = session
        self.base: Frame | None = None
        self.detail: Frame | None = None
        self.ruler = Ruler()
        self.rulers: dict[str, Ruler] = {}
        self.monitor = ""
        self.pane = (1, 1)
        self._ratio = 1.0
        self._base_of: tuple[object, ...] | None = None
        session.answer_with("view", self._take_view)

    def forget(self) -> None:
        """What was drawn is of another picture."""
        self.base = self.detail = self._base_of = None

    def set_pane(self, width: int, height: int, ratio: float) -> None:
        """The size of one pane in device pixels, and those per logical pixel."""
        if (width, height, ratio) == (*self.pane, self._ratio):
            return
        self.pane, self._ratio = (width, height), ratio
        self.note_zooms()
        self._session.changed.emit()
        self.draw()

    def gesture(self, change: Callable[[Viewport], Viewport]) -> None:
        """Pan or zoom."""
        view = self.viewport
        if view is None:
            return
        after = change(view)
        self._session.become(
            self._session.state.with_view(
                zoom=None if after.fitted else after.scale,
                centre=(after.centre_x / after.width, after.centre_y / after.height),
            )
        )

    @property
    def viewport(self) -> Viewport | None:
        """Where the pictures stand; None without a photograph."""
        if self._session.photograph is None:
            return None
        height, width = self._session.photograph.codes.shape[:2]
        at = self._session.state.view
        view = Viewport(width, height, *self.pane, least_wall=CAPTION_PX * self._ratio).fit()
        if at.size:
            sized = view.exactly(self._zoom_of(at.size))
            return sized.centred_on(at.centre[0] * width, at.centre[1] * height)
        if at.zoom is None:
            return view
        return view.at_scale(at.zoom).centred_on(at.centre[0] * width, at.centre[1] * height)

    def _zoom_of(self, size: str) -> float:
        """Monitor pixels for each pixel of the file at a size in millimetres."""
        assert self._session.photograph is not None
        setting, facts = self._session.setting, self._session.state.facts
        width_mm, _ = print_size_mm(setting, facts)
        zoom = width_mm / self._session.photograph.width / self.ruler.mm_per_px
        if size == "seen":
            zoom *= self.ruler.eye_m / viewing_distance_m(setting, facts)
        return zoom

    @property
    def pixel_mm(self) -> float:
        """Side of a pixel of the photograph on the print; 0 without a photograph."""
        if self._session.photograph is None:
            return 0.0
        return (
            print_size_mm(self._session.setting, self._session.state.facts)[0]
            / self._session.photograph.width
        )

    @property
    def eye_spread_px(self) -> float:
        """What an eye at the viewing distance spreads more than the onlooker's own, in pixels of
        the photograph; 0 unless that is wanted."""
        view, baked = self.viewport, self._session.baked
        if not self._session.state.view.as_resolved or view is None or baked is None:
            return 0.0
        setting, facts = self._session.setting, self._session.state.facts
        pixel_mm = self.pixel_mm
        distance_m = viewing_distance_m(setting, facts)
        on_screen = view.scale * self.ruler.mm_per_px / self.ruler.eye_m
        magnification = on_screen / (pixel_mm / distance_m)
        request = baked.request
        in_room = BACKGROUND * float(request.room.white_XYZ_cd_m2[1])
        at_screen = BACKGROUND * request.screen.luminance_cd_m2
        return round(added_spread_px(in_room, at_screen, pixel_mm, distance_m, magnification), 2)

    def hint_of(self, setting: Setting, baked: Baked) -> SurfaceHint | None:
        """The surface of a print in sight; None unless a hint of it is wanted."""
        view, facts = self.viewport, self._session.state.facts
        if not self._session.state.view.surface or view is None:
            return None
        size_mm, away_m = print_size_mm(setting, facts), viewing_distance_m(setting, facts)
        return hint_of(baked, view, size_mm, away_m, self.eye_spread_px)

    def stand_on(self, monitor: str, told: Ruler) -> None:
        """The pictures stand on a monitor: as a person has matched it, else as it tells."""
        self.monitor = monitor
        self.set_ruler(self.rulers.get(monitor, told))

    def set_ruler(self, ruler: Ruler) -> None:
        """How large the monitor's pixels are, and how far the eye is from them."""
        if ruler.matched:
            self.rulers[self.monitor] = ruler
        if ruler != self.ruler:
            self.ruler = ruler
            self.note_zooms()
            self._session.changed.emit()
            self.draw()

    def divide(self, share: float) -> None:
        """Draw the line between two pictures that lie on each other."""
        self._session.become(self._session.state.with_view(divide=min(max(share, 0.0), 1.0)))

    def note_zooms(self) -> None:
        """The state knows how large the picture stands."""
        view = self.viewport
        if view is not None:
            self._session.state = self._session.state.with_view(
                whole_zoom=view.fit_scale, size_zoom=view.scale
            )

    # ---- drawing

    def draw(self) -> None:
        """New pixels of what is in sight."""
        baked, photograph, view = self._session.baked, self._session.photograph, self.viewport
        if self._session.sheet.prints:
            self._session.sheet.draw()
            return  # the pair is not in sight
        if baked is None or photograph is None or view is None:
            return
        spec = view.spec()
        if spec is None or baked.request.photograph is not photograph:
            return
        shown, ratio = self._session.state.setting.marks, self._ratio
        marked, strength = self._session.losses.marked, self._session.state.view.mark_strength
        if marked is not None and marked.request.photograph is not photograph:
            marked = None
        kept, spread = self._session.beside.kept, self.eye_spread_px
        hints: Hints = (
            None if kept is None else self.hint_of(kept.setting, kept.baked),
            self.hint_of(self._session.setting, baked),
        )
        small: Hints = (hints[0] and hints[0].everywhere, hints[1] and hints[1].everywhere)
        of = (baked, None if kept is None else kept.baked, spread, small)
        with_base, whole = self._base_of != of, whole_spec(photograph)

        def work(cancel: Cancel) -> View:
            base = None
            if with_base:
                base = draw(baked, photograph, whole, kept=kept, spread_px=spread, hints=small)
            detail = draw(
                baked, photograph, spec, shown, marked, ratio, strength, cancel, kept, spread,
                hints,
            )  # fmt: skip
            return View(baked, kept, base, detail, of)

        self._session.ask("view", work, steady=True)

    def _take_view(self, made: View) -> None:
        baked, kept = made.baked, made.kept
        if (
            baked is not self._session.baked
            or baked.request.photograph is not self._session.photograph
        ):
            return
        if (kept is None) != (self._session.beside.kept is None):
            return  # the left pane holds something else now
        self.detail = made.detail
        if made.base is not None:
            self.base, self._base_of = made.base, made.of
        self._session.drawn.emit()
