"""What devices are called, and codes that can be read off a screen and typed."""

from __future__ import annotations

import pytest

from household.devices.codes import ALPHABET, LENGTH, hash_typed, new_secret, tidy
from household.devices.labels import label_of, noun_of

# Shapes of User-Agent as browsers send them; from memory.
AGENTS = [
    (
        "Mozilla/5.0 (Linux; Android 15; Pixel 9) AppleWebKit/537.36 (KHTML, like Gecko) "
        "Chrome/142.0.0.0 Mobile Safari/537.36",
        "Android phone, Chrome",
        "phone",
    ),
    (
        "Mozilla/5.0 (Linux; Android 14; SM-X200) AppleWebKit/537.36 (KHTML, like Gecko) "
        "SamsungBrowser/28.0 Chrome/130.0.0.0 Safari/537.36",
        "Android tablet, Samsung browser",
        "tablet",
    ),
    (
        "Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X) AppleWebKit/605.1.15 "
        "(KHTML, like Gecko) Version/18.5 Mobile/15E148 Safari/604.1",
        "iPhone, Safari",
        "phone",
    ),
    (
        "Mozilla/5.0 (iPad; CPU OS 16_6 like Mac OS X) AppleWebKit/605.1.15 "
        "(KHTML, like Gecko) CriOS/142.0 Mobile/15E148 Safari/604.1",
        "iPad, Chrome",
        "tablet",
    ),
    (
        "Mozilla/5.0 (Macintosh; Intel Mac OS X 10.15; rv:145.0) Gecko/20100101 Firefox/145.0",
        "Mac, Firefox",
        "computer",
    ),
    (
        "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) "
        "Chrome/142.0.0.0 Safari/537.36 Edg/142.0.0.0",
        "Windows computer, Edge",
        "computer",
    ),
    (
        "Mozilla/5.0 (X11; CrOS x86_64) Chrome/142.0.0.0 Safari/537.36",
        "Chromebook, Chrome",
        "computer",
    ),
    ("Mozilla/5.0 (X11; Linux x86_64) Firefox/140.0", "Linux computer, Firefox", "computer"),
    ("", "A device", "device"),
    ("curl/8.5", "A device", "device"),
]


@pytest.mark.parametrize(("agent", "label", "noun"), AGENTS)
def test_device_is_named_in_plain_words(agent: str, label: str, noun: str) -> None:
    assert (label_of(agent), noun_of(agent)) == (label, noun)


def test_codes_have_forty_bits_and_links_two_hundred_and_fifty_six() -> None:
    assert len(set(ALPHABET)) ** LENGTH >= 2**40
    secrets = [new_secret() for _ in range(50)]
    assert (
        len({secret.link for secret in secrets}) == len({secret.typed for secret in secrets}) == 50
    )
    assert all(len(secret.link) == 43 for secret in secrets)


@pytest.mark.parametrize("mixed_up", ["I", "O", "0", "1"])
def test_signs_that_look_alike_are_left_out(mixed_up: str) -> None:
    assert mixed_up not in ALPHABET


@pytest.mark.parametrize("typed", ["K7QM-2XPA", "k7qm 2xpa", " k7qm2xpa ", "K7QM–2XPA"])
def test_code_may_be_typed_in_any_way(typed: str) -> None:
    assert tidy(typed) == "K7QM2XPA"
    assert hash_typed(typed) == hash_typed("K7QM-2XPA")
