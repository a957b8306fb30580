"""The list of digests against the tool that customers have: sha256sum of GNU coreutils, run for real.

Source: GNU coreutils manual, "sha2 utilities"; the installed program itself is the check.
"""

import os
import shutil
import subprocess
from pathlib import Path

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from shop.branches.digest_lines import as_text, read_list

TOOL = shutil.which("sha256sum")
pytestmark = pytest.mark.skipif(TOOL is None, reason="sha256sum is not installed here")
FILES = {
    "plain.txt": b"one",
    "Photos/with space.jpg": b"\x00\xff" * 5000,
    "Photos/deep/er/déjà vu.jpg": b"two",
    "back\\slash": b"three",
    "line\nbreak": b"four",
    "-": b"five",
    "-dash": b"",
    "*star": b"six",
    " leading": b"seven",
}


@pytest.fixture
def folder(tmp_path):
    place = tmp_path / "copied"
    for name, content in FILES.items():
        (place / name).parent.mkdir(parents=True, exist_ok=True)
        (place / name).write_bytes(content)
    return place


def listed(folder: Path, out: Path) -> str:
    call_command("digest_list", str(folder), out=out)
    return out.read_bytes().decode()


def checked(folder: Path, out: Path) -> subprocess.CompletedProcess[str]:
    assert TOOL is not None
    return subprocess.run(
        [TOOL, "--check", "--strict", str(out)], cwd=folder, capture_output=True, text=True, check=False
    )


def test_tool_agrees_with_every_file(folder, tmp_path, capsys):
    out = tmp_path / "list.sha256"
    text = listed(folder, out)
    found = checked(folder, out)
    assert found.returncode == 0, found.stderr
    assert found.stdout.count(": OK") == len(FILES)
    assert f"{len(FILES)} files, {sum(map(len, FILES.values()))} bytes." in capsys.readouterr().out
    assert as_text(read_list(text)) == text, "the sheet keeps the list as it is"


def test_one_byte_changed_is_found(folder, tmp_path):
    out = tmp_path / "list.sha256"
    listed(folder, out)
    (folder / "plain.txt").write_bytes(b"onf")
    found = checked(folder, out)
    assert found.returncode == 1 and "plain.txt: FAILED" in found.stdout


def test_lines_are_those_that_the_tool_writes(folder, tmp_path):
    own = set(listed(folder, tmp_path / "list.sha256").splitlines())
    assert TOOL is not None
    names = [name if name != "-" else "./-" for name in FILES]
    tools = subprocess.run([TOOL, "--", *names], cwd=folder, capture_output=True, text=True, check=True)
    assert own == set(tools.stdout.splitlines())


def test_own_list_inside_the_folder_is_left_out(folder):
    out = folder / "list.sha256"
    listed(folder, out)
    again = listed(folder, out)
    assert "list.sha256" not in again and checked(folder, out).returncode == 0


def test_links_are_left_out_and_counted(folder, tmp_path, capsys):
    (folder / "link").symlink_to("/etc/hostname")
    assert "link" not in listed(folder, tmp_path / "list")
    assert "1 links or special files are left out" in capsys.readouterr().out


def test_folder_that_is_none_or_empty_is_refused(tmp_path):
    for place in (tmp_path / "nowhere", tmp_path):
        with pytest.raises(CommandError):
            call_command("digest_list", str(place))


def test_name_that_no_sheet_can_hold_is_refused(tmp_path):
    (tmp_path / "copied").mkdir()
    Path(os.fsdecode(os.fsencode(str(tmp_path / "copied")) + b"/\xff")).write_bytes(b"")
    with pytest.raises(CommandError, match="is not UTF-8"):
        call_command("digest_list", str(tmp_path / "copied"))
