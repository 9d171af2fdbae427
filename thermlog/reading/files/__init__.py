"""Files, servers and archives to lines of text, lines to rows of cells."""
