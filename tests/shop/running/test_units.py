"""The unit files: read by the system's own checker where there is one, and closed as far as they can be."""

import re
import shutil
import subprocess

import pytest

from tests.faults.scratch import ROOT

UNITS = sorted((ROOT / "fixtures" / "deploy").glob("*.service"))
CLOSED = (
    "NoNewPrivileges=yes", "ProtectSystem=strict", "ProtectHome=yes", "PrivateTmp=yes", "CapabilityBoundingSet=",
    "ReadWritePaths=/srv/benchpost/data", "RestrictAddressFamilies=AF_INET AF_INET6 AF_UNIX", "Restart=always",
    "EnvironmentFile=/srv/benchpost/benchpost.env", "User=benchpost",
)  # fmt: skip
checker = pytest.mark.skipif(not shutil.which("systemd-analyze"), reason="systemd-analyze is not installed")


@pytest.mark.parametrize("unit", UNITS, ids=lambda path: path.stem)
def test_unit_is_closed_and_starts_what_is_there(unit):
    lines = unit.read_text().splitlines()
    assert [one for one in CLOSED if one not in lines] == []
    (start,) = [line for line in lines if line.startswith("ExecStart=")]
    assert re.search(r"manage\.py serve|celery --app shop\.celery (worker|beat)", start)


def test_there_is_a_unit_for_one_machine_and_three_for_several():
    assert {unit.stem for unit in UNITS} == {
        "benchpost",
        "benchpost-web",
        "benchpost-worker",
        "benchpost-beat",
    }


@checker
@pytest.mark.parametrize("unit", UNITS, ids=lambda path: path.stem)
def test_system_reads_the_unit_and_finds_it_little_exposed(unit, tmp_path):
    there = tmp_path / unit.name
    # The invented program is not there; everything else is looked at as it stands.
    there.write_text(re.sub(r"/srv/benchpost/program/\.venv/bin/\w+", "/bin/true", unit.read_text()))
    read = subprocess.run(
        ["systemd-analyze", "verify", str(there)], capture_output=True, text=True, check=False
    )
    assert not [line for line in read.stderr.splitlines() if unit.name in line]
    score = subprocess.run(
        ["systemd-analyze", "security", "--offline=true", "--threshold=40", str(there)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert score.returncode == 0, score.stdout[-1500:] + score.stderr
