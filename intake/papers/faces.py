"""Where the printed faces lie. Every paper embeds these and no other named face."""

import importlib.resources
from functools import cache
from pathlib import Path

_ATKINSON = "fontpkg_atkinson_hyperlegible"
FACES: dict[str, tuple[str, str]] = {
    "Read.ttf": (_ATKINSON, "AtkinsonHyperlegible-Regular.ttf"),
    "ReadBold.ttf": (_ATKINSON, "AtkinsonHyperlegible-Bold.ttf"),
    "Plate.ttf": ("fontpkg_barlow_condensed", "BarlowCondensed-SemiBold.ttf"),
    "Gauge.ttf": ("fontpkg_dm_mono", "DMMono-Regular.ttf"),
    "Noto.ttf": ("fontpkg_noto_sans", "NotoSans[wdth,wght].ttf"),
}


@cache
def face_path(name: str) -> Path:
    """The file of a face by our own short name; KeyError for any other name."""
    package, file = FACES[name]
    return Path(str(importlib.resources.files(package))) / "files" / file
