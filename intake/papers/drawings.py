"""Line drawings of the four packing steps, as SVG data: addresses."""

from base64 import b64encode

_STEPS = {
    "off": (  # a phone with its power sign, card and case beside it
        '<rect x="34" y="6" width="34" height="66" rx="5"/><circle cx="51" cy="38" r="9"/><path d="M51 24v13"/>'
        '<rect x="80" y="8" width="20" height="15" rx="2"/><path d="M85 13h10M85 18h6"/>'
        '<path d="M78 15.500h-6" stroke-dasharray="2 2"/>'
        '<rect x="78" y="34" width="26" height="38" rx="5"/><rect x="83" y="39" width="16" height="28" rx="2"/>'
        '<path d="M74 53h-4" stroke-dasharray="2 2"/>'
    ),
    "wrap": (  # the device rolled in soft wrap, the slip beside it
        '<ellipse cx="52" cy="40" rx="34" ry="30"/><ellipse cx="52" cy="40" rx="27" ry="23"/>'
        '<rect x="41" y="23" width="22" height="34" rx="3"/><path d="M86 40c0 14-6 26-16 31"/>'
        '<path d="M92 22h20v30h-20zM96 29h12M96 35h12M96 41h8"/>'
    ),
    "fill": (  # an open box with filling on all sides
        '<path d="M20 30v42h80v-42M20 30l-10-14M100 30l10-14M20 30h80"/>'
        '<rect x="44" y="42" width="32" height="18" rx="3"/>'
        '<path d="M26 38c5 4 9-4 13 0M26 48c5 4 9-4 13 0M26 58c5 4 9-4 13 0M81 38c5 4 9-4 13 0M81 48c5 4 9-4 13 0'
        'M81 58c5 4 9-4 13 0M30 67c6 4 10-4 15 0s10 4 15 0 10-4 15 0 9 4 14 0M48 37c5 3 8-3 12 0s8 3 12 0"/>'
    ),
    "post": (  # the closed box with tape and the label on top
        '<path d="M16 28l44-16 44 16v38l-44 12-44-12zM16 28l44 13 44-13M60 41v37"/>'
        '<path d="M37 20.500l44 13v10"/><path d="M43 18.300l44 13v10"/>'
        '<path d="M22 40l28 8v16l-28-8zM26 46l14 4M26 51l18 5"/>'
    ),
}


def drawing(name: str) -> str:
    """The drawing of one packing step; KeyError for a name that is not drawn."""
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 120 80" width="30mm" height="20mm">'
        f'<g fill="none" stroke="#000" stroke-width="1.800" stroke-linejoin="round" stroke-linecap="round">'
        f"{_STEPS[name]}</g></svg>"
    )
    return "data:image/svg+xml;base64," + b64encode(svg.encode()).decode()
