// The talk: cards without a page load, a talk that outlives a reload.

import { fresh, make, parsed, person, read, write } from "./kit.js";

const talk = document.getElementById("talk");
const news = document.getElementById("news");
const line = document.getElementById("line");
const KEPT = 30; // exchanges kept through a reload
const store = `talk:${person}`;

const exchanges = () => Array.from(talk.querySelectorAll(":scope > .exchange:not(.unsent)"));

const keep = () => {
  let cards = exchanges().slice(-KEPT);
  while (cards.length && !write(sessionStorage, store, cards.map((card) => card.outerHTML).join(""))) {
    cards = cards.slice(Math.ceil(cards.length / 2));
  }
};

export const restore = () => {
  const here = exchanges();
  const known = new Set(here.map((card) => card.dataset.key));
  const before = parsed(read(sessionStorage, store) || "");
  for (const card of Array.from(before.querySelectorAll(".exchange"))) {
    card.classList.remove("fresh");
    if (known.has(card.dataset.key)) card.remove();
  }
  talk.insertBefore(before, here[0] || null);
  for (const card of exchanges()) wake(card);
  const last = exchanges().at(-1);
  if (last) {
    askOnce(last);
    keep();
    if (last.checkVisibility()) last.scrollIntoView({ block: "start", behavior: "instant" });
  }
};

const wake = (card) => {
  const mend = card.querySelector(".mend");
  if (mend && line) mend.hidden = false;
};

// One thing is asked for at a time: the boxes of an earlier card go, so that nothing is posted to a place left behind.
const askOnce = (card) => {
  if (!card.querySelector(".asked")) return;
  for (const old of talk.querySelectorAll(".asked")) if (!card.contains(old)) old.remove();
};

const show = (card, instead) => {
  if (instead) instead.replaceWith(card);
  else talk.append(card);
  askOnce(card);
  wake(card);
  // Where something is asked for, the line that was sent may go out of sight for it.
  (card.querySelector(".asked") ? card.querySelector(".card") : card).scrollIntoView({ block: "start" });
  news.textContent = card.dataset.news || card.textContent.trim().slice(0, 200);
};

const holding = (said) => {
  const card = make("article", "exchange fresh unsent plain");
  const tab = make("p", "said");
  tab.append(make("span", "sayer", person), " ", make("span", "line", said));
  card.append(tab, make("div", "card waiting", "Working it out…"));
  card.setAttribute("aria-busy", "true");
  return card;
};

/** Sends a form's fields; the same key goes with every try, so a retry is the same request. What is answered stands in
    the place of `instead`, or else at the end of the talk. */
export const send = async (to, fields, said, instead, done) => {
  const waiting = holding(said);
  show(waiting, instead);
  const attempt = async () => {
    waiting.className = "exchange fresh unsent plain";
    waiting.querySelector(".card").replaceChildren("Working it out…");
    let answer;
    let html;
    try {
      answer = await fetch(to, { method: "POST", headers: { "X-Card": "1" }, body: new URLSearchParams(fields) });
      html = await answer.text();
    } catch {
      failed("No answer from the shop’s machine. It may or may not have been taken; sending it again never posts it twice.");
      return;
    }
    if (answer.status === 401) {
      location.assign("/door");
      return;
    }
    const pieces = parsed(html);
    const card = pieces.querySelector(".exchange");
    if (!card) {
      failed("The shop’s machine did not take it. Send it again, or load the page anew.");
      return;
    }
    show(card, waiting);
    // Another job may be in hand now.
    const ready = pieces.querySelector(".ready");
    if (ready) document.querySelector("#dock .ready").replaceWith(ready);
    keep();
    done(card, answer.ok);
  };
  const failed = (why) => {
    waiting.className = "exchange fresh unsent broken";
    waiting.removeAttribute("aria-busy");
    const again = make("button", "primary", "Send it again");
    again.type = "button";
    again.addEventListener("click", attempt);
    const row = make("div", "actions");
    row.append(again);
    waiting.querySelector(".card").replaceChildren(make("h2", "answer", "Not answered"), make("p", "", why), row);
    news.textContent = why;
  };
  await attempt();
};

// The key that posts is in sight while its boxes are filled.
talk.addEventListener("focusin", (event) => {
  const asked = event.target.matches("input[type=text]") && event.target.closest(".asked");
  if (asked) asked.scrollIntoView({ block: "nearest" });
});

/** Nothing stands in the line box: where a card has boxes that were filled, its own key is meant. */
export const unsent = () => {
  const asked = Array.from(talk.querySelectorAll(".asked")).at(-1);
  const key = asked && asked.querySelector(".actions .primary");
  if (!key || !Array.from(asked.querySelectorAll("input[type=text]")).some((box) => box.value.trim())) return;
  key.scrollIntoView({ block: "center" });
  key.focus();
  news.textContent = `Nothing is posted yet: ${key.textContent.trim()}`;
};

/** A new name for what a form sends next. */
export const renew = (where, name) => {
  where.elements.namedItem(name).value = fresh();
};
