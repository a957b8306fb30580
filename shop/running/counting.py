"""Requests as this process answered them: how many by room and status, and how long they took."""

from prometheus_client import CollectorRegistry, Counter, Histogram

REGISTRY = CollectorRegistry()
SECONDS = (0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 30.0)
REQUESTS = Counter(
    "benchpost_requests", "Requests answered by this process.", ["room", "status"], registry=REGISTRY
)
TOOK = Histogram(
    "benchpost_request_seconds",
    "Seconds until the answer, of this process.",
    ["room"],
    buckets=SECONDS,
    registry=REGISTRY,
)


def count(room: str, status: int, seconds: float) -> None:
    """One request: `room` from a closed set, status as a number, seconds it took."""
    REQUESTS.labels(room=room, status=str(status)).inc()
    TOOK.labels(room=room).observe(seconds)
