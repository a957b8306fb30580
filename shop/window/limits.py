"""How often one sender may try: counted in the cache, which all processes share, for noise and not for safety."""

from django.core.cache import cache


def too_many(what: str, sender: str, *, most: int, seconds: int) -> bool:
    """Count one try of a sender and say whether that was one too many within the time."""
    key = f"tries:{what}:{sender}"
    if cache.add(key, 1, seconds):
        return most < 1
    try:
        return cache.incr(key) > most
    except ValueError:
        # It ran out between the two calls: this is the first try of a new time.
        cache.set(key, 1, seconds)
        return False
