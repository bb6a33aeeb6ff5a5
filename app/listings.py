"""The commands that list what can be chosen."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any

from app.terminal import Progress, print_json, print_table, rounded

if TYPE_CHECKING:
    from proofing.catalogue import Catalogue


def load_catalogue() -> Catalogue:
    """What can be chosen; a file of one's own that cannot be used is told in one line."""
    from proofing.catalogue import Catalogue

    catalogue = Catalogue.load()
    for problem in catalogue.problems:
        print(f"stocklight: {problem}", file=sys.stderr)
    return catalogue


def list_stocks(*, as_json: bool) -> int:
    """Print the stocks."""
    catalogue = load_catalogue()
    with Progress() as progress:
        progress.say("Measuring the gamuts…")
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
                "provenance": stock.provenance,
            }
            for stock in catalogue.stocks
        ]
    if as_json:
        print_json(records)
        return 0
    print_table(
        ("stock", "class", "white L* a* b*", "black L*", "Dmax", "gamut, Lab³", "numbers"),
        [
            (
                record["name"],
                record["class"],
                "  ".join(f"{value:5.1f}" for value in record["white_Lab"]),
                f"{record['black_Lab'][0]:.1f}",
                f"{record['Dmax']:.2f}",
                f"{round(record['gamut_volume'], -3):,}".replace(",", " "),
                "typical" if record["typical"] else record["kind"],
            )
            for record in records
        ],
        [record["provenance"] for record in records],
    )
    return 0


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
        ("light", "what it is", "CCT", "Duv", "Rf"),
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
    )
    return 0


def list_glazings(*, as_json: bool) -> int:
    """Print the glazings."""
    from proofing.colorimetry import d50_weights

    luminous = d50_weights()[:, 1]
    records: list[dict[str, Any]] = [
        {
            "name": glazing.name,
            "transmittance": round(float(glazing.transmittance_visible @ luminous), 3),
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
        ("glazing", "lets through", "of ultraviolet", "mirrors"),
        [
            (
                record["name"],
                f"{record['transmittance'] * 100:.1f} %",
                f"{record['ultraviolet_transmittance'] * 100:.0f} %",
                f"{record['reflectance'] * 100:.1f} %",
            )
            for record in records
        ],
        [" ".join(filter(None, (record["note"], record["provenance"]))) for record in records],
    )
    return 0
