"""Pictures that come with a request: checked, made anew without anything hidden in them, kept.

What was sent is never kept. A picture is decoded only after its claimed size was read, one at a
time in this process, so that a small file cannot claim the machine's memory.
"""

from __future__ import annotations

import io
import os
import re
import secrets
import threading
import warnings
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO, Final

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from PIL import Image, ImageOps, UnidentifiedImageError

from household.kit.errors import Refused
from household.kit.uploads import LONGEST

MOST: Final = 4
MOST_PIXELS: Final = 40_000_000
SIDE: Final = 1600  # px: the longer side of what is kept
QUALITY: Final = 80
BAND: Final = 64  # rows, as reduced, that are worked on at a time
ORIENTATION: Final = 0x0112  # the tag of Exif (CIPA DC-008)
FORMATS: Final = ("JPEG", "PNG", "WEBP")  # JPEG opens multi-picture files too: the first of them
ENDING: Final = ".webp"
NAME: Final = re.compile(r"[0-9a-f]{32}")

# What has no place at the head or tail of a picture: the file would be two things at once.
_ALSO: Final = re.compile(
    rb"<!doctype|<html|<script|<svg|<\?php|%PDF-|PK\x05\x06\x00\x00\x00\x00", re.IGNORECASE
)
_LOOK: Final = 65_536  # bytes at either end that are looked through
_one_at_a_time = threading.Lock()


@dataclass(frozen=True, slots=True)
class Kept:
    """A picture on the disk: its name there, and its size in pixels."""

    name: str
    width: int
    height: int


def keep(files: Sequence[UploadedFile[Any]]) -> list[Kept]:
    """Make each picture anew and keep it; all of them or none. Refused with why, in a sentence."""
    if len(files) > MOST:
        raise Refused(f"Send {MOST} photos or fewer.", field="photos")
    kept: list[Kept] = []
    try:
        for file in files:
            kept.append(_keep(file))
    except BaseException:
        forget(each.name for each in kept)
        raise
    return kept


def path_of(name: str) -> Path:
    """Where a picture of this name lies."""
    if not NAME.fullmatch(name):
        raise ValueError(f"no name of a picture: {name!r}")
    return _folder() / name[:2] / f"{name}{ENDING}"


def forget(names: Iterable[str]) -> None:
    """Take pictures off the disk; one that is gone already is no matter."""
    for name in names:
        path_of(name).unlink(missing_ok=True)


def _folder() -> Path:
    return Path(settings.DATA_DIR) / "media" / "requests"


def _keep(file: UploadedFile[Any]) -> Kept:
    called = _called(file)
    if (file.size or 0) > LONGEST:
        raise Refused(f"{called} is bigger than 12 MB. Send a smaller one.", field="photos")
    stream: BinaryIO = file.file  # type: ignore[assignment]
    if _is_two_things(stream):
        raise Refused(
            f"{called} holds something else beside a picture. Send a plain photo.", field="photos"
        )
    stream.seek(0)
    with _one_at_a_time:
        made = _made_anew(stream, called)
        name = secrets.token_hex(16)
        path = path_of(name)
        path.parent.mkdir(parents=True, exist_ok=True)
        written = io.BytesIO()
        made.save(written, "WEBP", quality=QUALITY, method=4)
    # Whole or not at all: a file is seen under its name only when it is complete.
    part = path.with_suffix(".part")
    part.write_bytes(written.getvalue())
    os.replace(part, path)
    return Kept(name, made.width, made.height)


def _made_anew(stream: BinaryIO, called: str) -> Image.Image:
    """The picture's pixels alone, upright, no longer side above SIDE, on a fresh canvas."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            opened = Image.open(stream, formats=FORMATS)
        with opened:
            width, height = opened.size
            if width * height > MOST_PIXELS:
                raise Refused(_too_many_pixels(called), field="photos")
            # A JPEG is decoded small from the start: a quarter of the memory, or less.
            opened.draft("RGB", (SIDE, SIDE))
            turned = opened.getexif().get(ORIENTATION, 1)
            small = _reduced(opened)
            small.thumbnail((SIDE, SIDE))
            small.getexif()[ORIENTATION] = turned
            return _on_white(ImageOps.exif_transpose(small))
    except (Image.DecompressionBombWarning, Image.DecompressionBombError):
        raise Refused(_too_many_pixels(called), field="photos") from None
    except UnidentifiedImageError:
        raise Refused(
            f"{called} is not a photo we can read. Send a JPEG, PNG or WebP.", field="photos"
        ) from None
    except (OSError, SyntaxError, ValueError, EOFError):
        # Pillow raises each of these for a picture that ends too early or is damaged.
        raise Refused(f"{called} is damaged or not whole. Send it again.", field="photos") from None


def _reduced(picture: Image.Image) -> Image.Image:
    """Near the size that is kept, band by band: a whole copy of a large picture is never made."""
    factor = max(picture.size) // (SIDE * 2)
    if factor < 2:
        return picture
    width, height = picture.size
    small = Image.new("RGB", (-(-width // factor), -(-height // factor)))
    for top in range(0, height, BAND * factor):
        band = picture.crop((0, top, width, min(height, top + BAND * factor)))
        small.paste(_on_white(band).reduce(factor), (0, top // factor))
    return small


def _on_white(picture: Image.Image) -> Image.Image:
    canvas = Image.new("RGB", picture.size, "white")
    if picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info:
        clear = picture.convert("RGBA")
        canvas.paste(clear, mask=clear.getchannel("A"))
    else:
        canvas.paste(picture.convert("RGB"))
    return canvas


def _is_two_things(stream: BinaryIO) -> bool:
    stream.seek(0)
    head = stream.read(_LOOK)
    stream.seek(0, os.SEEK_END)
    stream.seek(max(0, stream.tell() - _LOOK))
    tail = stream.read(_LOOK)
    if not head.startswith((b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"RIFF")):
        return False  # no picture at all: Pillow says so in its own way
    return bool(_ALSO.search(head) or _ALSO.search(tail))


def _called(file: UploadedFile[Any]) -> str:
    name = (file.name or "").rsplit("/")[-1][:40]
    return f"“{name}”" if name else "The photo"


def _too_many_pixels(called: str) -> str:
    return f"{called} has more than 40 million pixels. Send a smaller one."
