#!/usr/bin/env python3
"""Learns what each sign weighs in the search, from the questions that may be looked at and the passages that answer them.

    python3 -m venv venv && venv/bin/pip install -r tests/search/requirements-learn.txt
    cargo test --test all search::                       # writes signs.json
    venv/bin/python tests/search/learn.py                # reads it, writes src/library/lists/weights.txt

What makes an answer sure is told from the passages ranked first, so do both once more when the ranking has changed.
The passages' weights are those under which the passages that answer a question are the likeliest choice among all that were
found for it (a softmax over them, after ListNet); the question's are those of a logistic regression between questions that
are covered and those that are not. It prints how both do on questions left out (five folds), and on whole sets left out,
which is nearer to what a stranger will ask.
"""

import json
import os
import sys
from pathlib import Path

import numpy as np
from scipy.optimize import minimize
from scipy.special import logsumexp
from sklearn.linear_model import LogisticRegression

FOLDS = 5
# How much a question counts that was written to hold a rule, such as that an amount asks for a row of limits.
HELD = {"own": 2.0}
# How strongly the weights are held small: what did best on folds left out.
RANK, SURE = 0.05, 0.1
# Of a question's passages, the best so many are set against each other.
PASSAGES = 100
# The share of questions outside the shelf that may be taken for covered.
CLAIMED = 0.033


class Question:
    def __init__(self, given):
        self.set = given["set"]
        self.outside = given["outside"]
        self.signs = np.array(given["signs"])
        self.passages = np.array([found["signs"] for found in given["found"][:PASSAGES]])
        self.fits = np.array([found["fits"] for found in given["found"][:PASSAGES]], bool)
        # A reader's judgement is stricter than a pattern, and tells neighbouring sections apart.
        answers = np.array([bool(found["answers"]) for found in given["found"][:PASSAGES]], bool)
        self.judged = bool(given["found"]) and given["found"][0]["answers"] is not None and answers.any()
        self.right = answers if self.judged else self.fits


def spread(rows):
    """How far each sign reaches; one that is always the same weighs nothing."""
    spread = rows.std(axis=0)
    spread[spread < 1e-6] = np.inf
    return spread


def learn_rank(questions):
    lists = [q for q in questions if q.right.any() and not q.right.all()]
    far = spread(np.concatenate([q.passages for q in lists]))
    lists = [(q.passages / far, q.right, HELD.get(q.set, 1.0)) for q in lists]
    whole = sum(counts for _, _, counts in lists)

    def loss(weights):
        loss, slope = RANK * weights @ weights, 2 * RANK * weights
        for passages, right, counts in lists:
            scores = passages @ weights
            all_of_them, answering = logsumexp(scores), logsumexp(scores[right])
            loss += counts * (all_of_them - answering) / whole
            slope += counts * np.exp(scores - all_of_them) @ passages / whole
            slope -= counts * np.exp(scores[right] - answering) @ passages[right] / whole
        return loss, slope

    return minimize(loss, np.zeros(len(far)), jac=True, method="L-BFGS-B").x / far


def learn_sure(questions):
    """Weights on the signs as they are, and where they begin."""
    asked = [q for q in questions if len(q.passages)]
    rows = np.array([q.signs for q in asked])
    far = spread(rows)
    fit = LogisticRegression(C=SURE, max_iter=5000, class_weight="balanced")
    fit.fit(rows / far, [not q.outside for q in asked])
    return fit.coef_[0] / far, float(fit.intercept_[0])


def hits(questions, rank):
    """For each question that is covered, whether the first passage fits its pattern, and whether one of three does; the same for
    those that a reader has judged and the passages that answer to them."""
    fits, answers = [], []
    for q in (q for q in questions if not q.outside):
        best = np.argsort(-(q.passages @ rank), kind="stable")[:3] if len(q.passages) else []
        fits.append((q.fits[best[:1]].any(), q.fits[best].any()))
        if q.judged:
            answers.append((q.right[best[:1]].any(), q.right[best].any()))
    return np.array(fits).reshape(-1, 2), np.array(answers).reshape(-1, 2)


def told(all_hits):
    """Shares of several hits, in words."""
    fits, answers = (np.concatenate(part) for part in zip(*all_hits))
    (first, third), judged = fits.mean(axis=0), answers.mean(axis=0) if len(answers) else (np.nan, np.nan)
    return f"hit@1 {first:.3f}, hit@3 {third:.3f}; judged {judged[0]:.3f}, {judged[1]:.3f}"


def sureness(questions, weights, begin):
    return [(q, float(q.signs @ weights + begin) if len(q.passages) else -np.inf) for q in questions]


def folds(questions):
    for fold in range(FOLDS):
        yield ([q for n, q in enumerate(questions) if n % FOLDS != fold],
               [q for n, q in enumerate(questions) if n % FOLDS == fold])


def main() -> None:
    target = Path(os.environ.get("CARGO_TARGET_DIR", "target"))
    given = json.loads(Path(sys.argv[1] if len(sys.argv) > 1 else target / "tmp" / "signs.json").read_text())
    questions = [Question(q) for q in given["questions"]]
    found, sure = [], []
    for known, left_out in folds(questions):
        found.append(hits(left_out, learn_rank(known)))
        sure += sureness(left_out, *learn_sure(known))
    outside = sorted((s for q, s in sure if q.outside), reverse=True)
    edge = outside[int(len(outside) * CLAIMED)]
    covered = np.mean([s > edge for q, s in sure if not q.outside])
    print(f"left out: {told(found)}; covered {covered:.3f} "
          f"where {CLAIMED:.0%} of {len(outside)} outside are claimed")
    sets = []
    for name in sorted({q.set for q in questions if not q.outside}):
        known, left_out = ([q for q in questions if (q.set == name) == so] for so in (False, True))
        sets.append(hits(left_out, learn_rank(known)))
        sure = sureness(left_out, *learn_sure(known))
        covered = np.mean([s > edge for q, s in sure if not q.outside])
        claimed = [s > edge for q, s in sure if q.outside]
        print(f"{name} left out: {told(sets[-1:])}; covered {covered:.3f}, "
              f"claimed {sum(claimed)} of {len(claimed)}")
    print(f"all sets left out: {told(sets)}")
    rank, (weights, begin) = learn_rank(questions), learn_sure(questions)
    lines = [f"rank {sign}: {weight:.4f}" for sign, weight in zip(given["rank"], rank)]
    lines += [f"sure {sign}: {weight:.4f}" for sign, weight in zip(given["sure"], weights)]
    lines.append(f"sure -: {begin - edge:.4f}")
    out = Path(__file__).resolve().parents[2] / "src" / "library" / "lists" / "weights.txt"
    out.write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
