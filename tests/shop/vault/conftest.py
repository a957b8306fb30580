"""A fixed clock for every view that is used here."""

import pytest

import shop.urls  # noqa: F401 -- every view takes its clock now: one loaded under the fixture would keep the fixed one
from tests.window_pages import AT


@pytest.fixture(autouse=True)
def _clock(monkeypatch: pytest.MonkeyPatch) -> None:
    for module in ("access", "window.doors", "window.sheet", "window.views", "vault.views"):
        monkeypatch.setattr(f"shop.{module}.now", lambda: AT)
