"""The signing key that a shop without SECRET_KEY keeps in a file beside its data."""

import os
import secrets
import tempfile
from pathlib import Path


def kept_secret(place: Path) -> str:
    """The key in `place`, made when missing, readable by its owner alone. Raises OSError.

    Two processes may start at once: the link decides which key stays, and nobody reads half a file.
    """
    if not place.exists():
        handle, made = tempfile.mkstemp(dir=place.parent, prefix=".secret-")
        with os.fdopen(handle, "w") as paper:
            paper.write(secrets.token_urlsafe(60))
        try:
            os.link(made, place)
        except FileExistsError:
            pass
        finally:
            Path(made).unlink()
    return place.read_text().strip()
