"""Media in a bucket, for a shop on several machines. Its faults are told as OSError, as those of a folder are."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from boto3.exceptions import Boto3Error
from botocore.config import Config
from botocore.exceptions import BotoCoreError, ClientError
from storages.backends.s3 import S3File, S3Storage
from storages.utils import clean_name

CONNECT_SECONDS, READ_SECONDS, TRIES = 5, 20, 3
# Of a file. A bucket that is not there is a fault of the disk, not an empty shop.
GONE = ("404", "NoSuchKey")
BucketDeed = Callable[..., Any]


def _away(fault: Exception) -> OSError:
    return OSError(f"The bucket of the media did not answer as it should ({type(fault).__name__}).")


def _told_as_a_folder_would(deed: BucketDeed) -> BucketDeed:
    @wraps(deed)
    def told(*args: Any, **kwargs: Any) -> Any:
        try:
            return deed(*args, **kwargs)
        except ClientError as fault:
            if fault.response.get("Error", {}).get("Code") in GONE:
                raise FileNotFoundError("The bucket of the media holds no such file.") from fault
            raise _away(fault) from fault
        except (BotoCoreError, Boto3Error) as fault:
            raise _away(fault) from fault

    return told


class _BucketFile(S3File):
    """Its bytes come at the first reading: the bucket may have gone away since it was opened."""

    file = property(_told_as_a_folder_would(S3File._get_file), S3File._set_file)


class BucketStore(S3Storage):
    """An upload is there whole or not at all, so that writing once under a digest needs no temporary name."""

    def get_default_settings(self) -> dict[str, Any]:
        kept = super().get_default_settings()
        patience = Config(
            connect_timeout=CONNECT_SECONDS,
            read_timeout=READ_SECONDS,
            retries={"mode": "standard", "total_max_attempts": TRIES},
            signature_version="s3v4",
        )
        return {**kept, "file_overwrite": True, "default_acl": None, "client_config": patience}

    @_told_as_a_folder_would
    def _open(self, name: str, mode: str = "rb") -> S3File:
        return _BucketFile(self._normalize_name(clean_name(name)), mode, self)

    exists = _told_as_a_folder_would(S3Storage.exists)
    delete = _told_as_a_folder_would(S3Storage.delete)
    listdir = _told_as_a_folder_would(S3Storage.listdir)
    get_modified_time = _told_as_a_folder_would(S3Storage.get_modified_time)
    size = _told_as_a_folder_would(S3Storage.size)
    _save = _told_as_a_folder_would(S3Storage._save)
