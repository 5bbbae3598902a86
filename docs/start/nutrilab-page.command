#!/bin/sh
# macOS: a double click opens the page for the recipes in the folder "recipes" in your documents.
# Needed first, once: nutrilab set up in the folder named in the next line (docs/without-a-terminal.md).
NUTRILAB="$HOME/nutrilab"
RECIPES="$HOME/Documents/recipes"
mkdir -p "$RECIPES"
if [ ! -x "$NUTRILAB/.venv/bin/nutrilab" ]; then
    echo "nutrilab is not set up in $NUTRILAB: see docs/without-a-terminal.md there, or change the line NUTRILAB= in this file."
    exit 1
fi
exec "$NUTRILAB/.venv/bin/nutrilab" page "$RECIPES"
