"""The hub's settings for the feeds' benchmark: its own, with that benchmark's addresses."""

from household.settings import *  # noqa: F403

ROOT_URLCONF = "tests.benchmarks.served_feeds_urls"
