"""A buyer's sentence read into the fields of a request, for a person to look over: nothing is decided by it."""

import re
from calendar import monthrange
from datetime import date

from yard.models import SlabKind
from yard.wood.grades import all_grades
from yard.wood.species import find_species

NUMBERS = {
    "a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8,
    "nine": 9, "ten": 10, "twelve": 12,
}  # fmt: skip
KINDS = {
    "slab": SlabKind.LIVE_EDGE, "board": SlabKind.BOARD, "beam": SlabKind.BEAM, "blank": SlabKind.BLANK,
}  # fmt: skip
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
FIGURES = ("curl", "crotch", "spalt", "quilt", "burl", "bird's eye")
_FIGURE = r"(\d+(?:\.\d+)?)"
_INCH = r"(?:in\b|inch(?:es)?\b|\")"


def request_read(words: str, *, today: date) -> dict[str, str]:
    """What the words seem to say, as the fields of the form take it typed; what is not said is left out.

    >>> read = request_read("two 8/4 walnut slabs over 20 in wide, 8 ft, at 8%, by March", today=date(2025, 11, 25))
    >>> [read[name] for name in ("count", "quarters", "species_key", "slab_kind", "min_width_in", "length_in")]
    ['2', '8', 'black walnut', 'live_edge', '20 in', '8 ft']
    >>> read["target_mc_pct"], read["by_date"]
    ('8', '2026-03-01')
    """
    text = " ".join(words.lower().replace("’", "'").split())
    found: dict[str, str] = {}
    if match := re.search(r"\b(\d{1,2})/4", text):
        found["quarters"] = match[1]
    if match := re.search(_FIGURE + r"\s*(?:bf|board feet|board foot|bd ft)\b", text):
        found["bf_wanted"] = match[1]
    if match := re.search(_FIGURE + r"\s*%(?!\s*waste)", text):
        found["target_mc_pct"] = match[1]
    if match := re.search(_FIGURE + r"\s*% waste", text):
        found["waste_pct"] = match[1]
    if match := re.search(_FIGURE + rf"\s*{_INCH}(?=[^,]*wid)", text) or re.search(rf"over {_FIGURE}\s*{_INCH}", text):
        found["min_width_in"] = f"{match[1]} in"
    if match := re.search(
        _FIGURE + r"\s*(?:ft\b(?! of)|feet\b|foot\b|')", re.sub(r"\d+\s*(?:bf|board f\w+)", "", text)
    ):
        found["length_in"] = f"{match[1]} ft"
    found |= _wood(text) | _grade(text) | _day(text, today)
    if "bf_wanted" not in found:
        found |= _count(text)
    if re.search(r"\b(?:match\w*|bookmatch\w*|pair|set)\b", text):
        found["matched"] = "on"
        found.setdefault("count", "2")
    if "pair" in text.split():
        found["count"] = "2"
    return found


def _wood(text: str) -> dict[str, str]:
    found = {}
    for word, kind in KINDS.items():
        if re.search(rf"\b{word}s?\b", text):
            found["slab_kind"] = str(kind)
    for figure in FIGURES:
        if figure in text:
            found["figure"] = figure
    words = re.findall(r"[a-z']+", text)
    for size in (3, 2, 1):
        for start in range(len(words) - size + 1):
            if name := _species(words[start : start + size]):
                return found | {"species_key": name}
    return found


def _species(words: list[str]) -> str:
    """The plain name of the wood that these words name in full, or whose last word a single one is."""
    if len(" ".join(words)) < 3:
        return ""
    for wood in find_species(" ".join(words)):
        names = (wood.plain_name, wood.common_name, *wood.other_names)
        each = [sorted(re.findall(r"[a-z']+", name.lower())) for name in names]
        if sorted(words) in each or (len(words) == 1 and wood.plain_name.lower().split()[-1] == words[0]):
            return wood.plain_name
    return ""


def _grade(text: str) -> dict[str, str]:
    if match := re.search(r"\bno\.? ?(\d) common|\b(\d) ?common\b", text):
        return {"grade": {"1": "1C", "2": "2AC", "3": "3AC"}.get(match[1] or match[2], "")}
    for row in all_grades():
        if re.search(rf"\b(?:{re.escape(row.key.lower())}|{re.escape(row.name.lower())})\b", text):
            return {"grade": row.key}
    return {}


def _count(text: str) -> dict[str, str]:
    first = re.match(r"(?:i need |we need |i want |wanted:? )?(\d+|[a-z]+)\b(?!\s*(?:/|%|in\b|ft\b))", text)
    if first is None:
        return {}
    number = first[1] if first[1].isdigit() else NUMBERS.get(first[1])
    return {"count": f"{number}"} if number else {}


def _day(text: str, today: date) -> dict[str, str]:
    """By a day of a month, or by a month: its first day, since wood that comes during it is late."""
    if match := re.search(r"\bby (\d{4})-(\d\d)-(\d\d)\b", text):
        return {"by_date": match[0].removeprefix("by ")}
    match = re.search(rf"\bby (?:the )?(?:end of )?(?:(\d{{1,2}})(?:st|nd|rd|th)? )?({'|'.join(MONTHS)})[a-z]*(?: (\d{{4}}))?", text)  # fmt: skip # noqa: E501
    if match is None:
        return {}
    month = MONTHS.index(match[2]) + 1
    year = int(match[3]) if match[3] else today.year
    last = monthrange(year, month)[1]
    number = min(int(match[1]), last) if match[1] else last if "end of" in match[0] else 1
    day = date(year, month, max(1, number))
    if day < today and not match[3]:
        day = day.replace(year=year + 1, day=min(day.day, 28))
    return {"by_date": day.isoformat()}
