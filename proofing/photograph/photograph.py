"""The photograph: its pixels in their own codes, and what those codes mean.

>>> import numpy as np
>>> grey = photograph_from_array(np.full((2, 2), 118, np.uint8), mode="grey")
>>> grey.codes.shape, grey.facts.space
((2, 2, 3), 'grey, sRGB curve')
>>> round(float(grey.encoding.to_XYZ([[118 / 255] * 3])[0, 1]), 3)  # IEC 61966-2-1
0.181
"""

from __future__ import annotations

import hashlib
import threading
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Final, Literal

import numpy as np
import numpy.typing as npt

from proofing.colorimetry import PCS_WHITE_XYZ, Lab_to_XYZ
from proofing.errors import ProfileError, SettingError, UnreadableFile, UnsupportedPicture
from proofing.language import alternatives, mark, tr
from proofing.photograph import icc
from proofing.photograph.decoded import LARGEST_PICTURE_MP, Decoded, make_finite
from proofing.photograph.facts import (
    IntakeFacts,
    Mode,
    ProfileStatus,
    count_codes,
    in_strips,
    top_code,
)

Float = npt.NDArray[np.float64]
EncodingKind = Literal["RGB", "grey", "Lab"]

OPAQUE_FROM: Final = 128
"""Alpha from which a pixel counts as part of the picture."""
_READER_VERSION = "1"  # part of the key: change it when the same file gives other codes


@dataclass(frozen=True, eq=False)
class Encoding:
    """What codes mean: a function from codes to colour, the same for every pixel.

    Equality and hash are by :attr:`key`.

    Attributes
    ----------
    kind
        ``'RGB'`` and ``'grey'`` go through the profile; ``'Lab'`` is the ICC encoding
        ``L*/100, (a* + 128)/255, (b* + 128)/255`` (ICC.1:2022, 6.3.4.2).
    profile
        None for ``'Lab'`` only.
    black_Y
        Media-relative luminance factor of the darkest grey of the file's own space, where the
        codes held are not the file's own (CMYK); the black of the others is that of code 0.
    paper_XYZ
        Its media white relative to the perfect diffuser, likewise; None for the profile's own.
    """

    kind: EncodingKind
    profile: icc.IccProfile | None
    black_Y: float = 0.0
    paper_XYZ: tuple[float, float, float] | None = None

    @property
    def key(self) -> str:
        """What the encoding is, for caching."""
        if self.profile is None:
            own = self.black_Y or self.paper_XYZ
            return f"{self.kind}:{self.black_Y!r}:{self.paper_XYZ!r}" if own else self.kind
        return f"{self.kind}:{self.profile.key}"

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Encoding) and other.key == self.key

    def __hash__(self) -> int:
        return hash(self.key)

    @property
    def media_white_XYZ(self) -> Float:
        """(3,) white of the encoding relative to the perfect diffuser, D50 (ICC.1:2022, 9.2.36).

        That of the connection space for all but prints: an absolute rendering shows the tint of
        the paper a CMYK file was made for.
        """
        if self.paper_XYZ is not None:
            return np.array(self.paper_XYZ)
        return PCS_WHITE_XYZ if self.profile is None else self.profile.media_white_XYZ

    def to_XYZ(self, codes01: npt.ArrayLike) -> Float:
        """Colour of codes, relative colorimetric.

        Parameters
        ----------
        codes01
            (N, 3), codes over their full scale, 0..1. Grey uses the first column.

        Returns
        -------
        ndarray
            (N, 3) XYZ, D50, media-relative: ``Y = 1`` is the white of the encoding. Not
            clipped; primaries outside the spectral locus give their negative or zero values.

        Raises
        ------
        ProfileError
            The profile cannot convert.
        """
        codes = np.asarray(codes01, dtype=np.float64)
        if codes.ndim != 2 or codes.shape[1] != 3:
            raise ProfileError(
                tr("codes of shape {shape} given where (N, 3) is needed", shape=codes.shape)
            )
        if self.profile is None:
            return Lab_to_XYZ(icc.decode_Lab(codes))
        values = codes[:, :1] if self.kind == "grey" else codes
        return icc.device_to_XYZ(self.profile, values, icc.IccIntent.RELATIVE)


