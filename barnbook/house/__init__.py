"""Serving at home: first start, the example farm, back-ups. Above everything but the site itself."""
