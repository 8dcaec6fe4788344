"""Everything that comes from outside: configs, horizon profiles and tables, checked once."""
