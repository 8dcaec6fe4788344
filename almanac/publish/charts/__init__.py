"""Charts drawn from records as SVG text."""
