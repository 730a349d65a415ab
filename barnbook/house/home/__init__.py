"""Serving phones on the house's own network: a certificate of this house, a name, and a page that leads a phone in."""
