"""An observing almanac of the Moon for an astronomy club: computed, published, printed."""

__version__ = "0.1.0"
