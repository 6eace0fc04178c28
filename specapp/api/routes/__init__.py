"""The addresses of the interface, a file a subject."""
