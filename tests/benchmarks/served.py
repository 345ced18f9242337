"""The hub's settings for benchmarks: its own, with the benchmark's addresses beside the hub's."""

from household.settings import *  # noqa: F403

ROOT_URLCONF = "tests.benchmarks.served_urls"
