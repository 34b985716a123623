"""The pages of selling, one file a page."""
