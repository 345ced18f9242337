"""Pictures: made anew without what was hidden in them, or refused with why; memory is bounded."""

from __future__ import annotations

import io
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from household.kit.errors import Refused
from household.kit.uploads import LONGEST, CutOff
from household.requests import photos
from tests.requests.pictures import SECRET, chunks, claims, jpeg, mpo, png, upload, webp

TRACES = (b"Exif", b"GPS", b"xmp", b"ICC", SECRET.encode(), b"JFIF", b"MPF", b"2026:03:12")


def kept(content: bytes, name: str = "photo.jpg") -> tuple[bytes, photos.Kept]:
    [one] = photos.keep([upload(content, name)])
    return photos.path_of(one.name).read_bytes(), one


@pytest.mark.parametrize("make", [jpeg, png, webp, mpo], ids=lambda make: make.__name__)
def test_nothing_hidden_is_left(make: Callable[[], bytes]) -> None:
    sent = make()
    assert SECRET.encode() in sent or b"GPS" in sent or b"Exif" in sent, "the test's own picture"
    content, one = kept(sent)
    # RFC 9649: a simple lossy file is one VP8 chunk; EXIF, XMP, ICCP would need VP8X.
    assert set(chunks(content)) == {"VP8 "}
    assert not [trace for trace in TRACES if trace in content]
    assert max(one.width, one.height) <= photos.SIDE
    with Image.open(io.BytesIO(content)) as opened:
        assert opened.size == (one.width, one.height)
        assert not opened.getexif() and not opened.info.get("xmp")


@pytest.mark.parametrize(
    ("orientation", "upright"),
    [(1, (1600, 1200)), (3, (1600, 1200)), (6, (1200, 1600)), (8, (1200, 1600))],
)
def test_pictures_are_turned_upright(orientation: int, upright: tuple[int, int]) -> None:
    """Exif orientation (CIPA DC-008): 3 is upside down, 6 and 8 lie on their sides."""
    content, one = kept(jpeg(orientation=orientation))
    assert (one.width, one.height) == upright
    with Image.open(io.BytesIO(content)) as opened:
        # In a stored picture that lies on its side, its dark left half ends up above or below.
        corners = {
            1: (5, 5),
            3: (one.width - 5, one.height - 5),
            6: (5, 5),
            8: (one.width - 5, one.height - 5),
        }
        pixel = opened.convert("RGB").getpixel(corners[orientation])
        assert isinstance(pixel, tuple) and pixel[2] > pixel[0] + 60, "dark blue"


def test_a_large_picture_keeps_its_halves() -> None:
    content, one = kept(png(7000, 5000))
    assert (one.width, one.height) == (1600, 1143)
    with Image.open(io.BytesIO(content)) as opened:
        picture = opened.convert("RGB")
    for height in (3, 571, 1139):
        left, right = picture.getpixel((790, height)), picture.getpixel((812, height))
        assert isinstance(left, tuple) and isinstance(right, tuple)
        assert max(left) < 160 and min(right) > 230


def test_what_is_clear_becomes_white() -> None:
    out = io.BytesIO()
    Image.new("RGBA", (40, 40), (0, 0, 0, 0)).save(out, "PNG")
    content, _ = kept(out.getvalue())
    with Image.open(io.BytesIO(content)) as opened:
        assert min(opened.convert("RGB").getpixel((20, 20))) > 250  # type: ignore[type-var]


def test_the_original_is_not_kept(settings: object) -> None:
    _, one = kept(jpeg())
    files = [path for path in photos._folder().rglob("*") if path.is_file()]
    assert files == [photos.path_of(one.name)]
    assert photos.NAME.fullmatch(one.name)


def zipped() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("a.html", "<b>hello</b>")
    return out.getvalue()


SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
HTML = b"<!doctype html><html><script>alert(1)</script></html>"
REFUSED: dict[str, tuple[bytes, str]] = {
    "an SVG": (SVG, "is not a photo we can read"),
    "HTML with another name": (HTML, "is not a photo we can read"),
    "a GIF": (b"GIF89a" + bytes(40), "is not a photo we can read"),
    "a PDF": (b"%PDF-1.7\n" + bytes(40), "is not a photo we can read"),
    "nothing": (b"\x00" * 64, "is not a photo we can read"),
    "a JPEG that is also HTML": (jpeg(800, 600) + HTML, "something else beside a picture"),
    "a JPEG that is also a zip file": (jpeg(800, 600) + zipped(), "something else beside a"),
    "a truncated JPEG": (jpeg(800, 600)[:6000], "damaged or not whole"),
    "a truncated PNG": (png()[:3000], "damaged or not whole"),
    "a claim of 400 megapixels": (claims(20_000, 20_000), "more than 40 million pixels"),
    "a claim of 100 megapixels": (claims(10_000, 10_000), "more than 40 million pixels"),
    "a claim of 50 megapixels": (claims(8_000, 6_250), "more than 40 million pixels"),
    "too many bytes": (jpeg(800, 600) + bytes(LONGEST), "is bigger than 12 MB"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_refused_says_why_in_one_sentence(name: str) -> None:
    content, why = REFUSED[name]
    with pytest.raises(Refused) as refused:
        photos.keep([upload(content, "IMG_0001.jpg")])
    assert why in refused.value.message
    assert "IMG_0001.jpg" in refused.value.message
    assert refused.value.field == "photos"
    assert not list(photos._folder().rglob("*.webp"))


def test_of_several_all_are_kept_or_none() -> None:
    with pytest.raises(Refused):
        photos.keep([upload(jpeg(800, 600)), upload(SVG)])
    assert not list(photos._folder().rglob("*.webp"))
    assert len(photos.keep([upload(jpeg(400, 300)) for _ in range(4)])) == 4
    with pytest.raises(Refused, match="4 photos or fewer"):
        photos.keep([upload(jpeg(400, 300)) for _ in range(5)])


@pytest.mark.parametrize("name", ["../../secret_key", "a" * 31, "A" * 32, ""])
def test_only_names_of_our_own_lead_to_a_file(name: str) -> None:
    with pytest.raises(ValueError, match="no name of a picture"):
        photos.path_of(name)


def test_an_upload_is_cut_off_past_the_limit() -> None:
    handler = CutOff()
    assert handler.receive_data_chunk(b"x", LONGEST) == b"x"
    assert handler.receive_data_chunk(b"x", LONGEST + 1) is None
    assert handler.file_complete(1) is None


MEASURE = """
import io, resource, sys
sys.path.insert(0, {root!r})
import django
django.setup()
from django.core.files.uploadedfile import SimpleUploadedFile
from household.kit.errors import Refused
from household.requests import photos
content = open({path!r}, "rb").read()
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
try:
    photos.keep([SimpleUploadedFile("p", content)])
except Refused:
    pass
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before)
"""


@pytest.mark.parametrize(
    ("make", "megabytes"),
    # The claim is refused before anything is decoded; a JPEG is decoded at half its size; the
    # largest PNG is 160 MB as it is decoded, and a whole copy of it would be as much again.
    [(lambda: claims(20_000, 20_000), 25), (jpeg, 110), (lambda: png(8000, 5000), 290)],
    ids=["a claim of 400 megapixels", "12 megapixels", "a PNG of 40 megapixels"],
)
def test_memory_is_bounded(make: Callable[[], bytes], megabytes: int, tmp_path: Path) -> None:
    path = tmp_path / "sent"
    path.write_bytes(make())
    program = MEASURE.format(root=str(Path(__file__).parents[2]), path=str(path))
    run = subprocess.run(
        [sys.executable, "-c", program],
        env={
            "DJANGO_SETTINGS_MODULE": "household.settings",
            "HOUSEHOLD_DATA_DIR": str(tmp_path),
            "PATH": "",
        },
        capture_output=True,
        text=True,
        check=True,
    )
    assert int(run.stdout) / 1024 < megabytes


def test_a_file_of_the_wrong_type_says_so_whatever_it_claims() -> None:
    claimed = SimpleUploadedFile("x.png", HTML, content_type="image/png")
    with pytest.raises(Refused, match="not a photo we can read"):
        photos.keep([claimed])
