"""A real server of buckets, in a process of its own, for whatever keeps its files in one."""

import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import boto3

KEYS = {"key": "invented", "secret": "invented-too"}
BUCKET, REGION = "media", "us-east-1"


def client(address: str) -> Any:
    return boto3.client(
        "s3",
        endpoint_url=address,
        region_name=REGION,
        aws_access_key_id=KEYS["key"],
        aws_secret_access_key=KEYS["secret"],
    )


@contextmanager
def bucket_server() -> Iterator[str]:
    """The address of a server with one empty bucket."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    words = [sys.executable, "-W", "ignore", "-m", "moto.server", "-H", "127.0.0.1", "-p", str(port)]
    server = subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        _until_it_answers(port)
        address = f"http://127.0.0.1:{port}"
        client(address).create_bucket(Bucket=BUCKET)
        yield address
    finally:
        server.kill()
        server.wait()


def _until_it_answers(port: int) -> None:
    for _ in range(600):
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
        except OSError:
            time.sleep(0.1)
        else:
            return
    raise AssertionError("the bucket's server never answered")
