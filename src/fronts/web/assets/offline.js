// Whether the shop's server answers, and what this phone holds for it: one line under the bar, whoever noticed. The worker
// says what it met and holds, the stream says whether it still hears; the line unfolds to what is held.

import { make, person } from "./kit.js";

const LOOK = 5000; // milliseconds between two looks for a server that does not answer
const worker = navigator.serviceWorker; // there only on a secure page

const bar = make("details", "reach");
bar.setAttribute("aria-label", "The shop’s server, and what this phone holds for it");
const word = make("summary", "reach-word");
const news = make("span");
news.setAttribute("role", "status");
word.append(news);
const why = make("p");
const list = make("ul", "held-list");
const more = make("div", "reach-more");
more.append(why, list);
bar.append(word, more);
bar.hidden = true;
document.querySelector(".bar").append(bar);

const tell = (act, id) => {
  if (worker && worker.controller) worker.controller.postMessage({ act, id });
};

// --- what is said ---

let silent = false;
let state = { down: false, carries: false, items: [] };

const told = (gone, waits, asks) => {
  const held = [waits && `${waits} held here`, asks && `${asks}${waits ? "" : " held here"} ${asks === 1 ? "asks" : "ask"} you`];
  const parts = held.filter(Boolean).join(", ");
  if (!gone) return parts;
  return `No server: ${parts || (state.carries ? "this phone goes on" : "this may be old")}`;
};
const explained = (gone, waits) => {
  if (!gone) return waits ? "Not on record yet: it is being sent to the shop’s server." : "";
  const alone = "Pages, sums and the open jobs’ plans go on from this phone, as they stood when it last answered.";
  const kept = "A reading is held here, and posted once it is back.";
  return `The shop’s server does not answer. ${state.carries ? `${alone} ${kept}` : "What you see may be old; it comes back by itself."}`;
};

const paint = () => {
  const { down, items } = state;
  const gone = down || silent;
  const waits = items.filter((item) => item.state === "waits").length;
  const line = told(gone, waits, items.length - waits);
  bar.classList.toggle("asks", items.length > waits);
  if (news.textContent !== line) news.textContent = line;
  why.textContent = explained(gone, waits);
  if (!line) bar.open = false;
  if (bar.hidden !== !line) unmoved(() => (bar.hidden = !line));
};

// What is read keeps its place while the line comes and goes above it; at the top of a page it makes room.
const unmoved = (act) => {
  const page = document.querySelector("main");
  const before = page.getBoundingClientRect().top;
  act();
  const by = page.getBoundingClientRect().top - before;
  if (by && scrollY > 0) scrollBy({ top: by, behavior: "instant" });
};

/** The stream to the server speaks, or has gone silent. */
export const reach = (speaks) => {
  if (silent !== speaks) return;
  silent = !speaks;
  tell("look");
  paint();
};

// --- what is held ---

const button = (text, act, id, main) => {
  const made = make("button", main ? "primary" : "", text);
  made.type = "button";
  made.addEventListener("click", () => {
    // A reading is not lost to one tap beside the list.
    if (act === "drop" && !made.dataset.sure) {
      made.dataset.sure = "1";
      made.textContent = "Tap again: it is lost";
      return;
    }
    made.disabled = true;
    tell(act, id);
  });
  return made;
};
const clock = new Intl.DateTimeFormat("en-GB", { hour: "2-digit", minute: "2-digit", day: "numeric", month: "short" });
const reason = (html) => {
  const holder = make("template");
  holder.innerHTML = html;
  const told = holder.content.querySelector(".card [data-input] > div:last-child dd") || holder.content.querySelector(".card .answer");
  return told ? told.textContent : "The shop’s server did not take it.";
};
const row = (item) => {
  const one = make("li", item.state);
  one.append(make("strong", "", item.told.join("; ")), make("span", "held-at", clock.format(item.at)));
  if (item.person !== person) one.append(make("span", "", `${item.person} has to sign in here to post it.`));
  if (item.state !== "waits") one.append(make("p", "", reason(item.why)));
  const acts = make("div", "actions");
  if (item.state === "asks") acts.append(button("Post it as well", "sure", item.id, true));
  if (item.state === "refused") acts.append(button("Try again", "sure", item.id, false));
  acts.append(button("Leave it out", "drop", item.id, false));
  one.append(acts);
  return one;
};

const show = (now) => {
  // What stands as it stood is left alone: a thumb may be on it.
  if (JSON.stringify(now) === JSON.stringify(state)) return;
  // So that the browser makes no room of what is held; some ask the person, so only then.
  if (now.items.length && !state.items.length && navigator.storage && navigator.storage.persist) navigator.storage.persist();
  state = now;
  list.replaceChildren(...state.items.map(row));
  paint();
};

// Unfolded it lies over the page, and a tap beside it folds it.
document.addEventListener("pointerdown", (event) => bar.contains(event.target) || (bar.open = false));
document.addEventListener("keydown", (event) => event.key === "Escape" && (bar.open = false));

const start = async () => {
  worker.addEventListener("message", (event) => show(event.data));
  worker.addEventListener("controllerchange", () => tell("look"));
  addEventListener("online", () => tell("look"));
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && tell("look"));
  setInterval(() => {
    const held = state.items.some((item) => item.state === "waits");
    if (document.visibilityState === "visible" && (state.down || held)) tell("look");
  }, LOOK);
  // The worker of an earlier visit knows what is held, whether or not it can be fetched anew.
  tell("state");
  try {
    const registered = await worker.register("/worker.js");
    tell("state");
    if (registered.sync) await registered.sync.register("held");
  } catch {
    // Shut off: the page works while the server answers.
  }
};
if (worker) start();
