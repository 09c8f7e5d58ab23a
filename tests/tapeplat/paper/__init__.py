"""Tests of the printed sheets; a package, so that its conftest is not taken for its neighbour's."""
