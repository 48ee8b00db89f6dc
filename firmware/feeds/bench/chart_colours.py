"""The 24 colours of the bench's chart: linear reflectance under D65, by Munsell notation.

Munsell renotation (Newhall, Nickerson, Judd 1943) and the ASTM D1535 value scale via colour-science
0.4.7 (illuminant C), Bradford adaptation C to D65, primaries of ITU-R BT.709. The same rows with
all intermediate figures are tests/reference/munsell.csv.
"""

CHART_ROWS, CHART_COLUMNS = 4, 6

MUNSELL_CHART: dict[str, tuple[float, float, float]] = {
    "5R 5/8": (0.47346, 0.11658, 0.11102),
    "10R 6/6": (0.55266, 0.22895, 0.15844),
    "5YR 6/8": (0.59369, 0.22609, 0.06984),
    "10YR 7/8": (0.69513, 0.37315, 0.08039),
    "5Y 8/8": (0.75841, 0.57228, 0.10103),
    "10Y 7/6": (0.46310, 0.44023, 0.10949),
    "5GY 6/8": (0.22667, 0.34121, 0.03204),
    "10GY 6/6": (0.15102, 0.35281, 0.13683),
    "5G 5/6": (0.04330, 0.24406, 0.13581),
    "10G 6/4": (0.13143, 0.34455, 0.26845),
    "5BG 5/4": (0.06961, 0.22815, 0.20958),
    "10BG 6/4": (0.12455, 0.33720, 0.35590),
    "5B 5/6": (0.02647, 0.22908, 0.32200),
    "10B 5/6": (0.06440, 0.21469, 0.34906),
    "5PB 5/8": (0.08837, 0.19851, 0.43186),
    "10PB 4/8": (0.12331, 0.09658, 0.28884),
    "5P 4/8": (0.18271, 0.08292, 0.24879),
    "5RP 5/8": (0.42693, 0.11922, 0.21713),
    "N9.5": (0.87756, 0.87756, 0.87756),
    "N8": (0.57620, 0.57620, 0.57620),
    "N6.5": (0.35296, 0.35296, 0.35296),
    "N5": (0.19272, 0.19272, 0.19272),
    "N3.5": (0.08778, 0.08778, 0.08778),
    "N2": (0.03048, 0.03048, 0.03048),
}
"""Notation: linear R, G, B with 1.0 at a perfect white; in reading order, 4 rows of 6."""
