"""The usual test lists by kind of device. Common practice, no source; a shop writes its own versions.

A row: text, must; `unlocked` where the device must be open for it; `mode`, `polarity`, `low`, `high` (text, base unit) where it
is measured; `soak` minutes where it must run. A key that says nothing is left out.
"""

from typing import Any

DATA = "data"
USUAL_SOAK = {"laptop": 60, DATA: 0}
"""Minutes it must run at the end where that is not the usual half hour."""


def _row(text: str, **more: Any) -> dict[str, Any]:
    return {"text": text, "must": True, **more}


def _open(text: str, **more: Any) -> dict[str, Any]:
    """A row that needs the owner's code."""
    return _row(text, unlocked=True, **more)


def _may(*texts: str) -> list[dict[str, Any]]:
    return [_row(text, must=False) for text in texts]


# Off means off: what leaks at the battery contacts of a whole board is well under two thousandths of an ampere.
_OFF = _row("No draw when off, current noted", mode="amps", high="0.002")
_CHARGE = [_row("Charges, current noted", mode="amps", low="0.3"), _row("Starts three times"), _OFF]
_PICTURE = [_row("Picture, full brightness, edge to edge"), _row("Touch over the whole glass")]
_SOUND = [_open("All microphones, one recording each"), _open("Speakers")]
_RADIO = [_open("Wi-Fi"), _open("Bluetooth")]

DEFAULT_ROWS: dict[str, list[dict[str, Any]]] = {
    "phone": [
        *_CHARGE,
        *_PICTURE,
        _open("Cameras, focus and flash"),
        *_SOUND,
        _open("Earpiece"),
        _row("Vibration"),
        _row("Buttons"),
        _open("Light and proximity sensor"),
        *_RADIO,
        _open("Positioning"),
        _open("SIM read, call and data with our own SIM"),
        *_may("Charges without a cable", "Headset or data on the socket", "Battery health noted"),
        _open("Fingerprint or face, without the owner's data", must=False),
    ],
    "tablet": [
        *_CHARGE,
        _row("Every charging contact"),
        *_PICTURE,
        _open("Cameras"),
        *_SOUND,
        _row("Buttons"),
        *_RADIO,
        *_may("Pen", "Keyboard contacts", "Battery health noted"),
    ],
    "laptop": [
        _row("Charges and runs from battery and mains"),
        _row("Every port, both ways round"),
        _row("Every key, and the key light"),
        _row("Trackpad"),
        _row("Screen and a second screen"),
        _open("Camera and microphones"),
        _open("Speakers"),
        *_RADIO,
        _row("Fan runs and answers to heat"),
        _row("Temperatures idle and under load, noted"),
        _row("Sleeps and wakes three times"),
        *_may("Memory test", "Storage health read", "Lid sensor"),
    ],
    "board": [
        _OFF,
        _row("Draw idle and at start, noted"),
        _row("Rails in order, noted"),
        _row("The reported function, in our own test housing"),
    ],
    "other": [_row("Powers on from its own supply"), _row("Every control does what it says")],
    DATA: [
        _row("Files counted"),
        _row("A sample opened, only of the kind the customer chose"),
        _row("The copy agrees with its digest list"),
        _row("The copy is encrypted"),
        _row("How the device is left, noted"),
    ],
}


def usual(kind: str) -> tuple[list[dict[str, Any]], int]:
    """Rows, and minutes it must run at the end, before the shop wrote its own list."""
    return DEFAULT_ROWS.get(kind, DEFAULT_ROWS["other"]), USUAL_SOAK.get(kind, 30)
