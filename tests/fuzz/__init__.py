"""Mutated input: lines, recipes, pages, packs, settings, decisions, earlier results and food tables.

``python -m tests.fuzz --seconds 60`` tries what it can in a minute, ``--lines 100000 --files 20000`` so many; the same
``--seed`` tries the same. What fails is written to ``corpus/KIND/``, and ``tests/test_fuzz.py`` tries all of it on
every run: the corpus only grows. Its files are kept byte for byte (``.gitattributes``, and a list of their SHA-256).
"""
