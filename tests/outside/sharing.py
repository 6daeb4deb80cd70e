"""Published rules by which chargers share a pool, as small simulators: what each port is granted.

Each takes the pool's watts, the caps of all its ports and what is asked on each (0 on an empty one), and an order or
shares where the rule has some. `rules` runs all of them. Each port in use first has the least that every one is
given, and what it does not ask for goes back.
"""

import itertools

LEAST_W = 7.5


def least(pool_w, caps, asked):
    """What is held back for each port in use."""
    return [min(LEAST_W, cap, pool_w / len(caps), want) for cap, want in zip(caps, asked)]


def assured(pool_w, caps, asked):
    """S0: the caps fit, and every port has its own; None where they do not."""
    return list(caps) if sum(caps) <= pool_w else None


def fair_share(pool_w, caps, asked, weights=None):
    """S3, and S8 with weights: the rest in even (or weighted) shares, what some leave goes to the others."""
    granted = least(pool_w, caps, asked)
    weights = weights or [1] * len(caps)
    left = pool_w - sum(granted)
    while left > 1e-12:
        hungry = [i for i, want in enumerate(asked) if want - granted[i] > 1e-12]
        total = sum(weights[i] for i in hungry)
        if not hungry or total <= 0:
            break
        given = {i: min(asked[i] - granted[i], left * weights[i] / total) for i in hungry}
        for i, more in given.items():
            granted[i] += more
        left -= sum(given.values())
    return granted


def in_order(pool_w, caps, asked, order):
    """S4 to S7: one after the other what it asks, or what is left."""
    granted = least(pool_w, caps, asked)
    left = pool_w - sum(granted)
    for i in order:
        more = min(asked[i] - granted[i], left)
        granted[i] += more
        left -= more
    return granted


def rules(pool_w, caps, asked, rng):
    """Every rule's grants; of orders, all that there are up to 24."""
    everyone = assured(pool_w, caps, asked)
    if everyone is not None:
        yield "assured", everyone
    yield "fair share", fair_share(pool_w, caps, asked)
    for _ in range(3):
        yield "by battery", fair_share(pool_w, caps, asked, [rng.uniform(0.01, 1) for _ in caps])
    orders = itertools.islice(itertools.permutations(rng.sample(range(len(caps)), len(caps))), 24)
    for order in orders:
        yield "in order", in_order(pool_w, caps, asked, order)
    yield "by demand", in_order(pool_w, caps, asked, sorted(range(len(caps)), key=lambda i: -asked[i]))
