"""What every look at a page asks: does it overflow, does axe-core find anything, how does it look."""

import os
import re
from pathlib import Path

from axe_playwright_python.base import AXE_SCRIPT
from django.db import connection

# Contrast is asked for at 7:1, and at 4.5:1 for large text: these pages are read in the sun. One rule finds all that is
# less; axe-core's own pair of rules, each for a part of it, takes twice as long.
AXE_CONTRAST = {
    "checks": [
        {
            "id": "color-contrast",
            "options": {
                "ignoreUnicode": True,
                "ignoreLength": False,
                "ignorePseudo": False,
                "boldValue": 700,
                "boldTextPt": 14,
                "largeTextPt": 18,
                "contrastRatio": {"normal": {"expected": 7}, "large": {"expected": 4.5}},
                "pseudoSizeThreshold": 0.25,
                "shadowOutlineEmMax": 0.1,
                "textStrokeEmMin": 0.03,
            },
        }
    ],
    "rules": [{"id": "color-contrast", "any": ["color-contrast"]}],
}
# Violations alone: spelling out every element that passes takes axe-core several times as long.
AXE_OPTIONS = {
    "resultTypes": ["violations"],
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    "rules": {"target-size": {"enabled": True}},
}
AXE_COLOURS = {"resultTypes": ["violations"], "runOnly": {"type": "rule", "values": ["color-contrast"]}}
SHOTS_DIR = os.environ.get("SLABWRIGHT_SHOTS", "")


def axe_violations(page, options=AXE_OPTIONS) -> list[str]:
    """What axe-core finds wrong on the page, one line a finding with the first place where it stands."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE_SCRIPT)
        page.evaluate("(options) => axe.configure(options)", AXE_CONTRAST)
    found = page.evaluate("(options) => axe.run(options).then((found) => found.violations)", options)
    return [f"{one['id']}: {one['help']} at {one['nodes'][0]['html'][:200]}" for one in found]


def overflow_px(page) -> int:
    """By how much the page is wider than its window."""
    return page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")


def small_targets(page, least_px: int = 44) -> list[str]:
    """Buttons, inputs and navigation links smaller than a thumb needs; links within text are left out."""
    return page.evaluate(
        """(least) => [...document.querySelectorAll("button, .button, summary, nav a, select, textarea, input")]
            .filter((one) => one.checkVisibility() && one.type !== "hidden" && !one.closest(".side"))
            .map((one) => one.matches("input[type=checkbox], input[type=radio]") ? one.closest("label") ?? one : one)
            .filter((one) => one.getBoundingClientRect().height < least - 0.5)
            .map((one) => `${Math.round(one.getBoundingClientRect().height)} px: ${one.outerHTML.slice(0, 120)}`)""",
        least_px,
    )


def shot(page, name: str) -> None:
    """Keep a picture of the whole page when SLABWRIGHT_SHOTS names a folder."""
    if SHOTS_DIR:
        size = page.viewport_size
        safe = re.sub(r"[^\w-]+", "-", name)
        Path(SHOTS_DIR).mkdir(parents=True, exist_ok=True)
        page.screenshot(path=str(Path(SHOTS_DIR) / f"{safe}-{size['width']}.png"), full_page=True)


def look_over(page, name: str) -> None:
    """All of it, in light and in dark: nothing overflows, axe-core finds nothing, pictures are kept if asked for.

    Looked at on SQLite alone: a page looks the same whatever database it comes from.
    """
    if connection.vendor != "sqlite":
        return
    faults = faults_of(page, name)
    assert not faults, "\n".join(faults)


def faults_of(page, name: str) -> list[str]:
    """What is wrong with how the page looks, one line a fault."""
    faults = []
    page.wait_for_load_state()
    page.locator("body").wait_for()
    # Darkness changes colours alone, so the page needs not be fetched again, nor all else be asked twice.
    for scheme, options in (("dark", AXE_COLOURS), ("light", AXE_OPTIONS)):
        page.emulate_media(color_scheme=scheme)
        shot(page, f"{name}-{scheme}")
        if overflow_px(page) > 0:
            faults.append(f"{name}, {scheme}: {overflow_px(page)} px wider than its window")
        faults += [f"{name}, {scheme}: {violation}" for violation in axe_violations(page, options)]
    return faults
