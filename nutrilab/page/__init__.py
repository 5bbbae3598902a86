"""The local page for cooks without a terminal: a room on top of the sheets that computes nothing itself.

`server` opens it on this machine alone, `guard` lets nobody else in, `shelf` keeps to the files of one folder, `desk`
holds the kitchen open and asks it, `app` has the addresses, the rest lays out what was found.
"""
