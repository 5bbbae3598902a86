"""What is known of a name: the words cooks use for foods, read once from the word lists."""

from nutrilab.lexicon.describing import filler, forms, line_words, listed_words, stating
from nutrilab.lexicon.names import entries, is_name, spellings, spelt_out, stated

__all__ = [
    "entries",
    "filler",
    "forms",
    "is_name",
    "line_words",
    "listed_words",
    "spellings",
    "spelt_out",
    "stated",
    "stating",
]
