"""Part files: the library that comes with the package, and those of users."""
