"""Running the yard's own server: gunicorn, the yard's certificate authority, the daily refresh."""