@dataclass(frozen=True, eq=False)
class ClipCodes:
    """Which codes stand for a lost tone.

    Attributes
    ----------
    bottom, top
        The lowest and highest code of each lattice channel; floats reach beyond 0 and 1, and
        count from there on.
    clipped
        (H, W), read-only, the pixels with a lost tone, where the codes held are not the
        file's own (CMYK and Lab); None elsewhere.
        :attr:`~proofing.photograph.facts.IntakeFacts.share_clipped` says what counts as lost.
    """

    bottom: tuple[float, float, float]
    top: tuple[float, float, float]
    clipped: npt.NDArray[np.bool_] | None = None


@dataclass(frozen=True, eq=False)
class Photograph:
    """A picture as it came in. Equality and hash are by :attr:`key`.

    Made by :func:`read_photograph` and :func:`photograph_from_array`.

    Attributes
    ----------
    path, name
        The file, if there is one, and what to call the picture.
    codes
        (H, W, 3) uint8, uint16 or float32, read-only. RGB: the file's own integers. Grey: one
        plane seen three times (the last stride is 0). CMYK and Lab: 16-bit ICC Lab.
    alpha
        (H, W) uint8, read-only, or None where nothing is transparent.
    encoding
        What the codes mean.
    facts
        What the file says of itself, and what was counted.
    key
        Changes with the content, not with the name.
    clip
        The codes, or pixels, without tone.
    reduction
        How many pixels a side went into one: 1 for the picture itself.
    origin
        Where its upper left pixel lies in the file, (0, 0) but for a :meth:`part`.
    """

    path: Path | None
    name: str
    codes: npt.NDArray[Any] = field(repr=False)
    alpha: npt.NDArray[np.uint8] | None = field(repr=False)
    encoding: Encoding
    facts: IntakeFacts
    key: str
    clip: ClipCodes = field(repr=False)
    reduction: int = 1
    origin: tuple[int, int] = (0, 0)
    _levels: dict[int, Photograph] = field(default_factory=dict, init=False, repr=False)
    _lock: threading.Lock = field(default_factory=threading.Lock, init=False, repr=False)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Photograph) and other.key == self.key

    def __hash__(self) -> int:
        return hash(self.key)

    @property
    def height(self) -> int:
        """Rows of :attr:`codes`."""
        return int(self.codes.shape[0])

    @property
    def width(self) -> int:
        """Columns of :attr:`codes`."""
        return int(self.codes.shape[1])

    def is_clipped(self, row: int, column: int) -> bool:
        """Whether the file itself has lost the tone of a pixel, see :attr:`clip`."""
        if self.clip.clipped is not None:
            return bool(self.clip.clipped[row, column])
        code = self.codes[row, column]
        return bool((code >= self.clip.top).any() or (code <= self.clip.bottom).all())

    def part(self, box: tuple[int, int, int, int]) -> Photograph:
        """A rectangle of the picture, as a picture of its own.

        Parameters
        ----------
        box
            Left, top, right and bottom, px, the latter two exclusive.

        Returns
        -------
        Photograph
            Its pixels are copied, so that they lie in one piece. Of the facts width and height
            are its own; what was counted stays that of the whole file.

        Raises
        ------
        SettingError
            The box is empty or reaches beyond the picture.

        Examples
        --------
        >>> import numpy as np
        >>> whole = photograph_from_array(np.arange(48, dtype=np.uint8).reshape(4, 4, 3))
        >>> part = whole.part((1, 2, 3, 4))
        >>> part.codes[0, 0].tolist(), part.facts.width, part.origin
        ([27, 28, 29], 2, (1, 2))
        """
        left, top, right, bottom = box
        if not (0 <= left < right <= self.width and 0 <= top < bottom <= self.height):
            raise SettingError("box", box, tr("give a rectangle that lies within the picture"))
        if box == (0, 0, self.width, self.height):
            return self
        there = (slice(top, bottom), slice(left, right))
        plane = self.codes[..., :1] if self.codes.strides[2] == 0 else self.codes
        clipped = self.clip.clipped
        return replace(
            self,
            codes=_lattice_codes(_copied(plane[there])),
            alpha=None if self.alpha is None else _read_only(_copied(self.alpha[there])),
            facts=replace(self.facts, width=right - left, height=bottom - top),
            key=f"{self.key}[{left},{top},{right},{bottom}]",
            clip=replace(
                self.clip, clipped=None if clipped is None else _read_only(_copied(clipped[there]))
            ),
            origin=(self.origin[0] + left, self.origin[1] + top),
        )

    def level(self, n: int) -> Photograph:
        """The picture with boxes of ``2**n`` pixels a side averaged into one.

        Parameters
        ----------
        n
            0 gives the picture itself.

        Returns
        -------
        Photograph
            ``ceil(H / 2**n)`` by ``ceil(W / 2**n)`` codes of the same type and meaning. Codes
            are averaged from the full picture, weighted by alpha, and rounded to the nearest;
            boxes at the right and bottom edge may be partial. A pixel of
            :attr:`ClipCodes.clipped` is set where the whole box is. The facts stay those of
            the full picture.

        Raises
        ------
        SettingError
            `n` is negative.

        Notes
        -----
        Made once, on first use; any thread may ask.

        >>> import numpy as np
        >>> codes = np.array([[[0, 0, 0], [10, 20, 255]]], np.uint8)
        >>> photograph_from_array(codes).level(1).codes.tolist()
        [[[5, 10, 128]]]
        """
        if n < 0:
            raise SettingError("level", n, tr("use 0 for the full picture, 1 for half of it, ..."))
        n = min(n, max(self.height - 1, self.width - 1).bit_length())
        if n == 0:
            return self
        with self._lock:
            if n not in self._levels:
                self._levels[n] = self._reduced(n)
            return self._levels[n]

    def _reduced(self, n: int) -> Photograph:
        from proofing.photograph import kernels

        repeated = self.codes.strides[2] == 0
        codes = self.codes[..., :1] if repeated else self.codes
        codes = _read_only(np.ascontiguousarray(codes))
        rows, columns = -(-self.height >> n), -(-self.width >> n)
        whole = codes.dtype.kind != "f"
        out = np.empty((rows, columns, codes.shape[2]), codes.dtype)
        alpha = None if self.alpha is None else np.empty((rows, columns), np.uint8)
        clipped = None if self.clip.clipped is None else np.empty((rows, columns), np.bool_)

        def reduce(first: int, end: int) -> None:
            block = codes[first << n : end << n]
            if self.alpha is not None and alpha is not None:
                kernels.box_mean_alpha(
                    block,
                    self.alpha[first << n : end << n],
                    n,
                    0.5 if whole else 0.0,
                    out[first:end],
                    alpha[first:end],
                )
            else:
                sums = np.empty((columns, codes.shape[2]), np.int64 if whole else np.float64)
                kernels.box_mean(block, n, whole, out[first:end], sums)
            if self.clip.clipped is not None and clipped is not None:
                kernels.box_all(self.clip.clipped[first << n : end << n], n, clipped[first:end])

        in_strips(rows, self.width << n, reduce)
        return Photograph(
            path=self.path,
            name=self.name,
            codes=_lattice_codes(out),
            alpha=None if alpha is None else _read_only(alpha),
            encoding=self.encoding,
            facts=self.facts,
            key=f"{self.key}/{1 << n}",
            clip=ClipCodes(
                self.clip.bottom,
                self.clip.top,
                None if clipped is None else _read_only(clipped),
            ),
            reduction=self.reduction << n,
            origin=self.origin,
        )


