"""Uploads are cut off where no file of ours may be longer: a disk cannot be filled by one form."""

from __future__ import annotations

from typing import Final

from django.core.files.uploadedfile import UploadedFile
from django.core.files.uploadhandler import FileUploadHandler

LONGEST: Final = 12 * 1024 * 1024  # bytes a file


class CutOff(FileUploadHandler):
    """Lets a file through to just past `LONGEST`; its form then sees that it is too long."""

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes | None:
        return None if start > LONGEST else raw_data

    def file_complete(self, file_size: int) -> UploadedFile[bytes] | None:
        return None
