"""Weather files: each published format has its reader here, and all give one WeatherFile."""
