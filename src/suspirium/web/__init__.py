"""The desk in a browser: parse, call one desk function, show."""
