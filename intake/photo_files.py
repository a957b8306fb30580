"""From a photo's row to its bytes: the file as kept, and what leaves the house of it.

A higher floor may draw on a copy (`register`, in its app's `ready`), so that letters and papers of this floor show that
copy without knowing how it comes about.
"""

from collections.abc import Callable

from intake import file_store
from intake.models import Photo

FOLDER, SUFFIX = "photos", ".jpg"
Copier = Callable[[Photo], bytes]
_copiers: list[Copier] = []


def register(copier: Copier) -> None:
    """From now on `copier` says what is shown of a photo: a JPEG. The last one registered holds."""
    _copiers.append(copier)


def kept(photo: Photo) -> bytes:
    """The JPEG as it was kept, never changed. OSError when the file is lost."""
    return file_store.read(photo.sha256, folder=FOLDER, suffix=SUFFIX)


def shown(photo: Photo) -> bytes:
    """The JPEG that leaves the house: the copy with what was drawn on it, if there is one. OSError as above."""
    return _copiers[-1](photo) if _copiers else kept(photo)