def read_photograph(path: Path | str) -> Photograph:
    """Read a picture file: JPEG, PNG, TIFF or WebP.

    Parameters
    ----------
    path
        The file. Its content decides what it is, not its name.

    Returns
    -------
    Photograph
        With the embedded profile honoured; what had to be assumed is in ``facts.note``.

    Raises
    ------
    UnreadableFile
        Missing, not permitted, empty, cut short or damaged.
    UnsupportedPicture
        Another format, an unusual kind of one of the four, or more than 400 megapixels.
    """
    from proofing.photograph.reading import read_pixels

    path = Path(path)
    decoded = read_pixels(path)
    try:
        with path.open("rb") as file:
            digest = hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        raise UnreadableFile(
            tr("{path} went away while it was read; try again", path=path.name), path
        ) from error
    return _assemble(decoded, path, path.name, f"{digest}-{_READER_VERSION}")


def photograph_from_array(
    codes: npt.ArrayLike,
    profile: icc.IccProfile | None = None,
    name: str = "untitled",
    *,
    mode: Mode = "RGB",
    alpha: npt.NDArray[np.uint8] | None = None,
    ppi: float | None = None,
) -> Photograph:
    """A photograph of pixels already at hand.

    Parameters
    ----------
    codes
        (H, W, C), or (H, W) for grey; uint8, uint16, or floats with 1 for full scale. Lab is
        uint16 in its ICC encoding.
    profile
        What the codes mean; None is treated as in a file without one.
    name
        What to call it.
    mode
        What the channels are: ``'RGB'``, ``'grey'``, ``'CMYK'`` or ``'Lab'``.
    alpha
        (H, W), colours not premultiplied.
    ppi
        Pixels per inch.

    Raises
    ------
    UnsupportedPicture
        Wrong shape or number type, or more than 400 megapixels.
    """
    pixels = np.asarray(codes)
    channels = {"RGB": 3, "grey": 1, "CMYK": 4, "Lab": 3}.get(mode)
    if mode == "grey" and pixels.ndim == 2:
        pixels = pixels[..., None]
    if channels is None or pixels.ndim != 3 or pixels.shape[2] != channels or 0 in pixels.shape:
        raise UnsupportedPicture(
            tr(
                "an array of shape {shape} is no {mode} picture; give (height, width, channels)",
                shape=pixels.shape,
                mode=mode,
            )
        )
    if pixels.dtype in (np.dtype(np.float16), np.dtype(np.float64)):
        with np.errstate(over="ignore"):
            pixels = pixels.astype(np.float32)
    allowed = ("uint16",) if mode == "Lab" else ("uint8", "uint16", "float32")
    if pixels.dtype.name not in allowed:
        raise UnsupportedPicture(
            tr(
                "{mode} codes of type {dtype} are not read; give {allowed}",
                mode=mode,
                dtype=pixels.dtype,
                allowed=alternatives(allowed),
            )
        )
    if pixels.shape[0] * pixels.shape[1] > LARGEST_PICTURE_MP * 1_000_000:
        raise UnsupportedPicture(
            tr(
                "a picture of more than {LARGEST_PICTURE_MP} megapixels; use a smaller copy",
                LARGEST_PICTURE_MP=LARGEST_PICTURE_MP,
            )
        )
    if alpha is not None and (alpha.shape != pixels.shape[:2] or alpha.dtype != np.uint8):
        raise UnsupportedPicture(tr("alpha does not fit the picture; give (height, width) uint8"))
    if isinstance(codes, np.ndarray) and codes.flags.writeable:
        pixels = pixels.copy()
    decoded = Decoded(
        pixels=np.ascontiguousarray(pixels),
        mode=mode,
        alpha=None if alpha is None or (alpha == 255).all() else np.array(alpha),
        bits_in_file=8 * pixels.dtype.itemsize,
        profile_data=None if profile is None else profile.data,
        ppi=ppi,
    )
    if pixels.dtype.kind == "f":
        make_finite(decoded)
    digest = hashlib.sha256(decoded.pixels.data)
    digest.update(b"" if decoded.alpha is None else decoded.alpha.tobytes())
    digest.update(repr((mode, decoded.pixels.shape, pixels.dtype.name)).encode())
    digest.update(b"" if profile is None else profile.key.encode())
    return _assemble(decoded, None, name, f"{digest.hexdigest()}-{_READER_VERSION}")


