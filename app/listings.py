"""The commands that list what can be chosen."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any

from app.terminal import Progress, print_json, print_table, rounded
from app.words import percent
from app.work import closed
from proofing.language import tr

if TYPE_CHECKING:
    from proofing.catalogue import Catalogue


def load_catalogue() -> Catalogue:
    """What can be chosen; a file of one's own that cannot be used is told in one line."""
    with Progress() as progress:
        progress.say(tr("Preparing…"))
        from proofing.catalogue import Catalogue

        catalogue = Catalogue.load()
    for problem in catalogue.problems:
        print(f"stocklight: {problem}", file=sys.stderr)
    return catalogue


def list_stocks(*, as_json: bool) -> int:
    """Print the stocks."""
    catalogue = load_catalogue()
    with Progress() as progress:
        progress.say(tr("Measuring the gamuts…"))
        records: list[dict[str, Any]] = [
            {
                "name": stock.name,
                "class": stock.stock_class,
                "kind": stock.kind,
                "typical": bool(stock.typical),
                "white_Lab": rounded(stock.white_Lab, 2),
                "black_Lab": rounded(stock.black_Lab, 2),
                "Dmax": round(float(stock.Dmax), 2),
                "gamut_volume": round(float(stock.gamut_volume)),
                "surface": stock.surface.kind,
                "gloss_60_GU": float(stock.surface.gloss_60_GU),
                "note": stock.note,
                "provenance": stock.provenance,
            }
            for stock in catalogue.stocks
        ]
    if as_json:
        print_json(records)
        return 0
    print_table(
        (
            "stock",
            "class",
            tr("white L* a* b*"),
            tr("black L*"),
            "Dmax",
            tr("gamut, Lab³"),
            "numbers",
        ),
        [
            (
                record["name"],
                record["class"],
                "  ".join(f"{value:5.1f}" for value in record["white_Lab"]),
                f"{record['black_Lab'][0]:.1f}",
                f"{record['Dmax']:.2f}",
                f"{round(record['gamut_volume'], -3):,}".replace(",", " "),
                _standing(record),
            )
            for record in records
        ],
        [
            " ".join(map(closed, filter(None, (record["provenance"], record["note"]))))
            for record in records
        ],
        tr(
            "Dmax: density of the black. Gamut: volume of the colours that can be printed, in "
            "cubed units of L*, a* and b*; an sRGB screen has about 830 000."
        ),
    )
    return 0


def _standing(record: dict[str, Any]) -> str:
    if record["typical"]:
        return "typical"
    return tr("profile; surface typical") if record["kind"] == "profiled" else record["kind"]


def list_lights(*, as_json: bool) -> int:
    """Print the lights."""
    records: list[dict[str, Any]] = [
        {
            "name": light.name,
            "words": light.words,
            "kind": light.kind,
            "cct_K": round(float(light.cct_K)),
            "duv": round(float(light.duv), 4),
            "fidelity_Rf": round(float(light.fidelity_Rf)),
            "caution": light.caution,
            "provenance": light.provenance,
        }
        for light in load_catalogue().lights
    ]
    if as_json:
        print_json(records)
        return 0
    print_table(
        ("light", tr("what it is"), "CCT", "Duv", "Rf"),
        [
            (
                record["name"],
                record["words"],
                f"{record['cct_K']} K",
                f"{record['duv']:+.4f}",
                f"{record['fidelity_Rf']}",
            )
            for record in records
        ],
        [" ".join(filter(None, (record["provenance"], record["caution"]))) for record in records],
        tr(
            "CCT: correlated colour temperature. Duv: distance from a glowing body's colour, + "
            "towards green, - towards pink. Rf: colour fidelity (CIE 224:2017), 100 at best."
        ),
    )
    return 0


def list_glazings(*, as_json: bool) -> int:
    """Print the glazings."""
    records: list[dict[str, Any]] = [
        {
            "name": glazing.name,
            "transmittance": round(glazing.transmittance_D50, 3),
            "ultraviolet_transmittance": round(float(glazing.uv_transmittance), 3),
            "reflectance": round(float(glazing.reflectance), 3),
            "note": glazing.note,
            "provenance": glazing.provenance,
        }
        for glazing in load_catalogue().glazings
    ]
    if as_json:
        print_json(records)
        return 0
    print_table(
        ("glazing", tr("lets through"), tr("of ultraviolet"), "reflects"),
        [
            (
                record["name"],
                percent(record["transmittance"]),
                f"{record['ultraviolet_transmittance'] * 100:.0f} %",
                percent(record["reflectance"]),
            )
            for record in records
        ],
        [" ".join(filter(None, (record["note"], record["provenance"]))) for record in records],
        tr("Lets through: of D50, as the eye weighs it. Of ultraviolet: 320 to 380 nm."),
    )
    return 0


def list_places(*, as_json: bool) -> int:
    """Print the places."""
    catalogue = load_catalogue()
    records: list[dict[str, Any]] = [
        {
            "name": place.name,
            "illuminance_lux": float(place.illuminance_lux),
            "light": place.light,
            "aliases": list(place.aliases),
            "caution": place.caution,
            "provenance": place.provenance,
        }
        for place in catalogue.places
    ]
    if as_json:
        print_json(records)
        return 0
    print_table(
        ("place", "light", tr("usual lamp"), tr("also called")),
        [
            (
                record["name"],
                f"{record['illuminance_lux']:.0f} lx",
                tr(catalogue.light(record["light"]).words or record["light"]),
                " · ".join(record["aliases"]),
            )
            for record in records
        ],
        [" ".join(filter(None, (record["provenance"], record["caution"]))) for record in records],
        tr(
            "Light: the illuminance of a print there; --lux takes a place as well as a number, and "
            "then the print hangs under the usual lamp unless --light names another."
        ),
    )
    return 0
