"""When a parcel on its way home was silent for so long that somebody must ask. Pure."""

# Days after which carriers count a parcel of another country as lost, give or take: common practice, no source.
LONGEST_SILENCE = 21


def is_silent(days: int) -> bool:
    """`days`: whole days since it was handed to the post."""
    return days > LONGEST_SILENCE
