"""The sealed file: whole or nothing, for the right key alone, and no byte of it can change unseen."""

import io
import stat
import tarfile
from pathlib import Path

import pytest

from shop.backup import age_keys, sealed
from shop.backup.faults import BackupFault
from shop.backup.media import add

MARK = b"Marlow Quince, 7 Gullwing Street"
KEYS = age_keys.identities(age_keys.fresh_file())
PUBLIC = age_keys.recipients([age_keys.public_of(KEYS[0])])


def _pack(tar: tarfile.TarFile) -> None:
    for number in range(3):
        text = MARK * 20_000
        add(tar, f"{number}.txt", io.BytesIO(text), len(text))


def _names(file: Path, keys: list[object] = KEYS) -> list[str]:
    found: list[str] = []

    def unpack(tar: tarfile.TarFile) -> None:
        for member in tar:
            inside = tar.extractfile(member)
            assert inside is not None and inside.read() == MARK * 20_000
            found.append(member.name)

    sealed.unseal(file, keys, unpack)
    return found


@pytest.fixture
def file(tmp_path: Path) -> Path:
    place = tmp_path / "one.age"
    long, digest = sealed.seal(place, PUBLIC, _pack)
    assert long == place.stat().st_size and len(digest) == 64
    return place


def test_seal_gives_back_what_went_in_and_hides_it(file: Path) -> None:
    assert _names(file) == ["0.txt", "1.txt", "2.txt"]
    assert MARK not in file.read_bytes() and b"0.txt" not in file.read_bytes()
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert list(file.parent.iterdir()) == [file]


def test_unseal_with_another_key_says_so(file: Path) -> None:
    with pytest.raises(BackupFault, match="does not open one.age: it is sealed to another one"):
        _names(file, age_keys.identities(age_keys.fresh_file()))


@pytest.mark.parametrize("share", [0.0001, 0.1, 0.5, 0.9, 0.99999])
def test_unseal_of_a_flipped_byte_is_refused(file: Path, share: float) -> None:
    whole = bytearray(file.read_bytes())
    whole[int(len(whole) * share)] ^= 1
    file.write_bytes(whole)
    with pytest.raises(BackupFault, match="damaged or cut short|sealed to another"):
        _names(file)


# 65,552 bytes are one sealed piece of 64 KiB: a cut between two pieces is the one a careless reader does not see.
@pytest.mark.parametrize("left", [0, 10, 300, 200 + 16 + 65_552 * 3, -1, -65_552])
def test_unseal_of_a_cut_file_is_refused(file: Path, left: int) -> None:
    file.write_bytes(file.read_bytes()[:left])
    with pytest.raises(BackupFault, match="damaged or cut short"):
        _names(file)


def test_unseal_of_no_file_says_so(tmp_path: Path) -> None:
    with pytest.raises(BackupFault, match="There is no file"):
        _names(tmp_path / "none.age")


def test_seal_when_the_disk_is_full_leaves_nothing(tmp_path: Path) -> None:
    """/dev/full answers each write as a full disk does (Linux, full(4))."""
    target = tmp_path / "one.age"
    half = tmp_path / ".one.age.part"
    half.symlink_to("/dev/full")
    with pytest.raises(BackupFault, match="There is no room left on the disk for the backup"):
        sealed.seal(target, PUBLIC, _pack)
    assert not list(tmp_path.iterdir())


def test_seal_when_the_packing_fails_leaves_nothing(tmp_path: Path) -> None:
    def pack(tar: tarfile.TarFile) -> None:
        _pack(tar)
        raise RuntimeError("the database went away")

    with pytest.raises(RuntimeError):
        sealed.seal(tmp_path / "one.age", PUBLIC, pack)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    "text", ["age1", "", "ssh-ed25519 AAAA", pytest.param(age_keys.public_of(KEYS[0])[:-1], id="cut short")]
)
def test_recipient_when_it_is_none_is_refused(text: str) -> None:
    with pytest.raises(age_keys.BadKey):
        age_keys.recipients([text])


@pytest.mark.parametrize("text", ["", "# only words", "AGE-SECRET-KEY-1ABC"])
def test_identity_when_it_is_none_is_refused(text: str) -> None:
    with pytest.raises(age_keys.BadKey):
        age_keys.identities(text)
