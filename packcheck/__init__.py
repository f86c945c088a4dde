"""packcheck: check a battery pack's layout and its recorded build before the service disconnect goes in."""

__version__ = "0.1.0"
