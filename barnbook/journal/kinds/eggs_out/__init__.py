"""Eggs out of the store: orders, promises, boxes packed and sent, eggs eaten and thrown away."""
