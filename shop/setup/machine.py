"""Looks at the machine before anything is installed, and says in one sentence what is missing.

Runs with the system's bare python3, so it imports the standard library alone:
`python3 shop/setup/machine.py python | libraries | port NUMBER`.
"""

import ctypes
import importlib.util
import os
import shutil
import socket
import subprocess
import sys

OLDEST_PYTHON = (3, 11)
# The shared libraries WeasyPrint loads, and the Debian packages that bring them.
LIBRARIES = {
    "libpango-1.0.so.0": "libpango-1.0-0",
    "libpangoft2-1.0.so.0": "libpangoft2-1.0-0",
    "libharfbuzz-subset.so.0": "libharfbuzz-subset0",
}


class Missing(Exception):
    """Something the machine lacks; the text is the sentence to print."""


def look_at_python() -> None:
    """Refuses a Python that is too old or has no venv module."""
    if sys.version_info[:2] < OLDEST_PYTHON:
        raise Missing(
            f"Python {sys.version_info.major}.{sys.version_info.minor} is too old; "
            "install Python 3.11 or newer, or name one: make demo PYTHON=/path/to/python3.11"
        )
    if not importlib.util.find_spec("venv") or not importlib.util.find_spec("ensurepip"):
        raise Missing("Python has no venv module; install it first: apt-get install python3-venv")


def missing_libraries() -> list[str]:
    """Debian packages whose libraries cannot be loaded here."""
    packages = []
    for library, package in LIBRARIES.items():
        try:
            ctypes.CDLL(library)
        except OSError:
            packages.append(package)
    return packages


def look_at_libraries() -> None:
    """Installs what the papers need when it may, and otherwise says which command does it."""
    packages = missing_libraries()
    if not packages:
        return
    command = f"apt-get install --yes --no-install-recommends {' '.join(packages)}"
    if os.geteuid() != 0 or not shutil.which("apt-get"):
        raise Missing(
            f"Papers cannot be printed without these system libraries; install them first: sudo {command}"
        )
    print(f"Installing system libraries for the papers: {' '.join(packages)}", flush=True)
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for step in ("apt-get update -qq", f"{command} -qq"):
        done = subprocess.run(step.split(), env=quiet, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL)  # noqa: S603 -- fixed words
        if done.returncode:
            raise Missing(
                f"The system libraries could not be installed (is there a network?); try by hand: {command}"
            )


def look_at_port(number: int, host: str = "127.0.0.1") -> None:
    """Refuses a port that somebody else listens on, or that this user may not take."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, number))
        except PermissionError as fault:
            raise Missing(
                f"Port {number} may not be used by this user; choose one above 1023: PORT=8001"
            ) from fault
        except (OSError, OverflowError) as fault:
            raise Missing(
                f"Port {number} on {host} is in use or not there; choose another: PORT=8001 make demo"
            ) from fault


def main(words: list[str]) -> int:
    """Exit status 0, or 1 after one sentence on standard error."""
    try:
        match words:
            case ["python"]:
                look_at_python()
            case ["libraries"]:
                look_at_libraries()
            case ["port", number] if number.isdecimal():
                look_at_port(int(number))
            case _:
                raise Missing(
                    "Say what to look at: python, libraries, or port with a number, such as PORT=8001"
                )
    except Missing as sentence:
        print(sentence, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
