"""What people look at. Sheets compute nothing: they lay out a result."""
