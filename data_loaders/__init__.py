"""Readers of open food composition tables, one file a source, all ending in one layout.

Every loader module has ``load(path) -> schema.TableData`` and ``NAME``, the word for it on the
command line. Loaders know no recipe.
"""
