"""What somebody may send who means no good, or whose program is broken: values, bodies, query strings, from a fixed seed.

A good form is the start (`forms_in` reads it out of the page); one to four of its fields are spoiled, so that much of
what is sent gets past the first check. Source of the kinds: what fuzzing of forms is known to break (common practice,
no source): NUL, lone surrogates, numbers without end, years at the edges, bodies that are cut, too big or wrongly said.
"""

from dataclasses import dataclass, field
from html.parser import HTMLParser
from random import Random
from urllib.parse import quote_from_bytes

Fields = list[tuple[str, str]]
MOST_BYTES = 1_000_000

_TEXTS = [
    "", " ", "\0", "a\0b", "\r\n", "a\r\nBcc: x@example.com", "\ufeff", "\u202emirror\u202c", "\u200b", "\x1b[31m", "\x7f\x80",
    "\U0001f4a9" * 40, "e\u0301" * 400, "\u0130\u0131\u017f\ufb03", "\ufdfa" * 300, "\uffff", "\U0010ffff", "مرحبا", "\u0000\u0001\u0008",
    "null", "None", "undefined", "true", "NaN", "[]", "{}", '{"a": NaN}', "on", "'", '"', "\\", "`", "%00", "%", "%s%n", "{{ 7*7 }}", "{% now %}",
    "' OR 1=1 --", "<script>x</script>", "<!--", "]]>", "&#0;", "../../../etc/passwd", "=1+1", "a" * 300, "9" * 400, "ZZZZ-ZZZZ", "::", "//", "\\\\x",
    "a@b", "a@" + "b" * 300 + ".example", "@", "x" * 70_000,
]  # fmt: skip
_NUMBERS = [
    "0", "-0", "-1", "1", "2", "0.001", "1e999", "-1e999", "1e-999", "1E+400", "NaN", "sNaN", "-Infinity", "inf", "Infinity", "0x1F", "1_000",
    "2147483647", "2147483648", "-2147483649", "9223372036854775807", "9223372036854775808", "18446744073709551616", "9" * 40, "9" * 5000, "1" + "0" * 4400,
    "999999999999.99", "99999999.999", "1,5", "1.234.567,89", "١٢٣", "\u0661", "²", "½", "1 000", "+1", "1e5", "1e1000000", "00000000000001", "0.1" + "0" * 300, "--1", "1-", "1/0",
]  # fmt: skip
_TIMES = [
    "0001-01-01", "9999-12-31", "0000-00-00", "10000-01-01", "1900-02-29", "2026-02-30", "2026-13-01", "-0001-01-01", "2026-02-02", "1999-12-31", "2100-01-01",
    "0001-01-01T00:00", "9999-12-31T23:59", "9999-12-31T23:59:59.999999+14:00", "0001-01-01T00:00:00+14:00", "2026-03-29T02:30", "2026-02-02T25:61", "00:00", "24:00", "23:59:60",
    "9999-12", "0001-01", "0000-00", "2026-00", "2026-W53", "10000-01", "9999-W52", "0001-W01", "1e9", "99:99",
]  # fmt: skip
_BYTES = [
    b"\xff\xfe", b"\xed\xa0\x80", b"\xed\xbf\xbf", b"a\xed\xa0\x80b", b"\xc0\x80", b"\xf8\x88\x80\x80\x80", b"\xf4\x90\x80\x80", b"\x80", b"caf\xe9", b"\x00", b"\xe2\x82",
]  # fmt: skip
_GOOD = [
    "Mara Ellwick",
    "ZZ-0417",
    "12.50",
    "1",
    "2026-02-02",
    "mara.ellwick@example.com",
    "3 Nowhere Lane",
    "on",
    "phone",
    "10:30",
]


@dataclass
class Form:
    """One form of a page: where it goes, how, its fields as they stand, and what its choices offer."""

    action: str
    method: str
    fields: Fields = field(default_factory=list)
    choices: dict[str, list[str]] = field(default_factory=dict)

    @property
    def names(self) -> list[str]:
        return list(dict.fromkeys([*(name for name, _ in self.fields), *self.choices]))


