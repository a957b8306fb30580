"""What a value of the surroundings must not be. Each rule gives the rest of a sentence after the variable's name, or ""."""

import ipaddress
import re
import stat
from email.headerregistry import Address
from email.utils import parseaddr
from pathlib import Path
from urllib.parse import urlsplit

SECRET_LENGTH = 50
# Fifty random characters hold more kinds than this even when written in sixteen digits: ten or fewer of the sixteen
# come once in some two million keys (inclusion and exclusion, worked out by hand).
FEWEST_KINDS = 10
OWN_HOSTS = ("localhost", "127.0.0.1", "::1")
UNPRINTED = re.compile(r"[\x00-\x1f\x7f\x85\u2028\u2029]")


def unprinted(value: str) -> str:
    """Line breaks and other control characters belong in no setting: they would end up in letters and headers."""
    return (
        "holds a line break or another control character; write it on one line"
        if UNPRINTED.search(value)
        else ""
    )


def weak_secret(value: str) -> str:
    """Too short, of too few kinds of characters, one piece repeated, or a sample out of a guide."""
    repeated = value in (value + value)[1:-1]
    sample = "insecure" in value.lower() or "change" in value.lower()
    if len(value) >= SECRET_LENGTH and len(set(value)) > FEWEST_KINDS and not repeated and not sample:
        return ""
    return f"is too weak; write at least {SECRET_LENGTH} random characters"


def weak_fallbacks(listed: list[str], now: str) -> str:
    """Old keys still open what they signed, so they must have been strong; the present one is no old one."""
    if any(weak_secret(each) for each in listed):
        return "holds a key that is too weak; leave it out, what it signed ends then"
    return "holds the key of SECRET_KEY itself; write only the keys from before" if now in listed else ""


def missing_recipients(listed: list[str]) -> str:
    """Several machines seal their backups to one key, which none of them makes."""
    return (
        ""
        if listed
        else "is empty while MEDIA_STORE is set, which several machines share: write the same public key on all of them; "
        "python -m shop.backup.age_keys prints a new one"
    )


def no_machine(value: str) -> str:
    """One number of a machine: whoever is believed about the sender must not be a whole network."""
    try:
        ipaddress.ip_address(value)
    except ValueError:
        return f"is {value!r}; write the number of one machine, such as 127.0.0.1 or 10.0.0.5"
    return ""


def wrong_sender(value: str) -> str:
    """One address, with or without a name before it."""
    wrong = f"is {value!r}; write one address, such as bench@shop.example or Our Bench <bench@shop.example>"
    name, spec = parseaddr(value)
    if not re.fullmatch(r"[^@\s,;<>]+@[A-Za-z0-9.\[\]:-]+", spec) or value.count("@") != 1:
        return wrong
    try:
        Address(name, addr_spec=spec)
    except (ValueError, IndexError):
        return wrong
    return "" if value in (spec, f"<{spec}>") or value.endswith(f"<{spec}>") else wrong


def open_key(key: Path) -> str:
    """A key file that others of this machine can read or change, with the command that mends it."""
    mode = stat.S_IMODE(key.stat().st_mode)
    return (
        f"can be read or changed by others on this machine; mend it: chmod 600 {key}" if mode & 0o077 else ""
    )


def open_folder(folder: Path) -> str:
    """A folder of the shop that everybody on this machine may write into."""
    mode = folder.stat().st_mode
    everybody = mode & stat.S_IWOTH and not mode & stat.S_ISVTX
    return (
        f"names {folder}, where everybody on this machine may write; mend it: chmod 700 {folder}"
        if everybody
        else ""
    )


def shown_to_all(place: Path, published: list[Path]) -> str:
    """Photos, papers and keys must not lie where the web server hands out files to everybody."""
    inside = any(place == each or each in place.parents for each in published)
    return (
        f"names {place}, whose files are handed out to everybody; name a folder elsewhere" if inside else ""
    )


def debug_in_public(site_address: str) -> str:
    """The inside of faults may be shown on this machine only."""
    host = urlsplit(site_address).hostname or ""
    return (
        ""
        if host in OWN_HOSTS
        else f"is on while SITE_ADDRESS is {site_address}; it shows secrets, so turn it off"
    )


def readable_password(scheme: str, host: str, user: str, password: str) -> str:
    """A mail server's password must be there, and must not travel where others can read it."""
    if bool(user) != bool(password):
        return "names a user without a password, or the other way round; write user:password before the @"
    if user and scheme == "smtp" and host not in OWN_HOSTS:
        return "would send the password readable to all on the way; write smtp+starttls:// or smtps://"
    return ""
