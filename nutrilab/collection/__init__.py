"""All recipes of a cook or a publisher at once: read below folders, cooked in parallel, kept as tables and a page.

Sources to entries (sources.py), entries to jobs of an engine (processes.py, cluster.py) that all do the same work
(working.py), rows to the files of a folder that is put in place whole (results.py).
"""
