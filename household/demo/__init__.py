"""The demo household: read from fixtures/demo.json, with twelve weeks of history up to today."""
