"""One file a page, same stem as its template."""