# ---- from pixels to a photograph ------------------------------------------------------------


def _assemble(decoded: Decoded, path: Path | None, name: str, key: str) -> Photograph:
    pixels, mode = decoded.pixels, decoded.mode
    height, width = pixels.shape[:2]
    profile, status, notes = _profile_for(decoded)
    foreign = mode in ("CMYK", "Lab")
    counted = count_codes(pixels, mode, decoded.alpha, with_mask=foreign)
    is_float = pixels.dtype.kind == "f"
    bits = 8 if mode == "Lab" and decoded.bits_in_file == 8 else 8 * pixels.dtype.itemsize
    if decoded.bits_in_file != bits:
        notes.append(
            tr(
                "The file has {bits_in_file} bit a channel; {bits} are held.",
                bits_in_file=decoded.bits_in_file,
                bits=bits,
            )
        )
    if counted.share_outside > 0:
        notes.append(
            tr(
                "{share_outside:.2g} % of the pixels reach below 0 or above 1 and are clipped "
                "there.",
                share_outside=100 * counted.share_outside,
            )
        )

    embedded = profile if status == "embedded" else None
    space, remark = _space_name(mode, profile, embedded)
    notes += [remark] if remark else []

    if mode == "CMYK" and profile is None:
        pixels, encoding = _complement(pixels), Encoding("RGB", icc.srgb_profile())
    elif mode == "CMYK" or (mode == "Lab" and profile is not None):
        assert profile is not None
        white = tuple(float(v) for v in profile.media_white_XYZ)
        paper = None if profile.space == "LAB" else (white[0], white[1], white[2])
        encoding = Encoding("Lab", None, icc.black_Y(profile), paper)
        pixels = icc.picture_to_Lab_codes(profile, pixels)
    elif mode == "Lab":
        encoding = Encoding("Lab", None)
    else:
        encoding = Encoding("grey" if mode == "grey" else "RGB", profile)

    top = top_code(pixels.dtype)
    return Photograph(
        path=path,
        name=name,
        codes=_lattice_codes(pixels),
        alpha=None if decoded.alpha is None else _read_only(decoded.alpha),
        encoding=encoding,
        facts=IntakeFacts(
            width=width,
            height=height,
            mode=mode,
            bits=bits,
            is_float=is_float,
            space=space,
            profile=None if embedded is None else embedded.description,
            profile_status=status,
            note=" ".join(notes),
            ppi=decoded.ppi,
            orientation_applied=decoded.orientation_applied,
            has_alpha=decoded.alpha is not None,
            channels=counted.channels,
            share_clipped=counted.share_clipped,
            share_outside=counted.share_outside if is_float else 0.0,
        ),
        key=key,
        clip=ClipCodes((0.0,) * 3, (top,) * 3, counted.clipped),
    )


