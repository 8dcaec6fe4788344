"""Decisions over arrays and records: no ephemeris, so made-up skies can test them."""
