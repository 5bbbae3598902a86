"""A name to the food of a table, with how sure that is and what else it could be."""

from nutrilab.linking.links import Candidate, Link
from nutrilab.linking.stack import Linker, search

__all__ = ["Candidate", "Link", "Linker", "search"]
