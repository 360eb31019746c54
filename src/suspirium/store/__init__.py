"""What is kept on disk: files written whole or not at all."""

from suspirium.store.files import read_bytes, write_folder, write_whole

__all__ = ["read_bytes", "write_folder", "write_whole"]
