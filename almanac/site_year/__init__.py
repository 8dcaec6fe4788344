"""One site's year: where the sky's arrays and the plan's decisions meet and become records."""
