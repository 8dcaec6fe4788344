"""Frozen dataclasses that cross from one room to another; nothing but data."""