_SPACE_OF_MODE: dict[Mode, str] = {
    "RGB": "RGB", "palette": "RGB", "grey": "GRAY", "CMYK": "CMYK", "Lab": "LAB"
}  # fmt: skip
_DEFAULTS: dict[Mode, str] = {
    "RGB": mark("sRGB is assumed"),
    "palette": mark("sRGB is assumed"),
    "grey": mark("the curve of sRGB is assumed"),
    "CMYK": (
        mark(
            "what these inks would look like is unknown, and each is taken as the complement of "
            "a primary of sRGB. Ask for the file with its profile, or for an RGB one"
        )
    ),
    "Lab": mark("Lab is taken relative to D50, as ICC profiles have it"),
}
_MODE_OF_SPACE = {"GRAY": "grey", "LAB": "Lab"}


def _profile_for(decoded: Decoded) -> tuple[icc.IccProfile | None, ProfileStatus, list[str]]:
    """The profile to use, how it came about, and sentences on that."""
    status: ProfileStatus = "assumed"
    found = tr("No profile is embedded")
    wanted = _SPACE_OF_MODE[decoded.mode]
    if decoded.profile_damaged:
        status, found = "broken", tr("The embedded profile is broken")
    elif decoded.profile_data is not None:
        try:
            profile = icc.IccProfile.from_bytes(decoded.profile_data)
        except ProfileError:
            status, found = "broken", tr("The embedded profile is broken")
        else:
            of_use = profile.device_class in ("input", "display", "output", "space")
            if of_use and profile.space == wanted:
                return profile, "embedded", list(decoded.notes)
            status = "wrong kind"
            theirs = _MODE_OF_SPACE.get(profile.space, profile.space)
            kind = theirs if of_use else profile.device_class
            ours = _MODE_OF_SPACE.get(wanted, wanted)
            found = tr(
                "The embedded profile '{description}' is for {kind}, the pixels are {ours}",
                description=profile.description,
                kind=kind,
                ours=ours,
            )
    if decoded.declared is not None:
        name = icc.recognised_space(decoded.declared) or decoded.declared.description
        note = tr(
            "{found}; {declared_by} says {name}, which is used.",
            found=found,
            declared_by=decoded.declared_by,
            name=name,
        )
        return decoded.declared, status, [note, *decoded.notes]
    default = {"GRAY": icc.grey_profile, "RGB": icc.srgb_profile}.get(wanted)
    note = f"{found}; {tr(_DEFAULTS[decoded.mode])}."
    return None if default is None else default(), status, [note, *decoded.notes]


