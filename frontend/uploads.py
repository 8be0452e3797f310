"""No upload is larger than the largest file that a page takes."""

from typing import Any

from django.core.exceptions import RequestDataTooBig
from django.core.files.uploadhandler import FileUploadHandler

#: A phone's file (20 MB) and the form around it [bytes].
LIMIT = 21 * 1024 * 1024


class Bounded(FileUploadHandler):
    """Refuses by the announced length, before a byte is read; the server holds a sender to that length."""

    def handle_raw_input(
        self, input_data: Any, META: Any, content_length: int, boundary: Any, encoding: Any = None
    ) -> None:
        if content_length > LIMIT:
            raise RequestDataTooBig(f"an upload of {content_length} bytes")

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes:
        return raw_data

    def file_complete(self, file_size: int) -> None:
        return None
