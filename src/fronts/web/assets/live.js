// A screen that follows the record. The stream says its head; where that is another than the screen was painted at, the
// screen is fetched anew and what changed is put in place: not under a thumb that presses, not over what is being typed.

import { make, parsed } from "./kit.js";
import { reach } from "./offline.js";

const SILENCE = 12000; // the head is said every four seconds
const screen = document.querySelector(".live");

let source;
let heard;
let watch;

const connect = () => {
  source = new EventSource("/live");
  source.addEventListener("head", (event) => {
    heard = Date.now();
    reach(true);
    if (screen && event.data !== screen.dataset.head) renew();
  });
  source.addEventListener("error", () => {
    // The browser tries again by itself, unless it was answered with something else than a stream.
    if (Date.now() - heard > 1500) reach(false);
    if (source.readyState === EventSource.CLOSED) shown().then(again);
  });
};
// Answered, and not with a stream: who is no longer let in is shown the door.
const shown = async () => {
  try {
    const answer = await fetch(location.pathname, { method: "HEAD", redirect: "manual" });
    if (answer.type === "opaqueredirect" || answer.status === 401) location.reload();
  } catch {
    // No answer at all.
  }
};
const again = () => {
  source.close();
  setTimeout(connect, 1000);
};

export const follow = () => {
  heard = Date.now();
  connect();
  watch = setInterval(() => {
    if (Date.now() - heard < SILENCE) {
      if (source.readyState !== EventSource.OPEN && Date.now() - heard > 1500) reach(false);
      return;
    }
    reach(false);
    heard = Date.now() - 2000;
    again();
  }, 1000);
  addEventListener("pagehide", () => {
    clearInterval(watch);
    source.close();
  });
  // A page that comes back out of the browser's memory has heard nothing meanwhile.
  addEventListener("pageshow", (event) => {
    if (event.persisted) location.reload();
  });
  if (screen) for (const part of parts(screen)) served.set(part.dataset.part, part.innerHTML);
};

// --- putting in place what changed ---

const served = new Map();
const parts = (within) => Array.from(within.querySelectorAll("[data-part]"));
let busy = false;
let more = false;
let pressed = false;
addEventListener("pointerdown", () => (pressed = true), true);
for (const end of ["pointerup", "pointercancel"]) addEventListener(end, () => (pressed = false), true);

const released = () =>
  new Promise((done) => {
    const look = () => (pressed ? setTimeout(look, 50) : done());
    look();
  });

const renew = async () => {
  if (busy) {
    more = true;
    return;
  }
  busy = true;
  try {
    const answer = await fetch(location.pathname + location.search);
    if (answer.ok && !answer.redirected) {
      const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector(".live");
      await released();
      if (fresh) place(fresh);
    }
  } catch {
    // The stream tells of a lost connection, and comes back with the head.
  }
  busy = false;
  if (more) {
    more = false;
    renew();
  }
};

// What changes from one painting to the next without being news: the names of requests.
const plain = (html) => html.replace(/\b[0-9a-f]{32}\b/g, "");

const place = (fresh) => {
  screen.dataset.head = fresh.dataset.head;
  const mark = standing();
  for (const part of parts(fresh)) {
    const name = part.dataset.part;
    const here = screen.querySelector(`[data-part="${CSS.escape(name)}"]`);
    if (!here) {
      screen.append(part);
      served.set(name, part.innerHTML);
      continue;
    }
    if (plain(served.get(name) || "") === plain(part.innerHTML)) continue;
    served.set(name, part.innerHTML);
    if (inUse(here)) note(here, part);
    else swap(here, part);
  }
  const names = new Set(parts(fresh).map((part) => part.dataset.part));
  for (const here of parts(screen)) if (!names.has(here.dataset.part) && !inUse(here)) here.remove();
  stay(mark);
};

// Typed in, or answered here: that is the person's own, and stays.
const inUse = (part) => {
  const typed = (box) => box.value !== box.defaultValue && !box.matches("[type=radio], [type=checkbox], [type=hidden]");
  const writing = part.contains(document.activeElement) && document.activeElement.matches("input, textarea");
  return writing || part.querySelector(".exchange:not(.still), .shots > li") || Array.from(part.querySelectorAll("input, textarea")).some(typed);
};

const asks = (part) => part.querySelector("form[data-words]")?.dataset.words;

const note = (here, part) => {
  here.querySelector(".stale")?.remove();
  if (asks(here) === asks(part)) return;
  const stale = make("div", "stale", "What is next has changed meanwhile. What you typed is kept. ");
  const show = make("button", "", "Show what is next now");
  show.type = "button";
  show.addEventListener("click", () => swap(here, part));
  stale.append(show);
  stale.setAttribute("role", "status");
  here.prepend(stale);
};

const swap = (here, part) => {
  for (const drawer of here.querySelectorAll("details[id]")) {
    const other = part.querySelector(`#${CSS.escape(drawer.id)}`);
    if (other) other.open = drawer.open;
  }
  const focused = here.contains(document.activeElement) && path(here, document.activeElement);
  const across = Array.from(here.querySelectorAll(".sheet"), (sheet) => sheet.scrollLeft);
  here.replaceChildren(...Array.from(part.childNodes));
  here.querySelectorAll(".sheet").forEach((sheet, at) => (sheet.scrollLeft = across[at] || 0));
  if (focused) follow_(here, focused)?.focus({ preventScroll: true });
};

// Where an element stands in its part, to find its like in the new one.
const path = (part, element) => {
  const steps = [];
  for (let e = element; e !== part; e = e.parentElement) steps.unshift(Array.from(e.parentElement.children).indexOf(e));
  return steps;
};
const follow_ = (part, steps) => steps.reduce((e, at) => e?.children[at], part);

// The part that stands at the top of what is seen, and how high: it stays there.
const standing = () => {
  const top = document.querySelector(".bar").offsetHeight;
  const part = parts(screen).find((one) => one.getBoundingClientRect().bottom > top + 20);
  return part && { part, top: part.getBoundingClientRect().top };
};
const stay = (mark) => {
  if (!mark || !mark.part.isConnected) return;
  const moved = mark.part.getBoundingClientRect().top - mark.top;
  const box = screen.scrollHeight > screen.clientHeight && getComputedStyle(screen).overflowY === "auto" ? screen : window;
  if (moved) box.scrollBy({ top: moved, behavior: "instant" });
};
