"""Scales from values to the drawing, round numbers for their marks, and the axes themselves."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from narrate2log.drawing.svg import element, line

# Steps of a clock, seconds: those that divide a minute or an hour, or are whole ones.
CLOCK_STEPS = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400)
# Length of a mark, and from the axis to the numbers beside it.
MARK = 6.0
# How much lower the foot of a line of text is than its middle, as a share of its size.
MIDDLE = 0.35


@dataclass(frozen=True, slots=True)
class Scale:
    """Maps `low`..`high` of some quantity to `start`..`end` of the drawing, in a straight line."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """Where a value lies in the drawing; the start where the quantity has no extent."""
        if self.high == self.low:
            return self.start
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


def round_ticks(low: float, high: float, at_most: int) -> list[float]:
    """The values in `low`..`high` (both included) that are multiples of a round step, `at_most` of them.

    The step is the least of 1, 2, 5 times a power of ten that gives no more: the nice numbers of
    P. Heckbert, "Nice numbers for graph labels", Graphics Gems (1990).

        >>> round_ticks(0, 62, 6)
        [0.0, 20.0, 40.0, 60.0]
    """
    if not high > low:
        return [low]
    power = math.floor(math.log10((high - low) / max(1, at_most))) - 1
    for exponent in range(power, power + 5):
        for digit in (1, 2, 5):
            step = digit * 10.0**exponent
            first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
            if last - first + 1 <= at_most:
                return [round(i * step, max(0, -exponent)) for i in range(first, last + 1)]
    return [low]


def number_marks(low: float, high: float, at_most: int) -> list[tuple[float, str]]:
    """The ticks of `round_ticks`, each with its text."""
    return [(value, f"{value:g}") for value in round_ticks(low, high, at_most)]


def clock_ticks(low: float, high: float, at_most: int) -> list[float]:
    """As `round_ticks`, for seconds read as minutes and hours.

    >>> [clock_text(s) for s in clock_ticks(0, 200, 5)]
    ['0:00', '1:00', '2:00', '3:00']
    """
    for step in CLOCK_STEPS:
        first, last = math.ceil(low / step), math.floor(high / step)
        if last - first + 1 <= at_most:
            return [float(i * step) for i in range(first, last + 1)]
    return round_ticks(low, high, at_most)


def clock_text(seconds: float) -> str:
    """Seconds as m:ss, from an hour on as h:mm:ss.

    >>> clock_text(3725.4)
    '1:02:05'
    """
    minutes, second = divmod(round(seconds), 60)
    hours, minute = divmod(minutes, 60)
    return f"{hours}:{minute:02}:{second:02}" if hours else f"{minute}:{second:02}"


def bottom_axis(
    scale: Scale, y: float, ticks: Sequence[tuple[float, str]], title: str, size: float
) -> Element:
    """A horizontal axis at height `y` with a mark and a text at each tick, its title below."""
    parts = [line((scale.start, y), (scale.end, y), class_="axis")]
    for value, text in ticks:
        x = scale(value)
        parts.append(line((x, y), (x, y + MARK), class_="axis"))
        parts.append(element("text", text, x=x, y=y + MARK + size, text_anchor="middle"))
    middle = (scale.start + scale.end) / 2
    parts.append(element("text", title, x=middle, y=y + MARK + 2.3 * size, text_anchor="middle"))
    return element("g", *parts)


def left_axis(
    scale: Scale, x: float, until: float, ticks: Sequence[tuple[float, str]], title: str, size: float
) -> Element:
    """A vertical axis at `x`, its title above, and a thin line across to `until` at each tick."""
    parts = [line((x, scale.start), (x, scale.end), class_="axis")]
    for value, text in ticks:
        y = scale(value)
        parts.append(line((x, y), (until, y), class_="grid"))
        parts.append(line((x - MARK, y), (x, y), class_="axis"))
        parts.append(element("text", text, x=x - MARK - 3, y=y + MIDDLE * size, text_anchor="end"))
    top = min(scale.start, scale.end)
    parts.append(element("text", title, x=x - MARK, y=top - 0.7 * size, text_anchor="start"))
    return element("g", *parts)


def spread_apart(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Places for labels, in the order of `wanted` (ascending), at least `gap` apart, near where wanted.

    Least squares under an order, by pooling neighbours that come too close (Barlow et al.,
    "Statistical inference under order restrictions", 1972). Within `low`..`high` where they fit;
    where they do not, they run over `high`.
    """
    blocks: list[tuple[float, int]] = []
    for i, value in enumerate(wanted):
        mean, count = value - i * gap, 1
        while blocks and blocks[-1][0] > mean:
            before, many = blocks.pop()
            mean, count = (before * many + mean * count) / (many + count), many + count
        blocks.append((mean, count))
    top = max(low, high - (len(wanted) - 1) * gap)
    pooled = [min(max(mean, low), top) for mean, count in blocks for _ in range(count)]
    return [mean + i * gap for i, mean in enumerate(pooled)]
