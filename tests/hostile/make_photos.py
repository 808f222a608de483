"""Photos of a panel on its mat, and the mat, in a folder: 1.jpg, 1.png, 2.jpg, sample-mat.json.

A program of its own, because OpenCV's threads do not go with the forks of `one_run`.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

import cv2

sys.path.append(str(Path(__file__).parents[1] / "photo"))
import photo_samples

if __name__ == "__main__":
    good = Path(sys.argv[1])
    (good / "sample-mat.json").write_text(json.dumps(photo_samples.mat_said()), encoding="utf-8")
    for number, stand in enumerate((photo_samples.LEFT, photo_samples.RIGHT), 1):
        rgb = photo_samples.photograph(stand)
        (good / f"{number}.jpg").write_bytes(photo_samples.jpeg(rgb))
    cv2.imwrite(str(good / "1.png"), rgb[..., ::-1])
