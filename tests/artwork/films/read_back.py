"""Films read by another library."""

import numpy as np
from PIL import Image


def tiff_bits(path):
    """Inked pixels of a one-bit TIFF, by Pillow (libtiff)."""
    with Image.open(path) as image:
        assert image.mode == "1"
        return ~np.asarray(image)
