"""How the static files are kept: named after their content, and packed once, quickly."""

from typing import Any

from whitenoise.compress import Compressor
from whitenoise.storage import CompressedManifestStaticFilesStorage


class StaticStore(CompressedManifestStaticFilesStorage):
    """Packs with gzip alone: Brotli took the first start from seconds to a minute, for the fonts' sake."""

    # Pages use the names with a digest; the plain ones would be packed for nobody.
    keep_only_hashed_files = True

    def create_compressor(self, **kwargs: Any) -> Compressor:
        return Compressor(**{**kwargs, "use_brotli": False})
