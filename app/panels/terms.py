"""Words of the trade that are explained wherever they stand."""

DELTA_E_00 = (
    "ΔE00: how far apart two colours look; about 1 is just noticeable side by side, 3 shows at a "
    "glance (typical)"
)
"""CIEDE2000 for people; the two figures are common practice."""
