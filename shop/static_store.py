"""How the static files are kept: named after their content, and packed once, quickly."""

from typing import Any

from whitenoise.compress import Compressor
from whitenoise.storage import CompressedManifestStaticFilesStorage


class StaticStore(CompressedManifestStaticFilesStorage):
    """Packs with gzip alone: Brotli took the first start from seconds to a minute, for the fonts' sake."""

    def create_compressor(self, **kwargs: Any) -> Compressor:
        return Compressor(**{**kwargs, "use_brotli": False})
