"""Records to pages, charts and files."""
