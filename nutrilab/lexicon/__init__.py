"""What is known of a name: the words cooks use for foods, read once from the word lists."""

from nutrilab.lexicon.names import entries, is_name

__all__ = ["entries", "is_name"]
