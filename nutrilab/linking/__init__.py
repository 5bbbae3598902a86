"""A name to the food of a table, with how sure that is and what else it could be."""

from nutrilab.linking.linker import Linker, search
from nutrilab.linking.links import Candidate, Link

__all__ = ["Candidate", "Link", "Linker", "search"]
