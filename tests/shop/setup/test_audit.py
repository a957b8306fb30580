"""The audit: a hole is found at its exact edge, and whatever stands in the way of an answer is no clean result."""

import os
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from shop.setup import audit
from shop.setup.advisories import BadAdvisories, is_affected, look_through
from shop.setup.lock import BadLock, read_lock

ROOT = Path(__file__).resolve().parent.parent.parent.parent
AT = datetime(2026, 2, 2, 9, 0, tzinfo=UTC)
LOCK = "".join(
    f"{line} \\\n    --hash=sha256:{digit * 64}\n"
    for line, digit in (
        ("quillflux==1.4.2", "a"),
        ("solder-paste==2.0 ; python_full_version >= '3.11'", "b"),
        ("old-tongs==0.9 ; python_full_version < '3'", "c"),
    )
)
HOLE = """\
id: QSEC-2026-1
modified: 2026-01-20T08:00:00Z
affected:
- package: {name: Quillflux, ecosystem: PyPI}
  ranges:
  - type: ECOSYSTEM
    events: [{introduced: '1.0'}, {fixed: '1.4.3'}]
"""
ELSEWHERE = (
    '{"id": "QSEC-2026-2", "modified": "2026-01-10T08:00:00Z", '
    '"affected": [{"package": {"name": "quillflux", "ecosystem": "npm"}, "versions": ["1.4.2"]}]}'
)


@pytest.fixture
def lock(tmp_path: Path) -> Path:
    place = tmp_path / "lock.txt"
    place.write_text(LOCK)
    return place


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    place = tmp_path / "advisories"
    (place / "quillflux").mkdir(parents=True)
    (place / "elsewhere.json").write_text(ELSEWHERE)
    return place


def offline(monkeypatch: pytest.MonkeyPatch, lock: Path, folder: Path) -> int:
    monkeypatch.setenv("ADVISORIES", str(folder))
    return audit.main([str(lock)], AT)


def test_lock_is_read_with_marker_and_digests(lock):
    first, second, third = read_lock(lock)
    assert (first.name, first.version, first.digests) == ("quillflux", "1.4.2", ("a" * 64,))
    assert (second.is_for_this_machine(), third.is_for_this_machine()) == (True, False)


@pytest.mark.parametrize("broken", ["", "quillflux==1.4.2\n", "quillflux>=1 --hash=sha256:" + "a" * 64])
def test_lock_without_version_or_digest_is_refused(lock, broken):
    lock.write_text(broken)
    with pytest.raises(BadLock, match="names no package|no fixed version or no digest"):
        read_lock(lock)


@pytest.mark.parametrize(
    ("version", "hit"),
    [
        ("0.9", False),
        ("1.0", True),
        ("1.4.3rc1", True),
        ("1.4.3", False),
        ("2.0", True),
        ("2.1", True),
        ("2.1.1", False),
    ],
)
def test_range_decides_at_its_edges(version, hit):
    events = [{"introduced": "2.0"}, {"last_affected": "2.1"}, {"introduced": "1.0"}, {"fixed": "1.4.3"}]
    assert is_affected(version, {"ranges": [{"type": "ECOSYSTEM", "events": events}]}) is hit


def test_range_from_the_beginning_without_an_end_covers_all():
    assert is_affected("0.0.1", {"ranges": [{"type": "ECOSYSTEM", "events": [{"introduced": "0"}]}]})


def test_offline_finds_the_hole_and_fails(monkeypatch, lock, folder, capsys):
    (folder / "quillflux" / "QSEC-2026-1.yaml").write_text(HOLE)
    assert offline(monkeypatch, lock, folder) == audit.HOLES
    said = capsys.readouterr().out
    assert "quillflux 1.4.2: QSEC-2026-1, mended in 1.4.3" in said
    assert "2 advisories, the newest changed 2026-01-20, 13 days ago." in said


