"""The version of the wire, and of the house."""

from importlib.metadata import PackageNotFoundError, version

PROTOCOL = 1
try:
    VERSION = version("barnbook")
except PackageNotFoundError:  # run from a folder that was never installed
    VERSION = "0"
