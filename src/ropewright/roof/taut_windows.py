"""Windows that are opened, and wait for their turn. Plain code that numba compiles."""

from __future__ import annotations

from ropewright.roof.taut_rows import (
    BLOCKED,
    EDGE,
    END,
    EVENT,
    EVENT_ROW,
    FAR,
    FULL,
    HEAP,
    HEAP_END,
    HIGH,
    KEY,
    LOW,
    NEXT,
    OFFSET,
    PARENT,
    SENSE,
    SOURCE,
    SPAN,
    TRIED_LENGTH,
    TRIED_WAY,
    WAITING,
    WINDOW_ROW,
    Counts,
    Table,
)  # fmt: skip
from ropewright.roof.taut_trim import note, set_key

__all__ = ["follow", "keep", "next_event", "wait"]


def wait(d: Table, n: Counts, key: float, event: int) -> None:
    """Let a window, or less a source, wait for its turn."""
    k = n[WAITING]
    if n[HEAP] + EVENT_ROW * (k + 1) > n[HEAP_END]:
        n[FULL] = 1
        return
    n[WAITING] = k + 1
    h = n[HEAP] + EVENT_ROW * k
    while k > 0:
        k = (k - 1) // 2
        up = n[HEAP] + EVENT_ROW * k
        if d[up] <= key:
            break
        d[h], d[h + EVENT] = d[up], d[up + EVENT]
        h = up
    d[h], d[h + EVENT] = key, event


def next_event(d: Table, n: Counts) -> int:
    """Take what has the least key."""
    heap = n[HEAP]
    first = int(d[heap + EVENT])
    n[WAITING] -= 1
    last, k = n[WAITING], 0
    key, event = d[heap + EVENT_ROW * last], d[heap + EVENT_ROW * last + EVENT]
    while 2 * k + 1 < last:
        child = 2 * k + 1
        if child + 1 < last and d[heap + EVENT_ROW * (child + 1)] < d[heap + EVENT_ROW * child]:
            child += 1
        h, down = heap + EVENT_ROW * k, heap + EVENT_ROW * child
        if d[down] >= key:
            break
        d[h], d[h + EVENT] = d[down], d[down + EVENT]
        k = child
    d[heap + EVENT_ROW * k], d[heap + EVENT_ROW * k + EVENT] = key, event
    return first


def follow(d: Table, n: Counts, source: int, parent: int, e: int, sense: int, low: float, high: float) -> int:
    """Write down the next window, not yet kept."""
    w = n[NEXT]
    d[w + SOURCE], d[w + PARENT], d[w + EDGE], d[w + SENSE] = source, parent, e, sense
    d[w + OFFSET], d[w + LOW], d[w + HIGH] = d[source + FAR], max(low, 0.0), min(high, d[e + SPAN])
    return w


def keep(d: Table, n: Counts, w: int) -> None:
    """Keep the window just written down and trimmed, and let it wait."""
    d[w + BLOCKED], d[w + TRIED_LENGTH] = 0.0, 0.0
    d[w + TRIED_WAY], d[w + TRIED_WAY + 1], d[w + TRIED_WAY + 2] = 0.0, 0.0, 0.0
    set_key(d, n, w)
    note(d, n, w)
    n[NEXT] = w + WINDOW_ROW
    if n[NEXT] + WINDOW_ROW > n[END]:  # the next one is written down before it is looked at
        n[FULL] = 1
    wait(d, n, d[w + KEY], w)
