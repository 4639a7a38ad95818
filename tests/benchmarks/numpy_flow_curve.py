"""The yield power law fit as an analyst would write it for a whole batch in NumPy: the projection on the index, scanned at 25 nodes and
closed in by 32 golden sections. Used by the benchmarks beside Lutum."""

import numpy as np

LOWEST, HIGHEST = 0.05, 1.2  # of the index


def projected(stress, read, log_rate, index):
    """Best yield stress, consistency at the first rate and sum of squares of an index for every record. ``read``: None, or 1 and 0 by reading."""
    x = np.exp(index[:, None] * log_rate)
    if read is None:
        count = stress.shape[1]
        weighed = x
    else:
        count = read.sum(-1)
        weighed = read * x
    mean_x, mean = weighed.sum(-1) / count, stress.sum(-1) / count
    products = (weighed * (stress - mean[:, None])).sum(-1)
    squares = (weighed * x).sum(-1)
    slope = products / (squares - count * mean_x * mean_x)
    level = mean - slope * mean_x
    held = level < 0
    slope = np.where(held, (weighed * stress).sum(-1) / squares, slope)
    level = np.where(held, 0.0, level)
    flat = slope < 0
    slope, level = np.where(flat, 0.0, slope), np.where(flat, mean, level)
    left = stress - level[:, None] - slope[:, None] * x
    return level, slope, (left * left if read is None else read * left * left).sum(-1)


def whole_batch(stress, rates, block):
    """Yield stress, consistency and index, a row a record; stresses are records x rates, missing ones NaN."""
    log_rate = np.log(rates / rates[0])
    nodes = np.linspace(LOWEST, HIGHEST, 25)
    step, ratio = nodes[1] - nodes[0], (5**0.5 - 1) / 2
    parts = []
    with np.errstate(all="ignore"):
        for start in range(0, len(stress), block):
            s = stress[start : start + block]
            gaps = np.isnan(s)
            read = None
            if gaps.any():
                read, s = (~gaps).astype(float), np.where(gaps, 0.0, s)
            left = np.stack([projected(s, read, log_rate, np.full(len(s), n))[2] for n in nodes])
            best = nodes[left.argmin(0)]
            a, b = np.maximum(best - step, LOWEST), np.minimum(best + step, HIGHEST)
            p, q = b - ratio * (b - a), a + ratio * (b - a)
            at_p, at_q = projected(s, read, log_rate, p)[2], projected(s, read, log_rate, q)[2]
            for _ in range(32):
                lower = at_p < at_q
                a, b = np.where(lower, a, p), np.where(lower, q, b)
                new = np.where(lower, b - ratio * (b - a), a + ratio * (b - a))
                at_new = projected(s, read, log_rate, new)[2]
                p, q, at_p, at_q = np.where(lower, new, q), np.where(lower, p, new), np.where(lower, at_new, at_q), np.where(lower, at_p, at_new)
            index = (a + b) / 2
            level, slope, _ = projected(s, read, log_rate, index)
            parts.append(np.stack([level, slope * np.exp(-index * np.log(rates[0])), index], -1))
    return np.concatenate(parts)
