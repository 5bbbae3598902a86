#!/bin/sh
# Linux: what nutrilab-page.desktop starts. Opens the page for the recipes in the folder "recipes" in your home.
# Needed first, once: nutrilab set up in the folder named in the next line (docs/without-a-terminal.md).
NUTRILAB="${NUTRILAB:-$HOME/nutrilab}"
RECIPES="${RECIPES:-$HOME/recipes}"
mkdir -p "$RECIPES"
if [ ! -x "$NUTRILAB/.venv/bin/nutrilab" ]; then
    echo "nutrilab is not set up in $NUTRILAB: see docs/without-a-terminal.md there, or change the line NUTRILAB= in this file."
    exit 1
fi
exec "$NUTRILAB/.venv/bin/nutrilab" page "$RECIPES" "$@"
