"""The almanac as another processor computes it: last bits of what is interpolated differ.

Sums taken in another order, fused or not, differ by a rounding or two; so do the numbers here,
whatever machine the tests run on:

    python tests/tools/other_processor.py build club.toml
"""

from collections.abc import Callable
from typing import Any

import numpy as np

from almanac.cli import main
from almanac.sky import nodes

ROUNDING = 1e-16
"""Standard deviation of the change, in parts of the number; half a last bit is 1.1e-16 at most."""


def blurred(function: Callable[..., Any], chance: np.random.Generator) -> Callable[..., Any]:
    """A function whose results are off by a rounding."""

    def result(*given: Any) -> Any:
        found = function(*given)
        return found * (1 + ROUNDING * chance.standard_normal(found.shape))

    return result


if __name__ == "__main__":
    chance = np.random.default_rng(1)
    nodes.product = blurred(nodes.product, chance)
    nodes._weighted = blurred(nodes._weighted, chance)
    main(prog_name="almanac")
