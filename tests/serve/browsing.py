"""A real browser beside the program: what it shows, waited for by words."""

from __future__ import annotations

import asyncio
import re
import shutil
from collections.abc import Callable
from typing import Any

HERE_IS_A_BROWSER = bool(shutil.which("chromium") and shutil.which("chromedriver"))


async def beside(work: Any) -> Any:
    """Run what waits for the browser beside the program's own loop."""
    return await asyncio.get_running_loop().run_in_executor(None, work)


def words_on(browser: Any) -> str:
    from selenium.webdriver.common.by import By

    return str(browser.find_element(By.TAG_NAME, "body").text)


async def seen(browser: Any, pattern: str) -> str:
    """Wait until the page says something."""
    for _ in range(100):
        shown = await beside(lambda: words_on(browser))
        if re.search(pattern, shown, re.DOTALL):
            return str(shown)
        await asyncio.sleep(0.05)
    raise AssertionError(f"{pattern} in {shown}")


async def came(check: Callable[[], object]) -> None:
    """Wait until what the phone sent is there: a picture goes over the disk and the program's next turn."""
    for _ in range(400):
        if check():
            return
        await asyncio.sleep(0.05)
    raise AssertionError("it did not come")


async def gone(browser: Any, words: str) -> None:
    """Wait until the page does not say something any more."""
    for _ in range(100):
        if words not in await beside(lambda: words_on(browser)):
            return
        await asyncio.sleep(0.1)
    raise AssertionError(f"the page still says “{words}”")


def find(browser: Any, selector: str) -> list[Any]:
    """Everything on the page that the selector names."""
    from selenium.webdriver.common.by import By

    return list(browser.find_elements(By.CSS_SELECTOR, selector))


def type_in(browser: Any, field: str, text: str) -> None:
    """Type into a field by its id; what stood there goes."""
    box = find(browser, f"#{field}")[0]
    box.clear()
    box.send_keys(text)


def value_of(browser: Any, field: str) -> str:
    """What stands in a field."""
    return str(find(browser, f"#{field}")[0].get_property("value"))


def press(browser: Any, words: str) -> None:
    """Press the button, label or link that begins with these words and is shown."""
    for each in find(browser, "button, label, a, summary"):
        if each.is_displayed() and each.text.strip().startswith(words):
            browser.execute_script("arguments[0].scrollIntoView({block: 'center'})", each)
            each.click()
            return
    raise AssertionError(f"nothing to press is called “{words}” in {words_on(browser)}")


def offline(browser: Any, cut: bool) -> None:
    """Cut the connection of the browser, or let it through again."""
    if cut:
        browser.set_network_conditions(offline=True, latency=0, throughput=0)
    else:
        browser.delete_network_conditions()


def swipe(browser: Any, way: str) -> None:
    """Draw a finger across the page, to the left or to the right."""
    start, end = (300, 80) if way == "left" else (80, 300)

    def touch(kind: str, x: int) -> None:
        points = [{"x": x, "y": 300}] if kind != "touchEnd" else []
        browser.execute_cdp_cmd("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", start)
    touch("touchMove", (start + end) // 2)
    touch("touchMove", end)
    touch("touchEnd", end)


def in_first_screen(browser: Any, words: str) -> dict[str, bool]:
    """Whether the button that begins with these words is whole in the first screen of two small phones."""
    found = {}
    for width, height in ((320, 640), (360, 740)):
        size = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": True}
        browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
        browser.execute_script("window.scrollTo(0, 0)")
        button = next(each for each in find(browser, "button") if each.text.strip().startswith(words))
        box = browser.execute_script("return arguments[0].getBoundingClientRect().toJSON()", button)
        found[f"{width}x{height}"] = box["top"] >= 0 and box["bottom"] <= height
    browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    return found
