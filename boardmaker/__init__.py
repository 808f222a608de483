"""Foam boards that hold every panel screw of a motorcycle, from a description of the bike."""

__version__ = "0.1.0"
