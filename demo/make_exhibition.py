"""Make the pictures of the demonstration exhibition anew.

Usage::

    python -m venv /tmp/exhibition
    /tmp/exhibition/bin/pip install mitsuba mitsuba-oidn nanobind-backend numpy scipy Pillow \
        tifffile imagecodecs
    apt-get install libllvm19            # or name another in DRJIT_LIBLLVM_PATH
    /tmp/exhibition/bin/python demo/make_exhibition.py [--work DIR] [--preview] [FILE ...]

Without names it makes every picture of exhibition.toml. A spectral path tracer renders the scenes
in demo/scenes/ (all geometry, textures and spectra are procedural and seeded) to CIE XYZ, which is
then developed, encoded and tagged here. Two free cores take 3 to 15 minutes for a scene, about an
hour for all. `--work` keeps the rendered XYZ, so that developing anew takes seconds; `--preview`
renders small and coarse. None of these packages is needed by the program itself.

FOGRA39L_coated.icc (Debian texlive-base) is looked for in `--profiles`, in tests/reference and
where Debian puts it; the other profiles are made here. Results repeat on one machine with one
version of the renderer; other versions may differ in the noise.
"""

import argparse
import importlib
import struct
import sys
import time
import tomllib
from pathlib import Path

import imagecodecs
import numpy as np
import tifffile
from PIL import Image

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

PPI = 300
# file: (scene, encoding, quality, changes to the scene's development)
RECIPES = {
    "harbour_at_six.tif": ("night", "adobe16", 0, {}),
    "fog_slack_water.jpg": ("fog", "srgb", 96, {}),
    "dahlias_thursday.tif": ("flowers", "romm16", 0, {}),
    "dyers_yard.jpg": ("yarn", "adobe", 91, {}),
    "dyers_yard_press.jpg": ("yarn", "cmyk", 88, {}),
    "last_light.jpg": ("sunset", "srgb", 91, {}),
    "last_light_over.jpg": ("sunset", "clipped", 88, {"ev": 2.9, "clip": 2.0, "contrast": 1.1}),
    "three_for_the_procession.jpg": ("portrait", "srgb", 92, {}),
    "quay_stairs.jpg": ("stairs", "grey", 89, {}),
    "net_loft.jpg": ("loft", "untagged", 91, {}),
}
PRESS_PROFILE = "FOGRA39L_coated.icc"
PROFILE_FOLDERS = (
    HERE.parent / "tests/reference",
    Path("/usr/share/texlive/texmf-dist/tex/generic/colorprofiles"),
)


def press_profile(folder):
    """Read the press profile."""
    for place in ([folder] if folder else []) + list(PROFILE_FOLDERS):
        for path in (place / PRESS_PROFILE, *place.glob(f"**/{PRESS_PROFILE}")):
            if path.is_file():
                return path.read_bytes()
    raise SystemExit(f"{PRESS_PROFILE} not found: name its folder with --profiles")


def made_profiles():
    """Profiles of the encodings written here, by name."""
    from scenes import film, profiles

    to_D50 = film.adapt(film.D65, film.D50)
    srgb = (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)
    romm = (1.8, 1.0, 0.0, 1 / 16, 16 * 0.001953)
    make = profiles.rgb_profile
    return {
        "srgb": make("sRGB", to_D50 @ film.SRGB_TO_XYZ, srgb, to_D50),
        "adobe": make("Adobe RGB (1998)", to_D50 @ film.ADOBE_TO_XYZ, (2.19921875,), to_D50),
        "romm": make("ROMM RGB", film.ROMM_TO_XYZ, romm),
        "grey": profiles.grey_profile("Grey, gamma 2.2", 2.2),
    }


def exif(entry):
    """EXIF of one exhibition entry."""
    e = Image.Exif()
    e[0x010E] = entry["title"]
    e[0x013B] = entry["photographer"]
    e[0x8298] = f"(c) {entry['taken'].year} {entry['photographer']} (invented)"
    e[0x011A] = e[0x011B] = float(PPI)
    e[0x0128] = 2
    e.get_ifd(0x8769)[0x9003] = entry["taken"].strftime("%Y:%m:%d %H:%M:%S")
    return e


