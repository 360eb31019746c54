"""The service: introductions, keys that people can sing, registration."""
