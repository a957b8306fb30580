"""Where media lie when not in MEDIA_ROOT: the address of a bucket, checked and refused in one clear sentence."""

from typing import Any
from urllib.parse import parse_qsl, unquote, urlsplit

from django.core.exceptions import ImproperlyConfigured

HERE: dict[str, Any] = {"BACKEND": "django.core.files.storage.FileSystemStorage"}
KNOWN = {"endpoint", "region"}


def media_storage(address: str, *, key: str = "", secret: str = "") -> dict[str, Any]:
    """An entry of STORAGES for s3://bucket[/folder][?endpoint=https://host:port&region=name]; empty: the local folder.

    Without `key` and `secret` the usual AWS_... variables hold. Raises ImproperlyConfigured.
    """
    if not address:
        return HERE
    parts = urlsplit(address)
    more = dict(parse_qsl(parts.query))
    if parts.scheme != "s3" or not parts.netloc or parts.username or set(more) - KNOWN:
        raise ImproperlyConfigured(
            "MEDIA_STORE cannot be used; write s3://bucket/folder?endpoint=https://host:port&region=name "
            "(all after the bucket may be left out), or leave it empty."
        )
    endpoint = more.get("endpoint", "")
    if endpoint and urlsplit(endpoint).scheme not in ("http", "https"):
        raise ImproperlyConfigured("The endpoint in MEDIA_STORE must start with https:// or http://.")
    if bool(key) != bool(secret):
        raise ImproperlyConfigured(
            "MEDIA_STORE_KEY and MEDIA_STORE_SECRET belong together; set both or neither."
        )
    options = {
        "bucket_name": parts.netloc,
        "location": unquote(parts.path).strip("/"),
        "endpoint_url": endpoint or None,
        "region_name": more.get("region"),
        "addressing_style": "path" if endpoint else None,
        "access_key": key or None,
        "secret_key": secret or None,
    }
    # What is not said is left to the storage's own reading of the AWS_... variables.
    return {
        "BACKEND": "shop.bucket_store.BucketStore",
        "OPTIONS": {name: value for name, value in options.items() if value},
    }