def _space_name(
    mode: Mode, profile: icc.IccProfile | None, embedded: icc.IccProfile | None
) -> tuple[str, str]:
    """What to call the space, and a sentence if the profile misnames itself."""
    if profile is None:
        return (tr("CIELAB, D50"), "") if mode == "Lab" else (tr("CMYK, no profile"), "")
    if mode == "grey":
        return profile.description, ""
    recognised = icc.recognised_space(profile)
    if embedded is None or mode not in ("RGB", "palette"):
        return recognised or profile.description, ""
    claimed = next((s.name for s in icc.RGB_SPACES if _says(profile.description, s.name)), None)
    if recognised is None and claimed is not None:
        return (
            tr("{description} (by name only)", description=profile.description),
            tr(
                "The profile calls itself '{description}', but its primaries and curve are not "
                "those of {claimed}.",
                description=profile.description,
                claimed=claimed,
            ),
        )
    if recognised is not None and claimed not in (None, recognised):
        return recognised, (
            tr(
                "The profile calls itself '{description}', but its primaries and curve are "
                "those of {recognised}.",
                description=profile.description,
                recognised=recognised,
            )
        )
    return recognised or profile.description, ""


def _says(description: str, name: str) -> bool:
    def bare(text: str) -> str:
        return "".join(c for c in text.lower() if c.isalnum())

    return bare(name) in bare(description)


def _complement(pixels: npt.NDArray[Any]) -> npt.NDArray[Any]:
    """Red, green and blue as what cyan, magenta and yellow leave, each dimmed by black."""
    height, width = pixels.shape[:2]
    top = top_code(pixels.dtype)
    codes = np.empty((height, width, 3), pixels.dtype)

    def convert(first: int, end: int) -> None:
        left = np.float32(top) - np.clip(pixels[first:end].astype(np.float32), 0.0, top)
        light = left[..., :3] * left[..., 3:] / np.float32(top)
        codes[first:end] = light if pixels.dtype.kind == "f" else np.rint(light)

    in_strips(height, width, convert)
    return codes


def _lattice_codes(pixels: npt.NDArray[Any]) -> npt.NDArray[Any]:
    """(H, W, 3), read-only; a single plane is repeated without a copy."""
    if pixels.shape[2] == 1:
        return np.broadcast_to(pixels, (*pixels.shape[:2], 3))
    return _read_only(pixels)


def _copied(array: npt.NDArray[Any]) -> npt.NDArray[Any]:
    """The same in one piece of memory, copied by all cores."""
    copy = np.empty(array.shape, array.dtype)

    def copy_rows(first: int, end: int) -> None:
        copy[first:end] = array[first:end]

    in_strips(array.shape[0], array.shape[1], copy_rows)
    return copy


def _read_only(array: npt.NDArray[Any]) -> npt.NDArray[Any]:
    view = array.view()
    view.flags.writeable = False
    return view
