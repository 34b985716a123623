"""The worked values that stand in the docstrings of selling's services are right."""

import doctest
from importlib import import_module
from pkgutil import iter_modules

from sales import services

FEWEST = 15  # examples, so that an empty walk cannot pass


def test_worked_values_in_docstrings_of_services_are_right():
    found = [doctest.testmod(import_module(f"sales.services.{one.name}")) for one in iter_modules(services.__path__)]
    assert sum(one.failed for one in found) == 0
    assert sum(one.attempted for one in found) >= FEWEST
