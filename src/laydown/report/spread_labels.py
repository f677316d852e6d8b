"""Labels beside a drawing, moved apart just as far as they must."""

from __future__ import annotations

from collections.abc import Sequence


def spread_labels(wanted: Sequence[float], sizes: Sequence[float], low: float, high: float) -> tuple[float, ...]:
    """Place labels along a line as near as possible to where they want to be, without overlap, in their order.

    Neighbours that would overlap are joined into a block that sits where its members want to be on average, which
    is the least-squares answer to "every centre is at least half of both sizes away from the one before".

    Parameters
    ----------
    wanted : sequence of float
        Wished centres, in ascending order.
    sizes : sequence of float
        Room that each label takes along the line.
    low, high : float
        Ends of the line. When the labels are longer than the line together, all are squeezed alike, so that their
        order and even spacing stay.

    Returns
    -------
    tuple of float
        Centres, ascending.
    """
    if not wanted:
        return ()
    total = sum(sizes)
    room = high - low
    squeeze = min(1.0, room / total) if total > 0 else 1.0
    heights = [size * squeeze for size in sizes]

    # A block is (how many labels, its height, the sum of wished tops of its members were the block to start at 0).
    blocks: list[tuple[int, float, float]] = []
    for centre, height in zip(wanted, heights, strict=True):
        blocks.append((1, height, centre - height / 2))
        while len(blocks) > 1 and _top(blocks[-2], low, high) + blocks[-2][1] > _top(blocks[-1], low, high):
            count, length, wish = blocks.pop()
            before, length_before, wish_before = blocks.pop()
            blocks.append((before + count, length_before + length, wish_before + wish - count * length_before))

    centres: list[float] = []
    index = 0
    for block in blocks:
        position = _top(block, low, high)
        for height in heights[index : index + block[0]]:
            centres.append(position + height / 2)
            position += height
        index += block[0]
    return tuple(centres)


def _top(block: tuple[int, float, float], low: float, high: float) -> float:
    count, length, wish = block
    return min(max(wish / count, low), high - length)
