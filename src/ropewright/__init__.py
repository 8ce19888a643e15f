"""Fall protection worked out on the real roof."""

__all__ = ["__version__"]

__version__ = "0.1.0"
