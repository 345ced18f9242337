"""Pictures made here for the tests, and a reader of WebP that shares no code with Pillow."""

from __future__ import annotations

import io
import struct
import zlib
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

SECRET = "Larch Cottage 52.4862 -1.8904"


def painted(width: int, height: int, mode: str = "RGB") -> Image.Image:
    """A left half that is dark and a right half that is light, so that turning shows."""
    picture = Image.new(mode, (width, height), "white")
    picture.paste("navy", (0, 0, width // 2, height))
    return picture


def exif(orientation: int = 1) -> Image.Exif:
    """A phone's camera's: a place, a name, a time, and which way is up."""
    found = Image.Exif()
    found[0x0112] = orientation
    found[0x010F] = SECRET
    found[0x9003] = "2026:03:12 09:00:00"
    gps = found.get_ifd(0x8825)
    gps.update({1: "N", 2: (52.0, 29.0, 10.0), 3: "W", 4: (1.0, 53.0, 25.0)})
    return found


def jpeg(width: int = 4000, height: int = 3000, *, orientation: int = 1) -> bytes:
    """12 megapixels as they come from a phone: GPS, XMP, a comment, an embedded profile."""
    out = io.BytesIO()
    painted(width, height).save(
        out,
        "JPEG",
        exif=exif(orientation),
        comment=SECRET.encode(),
        xmp=f'<x:xmpmeta xmlns:x="adobe:ns:meta/"><p>{SECRET}</p></x:xmpmeta>'.encode(),
        icc_profile=SECRET.encode() * 20,
    )
    return out.getvalue()


def mpo() -> bytes:
    """Two pictures in one file, as phones with a depth camera make them."""
    out = io.BytesIO()
    first, second = painted(1200, 900), painted(600, 450)
    first.save(out, "MPO", save_all=True, append_images=[second], exif=exif())
    return out.getvalue()


def png(width: int = 2000, height: int = 1000) -> bytes:
    from PIL.PngImagePlugin import PngInfo

    info = PngInfo()
    info.add_text("Comment", SECRET)
    info.add_itxt("XML:com.adobe.xmp", SECRET)
    out = io.BytesIO()
    painted(width, height, "RGBA").save(out, "PNG", pnginfo=info, exif=exif())
    return out.getvalue()


def webp(width: int = 1000, height: int = 500) -> bytes:
    out = io.BytesIO()
    painted(width, height).save(out, "WEBP", exif=exif(), xmp=SECRET.encode())
    return out.getvalue()


def claims(width: int, height: int) -> bytes:
    """A PNG of a few kB that says it is so large, made by hand (ISO/IEC 15948)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    rows = zlib.compress(bytes(width // 8 + 1) * min(height, 1000), 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def upload(content: bytes, name: str = "photo.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content, content_type="image/jpeg")


def chunks(content: bytes) -> dict[str, Any]:
    """The chunks of a WebP file by their four letters (RFC 9649, section 2.3), read by hand."""
    assert content[:4] == b"RIFF" and content[8:12] == b"WEBP"
    (size,) = struct.unpack("<I", content[4:8])
    assert size == len(content) - 8, "nothing comes after the file's end"
    found, at = {}, 12
    while at < len(content):
        kind = content[at : at + 4].decode("ascii")
        (length,) = struct.unpack("<I", content[at + 4 : at + 8])
        found[kind] = content[at + 8 : at + 8 + length]
        at += 8 + length + length % 2
    return found
