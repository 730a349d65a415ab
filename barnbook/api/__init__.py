"""The wire: translate in, one call, translate out. No rule of the barn lives here. See docs/wire.md."""
