"""The example farm: fourteen months of an invented barn, for looking around. See docs/example-farm.md."""

from barnbook.house.example_farm.story import ZONE
from barnbook.house.example_farm.writing import ExampleFarm, make_example_farm, the_example_farm

__all__ = ["ZONE", "ExampleFarm", "make_example_farm", "the_example_farm"]