def test_offline_with_no_hole_is_clean_and_counts_only_what_is_installed_here(
    monkeypatch, lock, folder, capsys
):
    assert offline(monkeypatch, lock, folder) == audit.CLEAN
    assert "2 packages" in capsys.readouterr().out


def test_offline_leaves_out_what_was_withdrawn(monkeypatch, lock, folder):
    (folder / "quillflux" / "gone.yaml").write_text(HOLE + "withdrawn: 2026-01-21T08:00:00Z\n")
    assert offline(monkeypatch, lock, folder) == audit.CLEAN


def test_offline_with_a_copy_older_than_60_days_is_no_clean_result(monkeypatch, lock, folder, capsys):
    (folder / "elsewhere.json").write_text(ELSEWHERE.replace("2026-01-10", "2025-12-04"))
    assert offline(monkeypatch, lock, folder) == audit.CLEAN
    (folder / "elsewhere.json").write_text(ELSEWHERE.replace("2026-01-10", "2025-12-03"))
    assert offline(monkeypatch, lock, folder) == audit.NOT_AUDITED
    assert "the copy is 61 days old" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("a.yaml", "id: [\n"),
        ("a.json", "{"),
        ("a.json", '{"id": "X"}'),
        ("a.yaml", HOLE.replace("'1.0'", "'?'")),
    ],
)
def test_offline_with_a_broken_advisory_is_no_clean_result(monkeypatch, lock, folder, capsys, name, text):
    (folder / name).write_text(text)
    assert offline(monkeypatch, lock, folder) == audit.NOT_AUDITED
    assert "could not be audited, which is no clean result" in capsys.readouterr().err


def test_offline_with_an_empty_folder_is_refused(tmp_path):
    with pytest.raises(BadAdvisories, match="holds no advisories"):
        look_through(tmp_path, [])


def stand_in(tmp_path: Path, answer: str) -> dict[str, str]:
    """The auditing tool replaced by one that prints `answer`."""
    (tmp_path / "pip_audit.py").write_text(f"print('''{answer}''')\n")
    return {"PYTHONPATH": f"{tmp_path}:{ROOT}"}


def online(lock: Path, **around: str) -> subprocess.CompletedProcess[str]:
    around = {**os.environ, "ADVISORIES": "", **around}
    words = [sys.executable, "-m", "shop.setup.audit", str(lock)]
    return subprocess.run(words, cwd=ROOT, env=around, capture_output=True, text=True, timeout=60)


CLEAN = '{"name": "solder-paste", "version": "2.0", "vulns": []}'


@pytest.mark.parametrize(
    ("answer", "status", "said"),
    [
        ('{"name": "Quillflux", "version": "1.4.2", "vulns": []}', 0, "2 packages"),
        (
            '{"name": "quillflux", "version": "1.4.2", "vulns": [{"id": "Q-1", "fix_versions": []}]}',
            1,
            "quillflux 1.4.2: Q-1, not mended yet",
        ),
        ('{"name": "quillflux", "skip_reason": "not found"}', 2, "no answer for quillflux"),
        ('{"name": "other", "version": "1", "vulns": []}', 2, "no answer for quillflux"),
    ],
)
def test_online_takes_only_an_answer_for_every_package(tmp_path, lock, answer, status, said):
    done = online(lock, **stand_in(tmp_path, f'{{"dependencies": [{answer}, {CLEAN}]}}'))
    assert (done.returncode, said in done.stdout + done.stderr) == (status, True), done.stderr


def test_online_without_a_network_fails_in_one_plain_sentence(tmp_path, lock):
    """The real tool, with its one way out leading to a closed door."""
    done = online(
        lock, HTTPS_PROXY="http://127.0.0.1:9", https_proxy="http://127.0.0.1:9", XDG_CACHE_HOME=str(tmp_path)
    )
    assert done.returncode == audit.NOT_AUDITED
    assert "could not be audited, which is no clean result" in done.stderr
    assert "Traceback" not in done.stderr
