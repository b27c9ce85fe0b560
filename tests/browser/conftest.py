"""Ends the browser that the pages of a test process share."""

import sys

import pytest


@pytest.fixture(scope="session", autouse=True)
def one_browser():
    yield
    # Only there if a test wanted it.
    if module := sys.modules.get("chromium"):
        module.Chromium.end()
