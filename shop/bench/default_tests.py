"""The usual test lists by kind of device. Common practice, no source; a shop writes its own versions."""

from typing import Any


def _rows(*texts: str, may: tuple[str, ...] = ()) -> list[dict[str, Any]]:
    return [{"text": text, "must": True} for text in texts] + [{"text": text, "must": False} for text in may]


_CHARGE = ("Charges, current noted", "Starts three times", "No draw when off, current noted")
_PICTURE = ("Picture, full brightness, edge to edge", "Touch over the whole glass")
_SOUND = ("All microphones, one recording each", "Speakers")
_RADIO = ("Wi-Fi", "Bluetooth")

DEFAULT_ROWS: dict[str, list[dict[str, Any]]] = {
    "phone": _rows(
        *_CHARGE,
        *_PICTURE,
        "Cameras, focus and flash",
        *_SOUND,
        "Earpiece",
        "Vibration",
        "Buttons",
        "Light and proximity sensor",
        *_RADIO,
        "Positioning",
        "SIM read, call and data with our own SIM",
        may=("Charges without a cable", "Headset or data on the socket", "Battery health noted"),
    ),
    "tablet": _rows(
        *_CHARGE,
        *_PICTURE,
        "Cameras",
        *_SOUND,
        "Buttons",
        *_RADIO,
        may=("Pen", "Keyboard contacts", "Battery health noted"),
    ),
    "laptop": _rows(
        "Charges and runs from battery and mains",
        "Every port, both ways round",
        "Every key, and the key light",
        "Trackpad",
        "Screen and a second screen",
        "Camera and microphones",
        "Speakers",
        *_RADIO,
        "Fan runs and answers to heat",
        "Temperatures idle and under load, noted",
        "Sleeps and wakes three times",
        may=("Memory test", "Storage health read", "Lid sensor"),
    ),
    "board": _rows("Draw off, idle and at start, noted", "Rails in order, noted"),
    "other": _rows("Powers on from its own supply", "Every control does what it says"),
}