def write_tiff16(path, rgb, icc, entry):
    """Write 16-bit RGB with Deflate, predictor, profile and capture date.

    Like a camera's, the data carry 12 significant bits: the rest would be noise that no repository
    should store.
    """
    codes = np.round(np.clip(rgb, 0, 1) * 4095).astype(np.uint16) * 16
    codes[codes == 4095 * 16] = 65535
    name = f"(c) {entry['taken'].year} {entry['photographer']} (invented)"
    tifffile.imwrite(
        path,
        codes,
        photometric="rgb",
        compression="zlib",
        compressionargs={"level": 9},
        predictor=2,
        rowsperstrip=64,
        iccprofile=icc,
        resolution=(PPI, PPI),
        resolutionunit="INCH",
        description=entry["title"],
        metadata=None,
        software=False,
        byteorder="<",
        extratags=[(315, "s", 0, entry["photographer"], True), (33432, "s", 0, name, True)],
    )
    # The capture date lives in an EXIF directory; the main directory is written again to name it.
    data = bytearray(path.read_bytes())
    first = struct.unpack_from("<I", data, 4)[0]
    count = struct.unpack_from("<H", data, first)[0]
    entries = [bytes(data[first + 2 + 12 * i : first + 14 + 12 * i]) for i in range(count)]
    data += b"\0" * (len(data) % 2)
    date = entry["taken"].strftime("%Y:%m:%d %H:%M:%S").encode() + b"\0"
    sub = len(data)
    data += struct.pack("<HHHIII", 1, 0x9003, 2, len(date), sub + 18, 0) + date
    data += b"\0" * (len(data) % 2)
    struct.pack_into("<I", data, 4, len(data))
    entries.append(struct.pack("<HHII", 0x8769, 4, 1, sub))
    entries.sort(key=lambda e: struct.unpack_from("<H", e)[0])
    data += struct.pack("<H", len(entries)) + b"".join(entries) + struct.pack("<I", 0)
    path.write_bytes(data)


def write(path, romm, encoding, quality, entry, folder):
    """Encode developed linear ROMM RGB, tag it and write the file."""
    from scenes import film

    profiles = made_profiles()
    if encoding == "adobe16":
        write_tiff16(path, film.to_adobe(romm), profiles["adobe"], entry)
        return
    if encoding == "romm16":
        write_tiff16(path, film.to_romm(romm), profiles["romm"], entry)
        return
    mode = "RGB"
    if encoding == "cmyk":
        icc, mode = press_profile(folder), "CMYK"
        values = imagecodecs.cms_transform(
            np.round(film.to_romm(romm) * 65535).astype(np.uint16),
            profiles["romm"],
            icc,
            colorspace="rgb",
            outcolorspace="cmyk",
            outdtype="uint16",
            intent=1,
            flags=8192 | 256,
        ).astype(np.float64)
        values /= 65535
    elif encoding == "grey":
        values, icc, mode = film.to_grey(romm), profiles["grey"], "L"
    elif encoding == "adobe":
        values, icc = film.to_adobe(romm), profiles["adobe"]
    elif encoding in ("srgb", "clipped", "untagged"):
        values = film.to_srgb(romm, keep_hue=encoding != "clipped")
        icc = None if encoding == "untagged" else profiles["srgb"]
    else:
        raise SystemExit(f"{path.name}: unknown encoding {encoding}")
    noise = np.random.default_rng(5).uniform(-0.5, 0.5, values.shape)
    codes = values * 255 + (0.0 if encoding == "clipped" else noise)
    image = Image.fromarray(np.clip(np.round(codes), 0, 255).astype(np.uint8), mode)
    image.save(
        path,
        "JPEG",
        quality=quality,
        subsampling=0,
        optimize=True,
        icc_profile=icc,
        exif=exif(entry),
        dpi=(PPI, PPI),
    )


def rendered(scene, work, preview):
    """Scene XYZ, from the `work` folder if it is kept there."""
    module = importlib.import_module(f"scenes.{scene}")
    size, spp = module.SIZE, module.SPP
    if preview:
        size, spp = (600, round(600 * size[1] / size[0])), max(8, spp // 4)
    kept = work / f"{scene}.npy" if work else None
    if kept and kept.is_file() and np.load(kept, mmap_mode="r").shape[:2] == size[::-1]:
        return module, np.load(kept).astype(np.float64)
    XYZ = module.expose(size, spp)
    if kept:
        work.mkdir(parents=True, exist_ok=True)
        np.save(kept, XYZ.astype(np.float32))
    return module, XYZ.astype(np.float32).astype(np.float64)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("files", nargs="*", help="pictures to make; default: all")
    parser.add_argument("--out", type=Path, default=HERE)
    parser.add_argument("--work", type=Path, help="folder that keeps the rendered XYZ")
    parser.add_argument("--profiles", type=Path, help="folder with the ICC profiles")
    parser.add_argument("--preview", action="store_true")
    args = parser.parse_args()
    entries = tomllib.loads((HERE / "exhibition.toml").read_text("utf-8"))["picture"]
    from scenes import film

    for entry in entries:
        if args.files and entry["file"] not in args.files:
            continue
        start = time.monotonic()
        scene, encoding, quality, changes = RECIPES[entry["file"]]
        module, XYZ = rendered(scene, args.work, args.preview)
        top, bottom = (round(f * len(XYZ)) for f in getattr(module, "CROP", (0, 1)))
        XYZ = XYZ[top:bottom]
        romm = film.develop(XYZ, **{**module.FILM, **changes})
        path = args.out / entry["file"]
        write(path, romm, encoding, quality, entry, args.profiles)
        print(f"{path.name}: {path.stat().st_size / 1e6:.1f} MB, {time.monotonic() - start:.0f} s")


if __name__ == "__main__":
    main()
