"""A headless Chromium for the tests that want one."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from typing import Any

import pytest


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """A headless Chromium."""
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    options = webdriver.ChromeOptions()
    for word in ("--headless=new", "--no-sandbox", "--disable-dev-shm-usage", "--window-size=420,800"):
        options.add_argument(word)
    made = webdriver.Chrome(options=options, service=Service(shutil.which("chromedriver")))
    yield made
    made.quit()
