"""A fixed clock for every view of the window."""

import pytest

import shop.urls  # noqa: F401 -- every view takes its clock now: one loaded under the fixture would keep the fixed one
from shop.window import doors
from tests.window_pages import AT


@pytest.fixture(autouse=True)
def _clock(monkeypatch: pytest.MonkeyPatch) -> None:
    for module in (
        "access",
        "window.doors",
        "window.sheet",
        "window.views",
        "window.answering",
        "window.files",
    ):
        monkeypatch.setattr(f"shop.{module}.now", lambda: AT)
    monkeypatch.setattr(doors, "SAME_TIME", 0.0)
