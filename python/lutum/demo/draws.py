"""Random numbers of the invented field, the same on every NumPy and processor.

Only the raw 64-bit words of PCG64 are used, which NumPy promises never to change; the
distributions on top of them are integer arithmetic and one division, so no library
function can move a last bit.
"""

from typing import Any

import numpy as np

Numbers = np.ndarray[Any, Any]
Shape = int | tuple[int, ...]

_WORD_BITS = 53
_WORD = float(2**_WORD_BITS)
_NORMAL_TERMS = 12  # the variance of twelve uniform numbers is exactly one


class Draws:
    """One independent stream for a purpose, named by a seed and a few whole numbers."""

    def __init__(self, seed: int, *purpose: int) -> None:
        self._bits = np.random.PCG64(np.random.SeedSequence([int(seed), *map(int, purpose)]))

    def _words(self, count: int) -> Numbers:
        words: Numbers = self._bits.random_raw(count)
        return (words >> np.uint64(64 - _WORD_BITS)).astype(np.int64)

    def uniform(self, shape: Shape = 1, low: float = 0.0, high: float = 1.0) -> Numbers:
        """Even between low and high."""
        count = int(np.prod(shape))
        words = self._words(count).reshape(shape)
        return np.asarray(low + (high - low) * (words / _WORD))

    def normal(self, shape: Shape = 1, spread: float = 1.0) -> Numbers:
        """Bell-shaped about zero with the given standard deviation, never beyond six of them.

        The sum of twelve even numbers less six: close to Gaussian inside three deviations.
        """
        count = int(np.prod(shape))
        sums = self._words(count * _NORMAL_TERMS).reshape(count, _NORMAL_TERMS).sum(axis=1)
        return np.asarray(spread * (sums / _WORD - _NORMAL_TERMS / 2).reshape(shape))
