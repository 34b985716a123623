"""Tests that drive a real Chromium against the running program."""
