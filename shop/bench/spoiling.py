"""Why a part was spoiled: a short list, and words to it. Pure."""

BAD_ON_ARRIVAL = "Bad on arrival"
OTHER = "other"
REASONS = {
    "burnt": "Burnt",
    "lost": "Lost",
    "wrong": "Wrong part",
    "bad": BAD_ON_ARRIVAL,
    OTHER: "Another reason",
}
LONGEST = 200


def spoiled_words(reason: str, words: str) -> str:
    """The sentence that stands in the stock's moves: "Burnt: the iron slipped". Raises ValueError.

    `reason` is a key of `REASONS`; another reason needs words.
    """
    if reason not in REASONS:
        raise ValueError("Choose how it was spoiled.")
    plain = " ".join(words.split())
    if reason == OTHER:
        if not plain:
            raise ValueError("Say how it was spoiled. It stands in the stock's moves.")
        return plain[:LONGEST]
    return (f"{REASONS[reason]}: {plain}" if plain else REASONS[reason])[:LONGEST]


def is_bad_on_arrival(why: str) -> bool:
    """Whether the reason of a move speaks against the lot: counterfeit, or dead when it came."""
    return why.startswith(BAD_ON_ARRIVAL)
