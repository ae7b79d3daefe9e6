#!/usr/bin/env python3
"""Learns what each sign weighs in the search, from the questions that may be looked at and the passages that answer them.

    python3 -m venv venv && venv/bin/pip install -r tests/search/requirements-learn.txt
    cargo test --test all search::                       # writes signs.json
    venv/bin/python tests/search/learn.py                # reads it, writes src/library/lists/weights.txt

What makes an answer sure is told from the passages ranked first, so do both once more when the ranking has changed.
The weights are those of two logistic regressions: one between a passage that answers and one that does not, for one
question; one between questions that are covered and those that are not. It prints how both do on questions left out
(five folds).
"""

import json
import os
import sys
from pathlib import Path

import numpy as np
from sklearn.linear_model import LogisticRegression

FOLDS = 5
# How strongly the weights are held small: what did best on folds left out.
RANK, SURE = 0.02, 0.1
# Of a question's passages, so many that answer and so many that do not are set against each other.
RIGHT, WRONG = 2, 12
# The share of questions outside the shelf that may be taken for covered.
CLAIMED = 0.05


class Question:
    def __init__(self, given):
        self.outside = given["outside"]
        self.signs = np.array(given["signs"])
        self.passages = np.array([found["signs"] for found in given["found"]])
        self.right = np.array([found["good"] for found in given["found"]], bool)

    def pairs(self):
        """What tells a passage that answers from one that does not, both ways round."""
        right, wrong = np.flatnonzero(self.right)[:RIGHT], np.flatnonzero(~self.right)[:WRONG]
        for one in right:
            for other in wrong:
                difference = self.passages[one] - self.passages[other]
                yield difference, 1
                yield -difference, 0


def regression(rows, sides, strength, begin):
    """Weights on the signs as they are, and where they begin."""
    rows = np.array(rows)
    spread = rows.std(axis=0)
    spread[spread < 1e-6] = np.inf
    fit = LogisticRegression(C=strength, fit_intercept=begin, max_iter=5000, class_weight="balanced")
    fit.fit(rows / spread, sides)
    return fit.coef_[0] / spread, float(fit.intercept_[0]) if begin else 0.0


def learn_rank(questions):
    pairs = [pair for q in questions if not q.outside and len(q.passages) for pair in q.pairs()]
    return regression([row for row, _ in pairs], [side for _, side in pairs], RANK, False)[0]


def learn_sure(questions):
    asked = [q for q in questions if len(q.passages)]
    return regression([q.signs for q in asked], [not q.outside for q in asked], SURE, True)


def folds(questions):
    for fold in range(FOLDS):
        yield ([q for n, q in enumerate(questions) if n % FOLDS != fold],
               [q for n, q in enumerate(questions) if n % FOLDS == fold])


def main() -> None:
    target = Path(os.environ.get("CARGO_TARGET_DIR", "target"))
    given = json.loads(Path(sys.argv[1] if len(sys.argv) > 1 else target / "tmp" / "signs.json").read_text())
    questions = [Question(q) for q in given["questions"]]
    first = third = asked = 0
    sure = []
    for known, left_out in folds(questions):
        rank, (weights, begin) = learn_rank(known), learn_sure(known)
        for q in left_out:
            sure.append((q, float(q.signs @ weights + begin) if len(q.passages) else -np.inf))
            if q.outside:
                continue
            asked += 1
            best = q.right[np.argsort(-(q.passages @ rank), kind="stable")[:3]] if len(q.passages) else q.right
            first += bool(best[:1].any())
            third += bool(best.any())
    outside = sorted((s for q, s in sure if q.outside), reverse=True)
    edge = outside[int(len(outside) * CLAIMED)]
    covered = np.mean([s > edge for q, s in sure if not q.outside])
    print(f"left out: hit@1 {first / asked:.3f}, hit@3 {third / asked:.3f} of {asked}; covered {covered:.3f} "
          f"where {CLAIMED:.0%} of {len(outside)} outside are claimed")
    rank, (weights, begin) = learn_rank(questions), learn_sure(questions)
    lines = [f"rank {sign}: {weight:.4f}" for sign, weight in zip(given["rank"], rank)]
    lines += [f"sure {sign}: {weight:.4f}" for sign, weight in zip(given["sure"], weights)]
    lines.append(f"sure -: {begin - edge:.4f}")
    out = Path(__file__).resolve().parents[2] / "src" / "library" / "lists" / "weights.txt"
    out.write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