class _Reader(HTMLParser):
    def __init__(self, page: str) -> None:
        super().__init__()
        self.forms: dict[str, Form] = {}
        self._form: Form | None = None
        self._select = self._area = ""
        self._words = ""
        self._page = page
        self._elsewhere: list[tuple[Form, str]] = []
        self._loose: list[tuple[str, str, dict[str, str]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        name = given.get("name", "")
        if tag == "form":
            self._form = Form(given.get("action") or self._page, given.get("method", "get").lower())
            self.forms[given.get("id") or f"#{len(self.forms)}"] = self._form
            return
        if "formaction" in given:
            self._leads(given)
        if name and tag in ("input", "button", "select", "textarea"):
            self._control(tag, name, given)
        elif tag == "option" and self._select and self._form is not None:
            self._form.choices.setdefault(self._select, []).append(given.get("value", ""))

    def _leads(self, given: dict[str, str]) -> None:
        """A button may send its form elsewhere than the form says."""
        form = self.forms.get(given["form"]) if "form" in given else self._form
        if form is not None:
            self._elsewhere.append((form, given["formaction"]))

    def _control(self, tag: str, name: str, given: dict[str, str]) -> None:
        if "form" in given:
            self._loose.append((given["form"], name, given))
            return
        if self._form is None:
            return
        if tag == "select":
            self._select = name
            self._form.choices.setdefault(name, [])
        elif tag == "textarea":
            self._area, self._words = name, ""
        elif given.get("type") in ("radio", "checkbox") or tag == "button":
            self._form.choices.setdefault(name, []).append(given.get("value", "on"))
            if "checked" in given:
                self._form.fields.append((name, given.get("value", "on")))
        elif given.get("type") != "file":
            self._form.fields.append((name, given.get("value", "")))

    def handle_data(self, data: str) -> None:
        self._words += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._form = None
        elif tag == "select":
            self._select = ""
        elif tag == "textarea" and self._area and self._form is not None:
            self._form.fields.append((self._area, self._words))
            self._area = ""

    def read(self, page: str) -> None:
        self.feed(page)
        for number, (form, action) in enumerate(self._elsewhere):
            self.forms[f"#elsewhere{number}"] = Form(action, form.method, form.fields, form.choices)
        for ident, name, given in self._loose:
            if ident in self.forms:
                self.forms[ident].fields.append((name, given.get("value", "")))


def forms_in(page: str, *, address: str) -> list[Form]:
    """Every form of a page that stands at `address`."""
    reader = _Reader(address)
    reader.read(page)
    return list(reader.forms.values())


def value(rng: Random) -> bytes:
    """One hostile value as the bytes that travel."""
    kind = rng.random()
    if kind < 0.30:
        return rng.choice(_TEXTS).encode()
    if kind < 0.52:
        return rng.choice(_NUMBERS).encode()
    if kind < 0.70:
        return rng.choice(_TIMES).encode()
    if kind < 0.80:
        return rng.choice(_BYTES)
    if kind < 0.805:
        return b"x" * MOST_BYTES
    if kind < 0.9:
        return "".join(chr(_point(rng)) for _ in range(rng.randrange(1, 12))).encode("utf-8", "surrogatepass")
    return rng.choice(_GOOD).encode() + rng.choice(_BYTES + [text.encode() for text in _TEXTS[:20]])


def _point(rng: Random) -> int:
    return rng.choice(
        [
            rng.randrange(0, 0x80),
            rng.randrange(0, 0x3000),
            rng.randrange(0xD800, 0xE000),
            rng.randrange(0x110000),
        ]
    )


def spoiled(form: Form, rng: Random) -> list[tuple[bytes, bytes]]:
    """The form's fields, most as a person would fill them, some as nobody should."""
    sent: list[tuple[bytes, bytes]] = []
    names = form.names or ["x"]
    victims = set(rng.sample(names, min(len(names), rng.choice([0, 1, 1, 1, 2, 4, 99]))))
    kept = dict(form.fields)
    for name in names:
        if name in victims:
            sent.append((name.encode(), value(rng)))
            if rng.random() < 0.1:
                sent += [(name.encode(), value(rng))] * rng.choice([1, 2, 70])
        elif form.choices.get(name) and (name not in kept or rng.random() < 0.5):
            if rng.random() < 0.8:
                sent.append((name.encode(), rng.choice(form.choices[name]).encode()))
        elif rng.random() < 0.95:
            sent.append((name.encode(), (kept.get(name) or rng.choice(_GOOD)).encode()))
    if rng.random() < 0.05:
        sent.append((value(rng)[:200], value(rng)))
    if rng.random() < 0.005:
        sent += [(b"f%d" % number, b"1") for number in range(5000)]
    rng.shuffle(sent)
    return sent


def encoded(sent: list[tuple[bytes, bytes]]) -> bytes:
    return b"&".join(f"{quote_from_bytes(name)}={quote_from_bytes(what)}".encode() for name, what in sent)


def _parts(sent: list[tuple[bytes, bytes]], rng: Random, edge: bytes, files: tuple[str, ...]) -> bytes:
    out = b""
    for name, what in sent:
        head = b'Content-Disposition: form-data; name="' + name.replace(b'"', b"%22") + b'"'
        if rng.random() < 0.05:
            head += b"\r\nContent-Transfer-Encoding: " + rng.choice(
                [b"base64", b"quoted-printable", b"x", b"8bit"]
            )
        if rng.random() < 0.03:
            head += b'; filename="' + value(rng)[:200].replace(b'"', b"") + b'"'
        out += b"--" + edge + b"\r\n" + head + b"\r\n\r\n" + what + b"\r\n"
    for name in files:
        told = value(rng)[:300].replace(b'"', b"").replace(b"\r\n", b" ")
        kind = rng.choice(
            [b"image/jpeg", b"image/png", b"text/html", b"", b"a/b; charset=\xff", b"application/x-php"]
        )
        head = b'Content-Disposition: form-data; name="%s"; filename="%s"' % (name.encode(), told)
        if rng.random() < 0.2:
            head += b"; filename*=" + rng.choice([b"UTF-8''%ff%00.jpg", b"x''y", b"''", b"utf-99''a"])
        out += (
            b"--"
            + edge
            + b"\r\n"
            + head
            + b"\r\nContent-Type: "
            + kind
            + b"\r\n\r\n"
            + value(rng)[:5000]
            + b"\r\n"
        )
    return out + b"--" + edge + b"--\r\n"


def body(form: Form, rng: Random, *, files: tuple[str, ...] = ()) -> tuple[bytes, str]:
    """A whole body and the content type it claims."""
    sent, kind = spoiled(form, rng), rng.random()
    if files or kind < 0.12:
        edge = b"edge"
        made = _parts(sent, rng, edge, files)
        if rng.random() < 0.25:
            made = made[: rng.randrange(len(made))]
        told = rng.choice(["edge"] * 8 + ["", "other", "x" * 300, "ed\u00e9ge"])
        return made, f"multipart/form-data; boundary={told}" + rng.choice(["", "", "; charset=utf-16"])
    plain = "application/x-www-form-urlencoded"
    if kind < 0.88:
        return encoded(sent), plain
    if kind < 0.91:
        return encoded(sent), plain + rng.choice(
            ["; charset=utf-16", "; charset=latin-1", "; charset=nonsense", "; charset="]
        )
    if kind < 0.93:
        return rng.randbytes(rng.randrange(3000)), plain
    if kind < 0.96:
        odd = rng.choice(
            [
                b"null",
                b"[]",
                b'{"a": NaN}',
                b'{"a": "\\ud800"}',
                b"{",
                b"[" * 5000,
                b'"' + value(rng)[:99] + b'"',
            ]
        )
        return odd, "application/json"
    return encoded(sent), rng.choice(
        ["", "text/plain", "multipart/form-data", "application/json", "\u00e9", ";", "a/b; c", "*/*"]
    )


def query(names: list[str], rng: Random) -> str:
    """A hostile query string over names that a page reads, and some it does not."""
    many = rng.choice([1, 1, 1, 2, 3, 8])
    pairs = [(rng.choice(names).encode() if names else b"q", value(rng)[:3000]) for _ in range(many)]
    if rng.random() < 0.05:
        return quote_from_bytes(value(rng)[:500], safe="&=%;")
    return encoded(pairs).decode()
