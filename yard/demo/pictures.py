"""Drawn pictures of wood for the demo: end grain of a log, face grain of a slab."""

import io

import numpy as np
from django.core.files.base import ContentFile
from PIL import Image

SIDE_PX = 900
COLOURS = {
    "walnut-black": ((92, 62, 44), (54, 34, 24)),
    "cherry-black": ((186, 118, 78), (146, 82, 52)),
    "maple-sugar": ((222, 196, 158), (190, 156, 116)),
    "elm-american": ((178, 142, 104), (136, 100, 70)),
    "oak-white": ((188, 156, 112), (146, 114, 76)),
}
PLAIN = ((200, 164, 122), (160, 122, 84))


def end_grain(species_key: str, seed: int) -> ContentFile:
    """The end of a log: rings, a dark heart, bark round it."""
    dice, across = np.random.default_rng(seed), np.linspace(-1, 1, SIDE_PX)
    x, y = np.meshgrid(across, across)
    angle, radius = np.arctan2(y - 0.05, x + 0.04), np.hypot(x + 0.04, y - 0.05)
    wobble = sum(dice.normal(0, 0.02) * np.sin(k * angle + dice.uniform(0, 6)) for k in range(2, 7))
    rings = 0.5 + 0.5 * np.sin((radius + wobble * radius) * 120)
    picture = _mixed(species_key, 0.35 * rings + 0.5 * (radius < 0.5) + 0.05 * dice.standard_normal(x.shape))
    picture[radius + wobble > 0.86] = (70, 58, 50)
    picture[radius + wobble > 0.93] = (206, 212, 206)
    return _file(picture, "log.jpg")


def face_grain(species_key: str, seed: int) -> ContentFile:
    """A slab's face: cathedral grain, live edges, on a grey floor."""
    dice = np.random.default_rng(seed)
    x, y = np.meshgrid(np.linspace(0, 6, SIDE_PX), np.linspace(-1, 1, SIDE_PX // 2))
    bend = sum(dice.normal(0, 0.05) * np.sin(k * x + dice.uniform(0, 6)) for k in (0.7, 1.3, 2.1, 3.4))
    depth = np.hypot(y - bend, 0.12 * (x - 3 + dice.normal(0, 0.5)))
    rings = 0.5 + 0.5 * np.sin(depth * 95 + 2 * bend)
    picture = _mixed(species_key, 0.5 * rings + 0.35 * (depth < 0.62) + 0.05 * dice.standard_normal(x.shape))
    picture[np.abs(y - 0.6 * bend) > 0.8 + 0.04 * np.sin(3 * x + seed)] = (150, 152, 150)
    return _file(picture, "slab.jpg")


def _mixed(species_key: str, dark: np.ndarray) -> np.ndarray:
    light, deep = (np.array(colour, dtype=float) for colour in COLOURS.get(species_key, PLAIN))
    share = np.clip(dark, 0, 1)[..., None]
    return light * (1 - share) + deep * share


def _file(picture: np.ndarray, name: str) -> ContentFile:
    kept = io.BytesIO()
    Image.fromarray(picture.astype(np.uint8)).save(kept, "JPEG", quality=82)
    return ContentFile(kept.getvalue(), name)
