"""Frozen records that cross from one room to another; nothing but data."""
