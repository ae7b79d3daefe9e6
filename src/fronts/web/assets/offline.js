// The phone by itself: puts the worker in place, and shows whether the server answers and what is held for it.
"use strict";
(() => {
  if (!("serviceWorker" in navigator) || !document.body.dataset.person) return;

  const LOOK = 5000; // milliseconds between two looks for a server that does not answer
  const make = (name, className, text) => {
    const element = document.createElement(name);
    if (className) element.className = className;
    if (text) element.textContent = text;
    return element;
  };
  const person = document.body.dataset.person;
  const bar = make("details", "held");
  bar.setAttribute("aria-label", "Held on this phone");
  const word = make("summary", "held-word");
  const news = make("span");
  news.setAttribute("role", "status");
  word.append(news);
  const list = make("ul", "held-list");
  bar.append(word, list);
  bar.hidden = true;
  (document.querySelector(".demo") || document.querySelector(".bar")).after(bar);

  const tell = (act, id) => {
    const worker = navigator.serviceWorker.controller;
    if (worker) worker.postMessage({ act, id });
  };
  const button = (text, act, id, main) => {
    const made = make("button", main ? "primary" : "", text);
    made.type = "button";
    made.addEventListener("click", () => {
      made.disabled = true;
      tell(act, id);
    });
    return made;
  };
  const clock = new Intl.DateTimeFormat("en-GB", { hour: "2-digit", minute: "2-digit", day: "numeric", month: "short" });
  const why = (html) => {
    const holder = document.createElement("template");
    holder.innerHTML = html;
    const card = holder.content.querySelector(".card");
    const lines = card ? Array.from(card.querySelectorAll("h2, p, dd"), (part) => part.textContent.trim()) : [];
    return lines.filter(Boolean).join(" ") || "The shop’s server did not take it.";
  };

  let last = { down: false, items: [] };
  const show = (state) => {
    // What stands as it stood is left alone: a thumb may be on it.
    if (JSON.stringify(state) === JSON.stringify(last)) return;
    // So that the browser makes no room of what is held; some ask the person, so only then.
    if (state.items.length && !last.items.length && navigator.storage && navigator.storage.persist) navigator.storage.persist();
    last = state;
    const { down, items } = state;
    const waits = items.filter((item) => item.state === "waits").length;
    const asks = items.length - waits;
    const words = [];
    if (down) words.push("The shop’s server does not answer: this phone works by itself.");
    if (waits) words.push(waits === 1 ? "1 is held here, not on record yet." : `${waits} are held here, not on record yet.`);
    if (asks) words.push(asks === 1 ? "1 asks you something." : `${asks} ask you something.`);
    bar.hidden = !words.length;
    bar.classList.toggle("asks", asks > 0);
    if (news.textContent !== words.join(" ")) news.textContent = words.join(" ");
    if (asks) bar.open = true;
    list.replaceChildren(
      ...items.map((item) => {
        const row = make("li", item.state);
        row.append(make("strong", "", item.told.join("; ")), make("span", "held-at", clock.format(item.at)));
        if (item.person !== person) row.append(make("span", "", `${item.person} has to sign in here to post it.`));
        if (item.state !== "waits") row.append(make("p", "", why(item.why)));
        const acts = make("div", "actions");
        if (item.state === "asks") acts.append(button("Post it as well", "sure", item.id, true));
        if (item.state === "refused") acts.append(button("Try again", "sure", item.id, false));
        acts.append(button("Leave it out", "drop", item.id, false));
        row.append(acts);
        return row;
      }),
    );
  };

  navigator.serviceWorker.addEventListener("message", (event) => show(event.data));
  navigator.serviceWorker.addEventListener("controllerchange", () => tell("look"));
  addEventListener("online", () => tell("look"));
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && tell("look"));
  setInterval(() => {
    const held = last.items.some((item) => item.state === "waits");
    if (document.visibilityState === "visible" && (last.down || held)) tell("look");
  }, LOOK);
  const start = async () => {
    // The worker of an earlier visit knows what is held, whether or not it can be fetched anew.
    tell("state");
    try {
      const registered = await navigator.serviceWorker.register("/worker.js");
      tell("state");
      if (registered.sync) await registered.sync.register("held");
    } catch {
      // No secure context, or shut off: the page works while the server answers.
    }
  };
  start();
})();
