"""The duct network: compiled from a survey in one condition, solved for thousands of variants."""

from inchwater.network.compile import compile_network
from inchwater.network.elements import Network, Parameter
from inchwater.network.results import Solution, solve

__all__ = ["Network", "Parameter", "Solution", "compile_network", "solve"]
