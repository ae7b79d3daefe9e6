// What script adds to the page: cards without a page load, a talk that outlives a reload, suggestions while typing,
// last values in forms. Everything essential works without it.
"use strict";
(() => {
  const person = document.body.dataset.person;
  const talk = document.getElementById("talk");
  const news = document.getElementById("news");
  if (!person || !talk || !news) return;

  const KEPT = 30; // exchanges kept through a reload
  const store = `talk:${person}`;

  const fresh = () => {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
  };
  const parsed = (html) => {
    const holder = document.createElement("template");
    holder.innerHTML = html;
    return holder.content;
  };
  const make = (name, className, text) => {
    const element = document.createElement(name);
    if (className) element.className = className;
    if (text) element.textContent = text;
    return element;
  };

  // Storage may be shut off or full: the page goes on without it.
  const read = (where, key) => {
    try {
      return where.getItem(key);
    } catch {
      return null;
    }
  };
  const write = (where, key, value) => {
    try {
      where.setItem(key, value);
      return true;
    } catch {
      return false;
    }
  };

  // --- the talk ---

  const exchanges = () => Array.from(talk.querySelectorAll(":scope > .exchange:not(.unsent)"));
  const keep = () => {
    let cards = exchanges().slice(-KEPT);
    while (cards.length && !write(sessionStorage, store, cards.map((card) => card.outerHTML).join(""))) {
      cards = cards.slice(Math.ceil(cards.length / 2));
    }
  };
  const restore = () => {
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
      last.scrollIntoView({ block: "start", behavior: "instant" });
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
    const sheet = make("div", "card waiting", "Working it out…");
    card.append(tab, sheet);
    card.setAttribute("aria-busy", "true");
    return card;
  };

  // Sends a form's fields; the same key goes with every try, so a retry is the same request.
  const send = async (to, fields, said, done) => {
    const waiting = holding(said);
    show(waiting);
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
      const card = parsed(html).querySelector(".exchange");
      if (!card) {
        failed("The shop’s machine did not take it. Send it again, or load the page anew.");
        return;
      }
      show(card, waiting);
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

  const line = document.getElementById("line");
  const dock = document.getElementById("dock");
  const form = document.getElementById("form");

  document.addEventListener("submit", (event) => {
    const sent = event.target;
    const to = sent.getAttribute("action");
    if (to !== "/line" && to !== "/form") return;
    event.preventDefault();
    if (sent.dataset.busy) return;
    const fields = new FormData(sent);
    const pressed = event.submitter;
    if (pressed && pressed.name) fields.append(pressed.name, pressed.value);
    const said = sent.dataset.words || String(fields.get("line") || "").trim();
    if (!said) return;
    sent.dataset.busy = "1";
    send(to, Array.from(fields), said, (card, ok) => {
      if (sent !== form) return;
      // Once it is taken, what is asked for next stands on the card and this form has had its turn; until then the
      // values stand in the form.
      const asked = card.querySelector(".asked");
      if (ok && asked) {
        location.assign("/");
        return;
      }
      if (asked) asked.remove();
      settle(card, ok);
    }).finally(() => delete sent.dataset.busy);
    if (sent === dock) {
      remember(said);
      line.value = "";
      hideHints();
      renew(dock, "key");
      if (matchMedia("(pointer: coarse)").matches) line.blur();
    }
  });
  const renew = (where, name) => {
    where.elements.namedItem(name).value = fresh();
  };

  document.addEventListener("click", (event) => {
    const mend = event.target.closest(".mend");
    if (!mend) return;
    const said = mend.closest(".exchange").querySelector(".said .line").textContent;
    if (form && dock.offsetParent === null) {
      form.scrollIntoView();
      return;
    }
    line.value = said;
    line.focus();
  });

  // In a set of readings the keyboard's own key goes on to the next box; only the last one sends.
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !event.target.matches(".boxes input")) return;
    const boxes = Array.from(event.target.closest(".boxes").querySelectorAll("input"));
    const next = boxes[boxes.indexOf(event.target) + 1];
    if (!next) return;
    event.preventDefault();
    next.focus();
  });

  // --- lines said before, by the arrow keys ---

  let past = [];
  try {
    past = JSON.parse(read(sessionStorage, `past:${person}`) || "[]");
  } catch {
    past = [];
  }
  let at = past.length;
  const remember = (said) => {
    past = past.filter((one) => one !== said).concat(said).slice(-50);
    at = past.length;
    write(sessionStorage, `past:${person}`, JSON.stringify(past));
  };

  // --- suggestions: a list under the arrow keys, the thumb or neither ---

  let hideHints = () => {};
  const suggest = (box, list, ask, arrows) => {
    let asked = 0;
    let timer;
    box.setAttribute("role", "combobox");
    box.setAttribute("aria-autocomplete", "list");
    box.setAttribute("aria-controls", list.id);
    box.setAttribute("aria-expanded", "false");
    const options = () => Array.from(list.children);
    const chosen = () => options().findIndex((o) => o.getAttribute("aria-selected") === "true");
    const hide = () => {
      asked += 1;
      clearTimeout(timer);
      list.hidden = true;
      list.replaceChildren();
      box.setAttribute("aria-expanded", "false");
      box.removeAttribute("aria-activedescendant");
    };
    const mark = (index) => {
      options().forEach((option, i) => option.setAttribute("aria-selected", String(i === index)));
      const option = options()[index];
      if (option) box.setAttribute("aria-activedescendant", option.id);
      else box.removeAttribute("aria-activedescendant");
    };
    const fetchHints = async () => {
      const mine = ++asked;
      try {
        const answer = await fetch(ask());
        const html = answer.ok ? await answer.text() : "";
        if (mine !== asked) return;
        list.replaceChildren(parsed(html));
        list.hidden = !list.children.length;
        box.setAttribute("aria-expanded", String(!list.hidden));
        box.removeAttribute("aria-activedescendant");
      } catch {
        hide();
      }
    };
    const look = () => {
      clearTimeout(timer);
      timer = setTimeout(fetchHints, 80);
    };
    const take = (option) => {
      box.value = option.dataset.text;
      hide();
      box.focus();
      box.dispatchEvent(new Event("change", { bubbles: true }));
      if (box === line) look();
    };
    box.addEventListener("input", look);
    list.addEventListener("pointerdown", (event) => event.preventDefault());
    list.addEventListener("click", (event) => {
      const option = event.target.closest("[role=option]");
      if (option) take(option);
    });
    box.addEventListener("blur", () => setTimeout(hide, 150));
    box.addEventListener("keydown", (event) => {
      const down = event.key === "ArrowDown";
      if (list.hidden) {
        if (arrows && (down || event.key === "ArrowUp")) arrows(event, down ? 1 : -1);
        return;
      }
      if (down || event.key === "ArrowUp") {
        event.preventDefault();
        const count = options().length;
        mark((chosen() + (down ? 1 : count) + (chosen() < 0 && !down ? 1 : 0)) % count);
      } else if (event.key === "Enter" && chosen() >= 0) {
        event.preventDefault();
        take(options()[chosen()]);
      } else if (event.key === "Escape") {
        hide();
      }
    });
    return { hide, look };
  };

  if (line) {
    const list = document.getElementById("hints");
    const ask = () => `/suggest?${new URLSearchParams({ line: line.value })}`;
    hideHints = suggest(line, list, ask, (event, step) => {
      const next = at + step;
      if (next < 0 || next > past.length) return;
      event.preventDefault();
      at = next;
      line.value = past[at] || "";
    }).hide;
  }

  // --- a form: last values, more boxes, the whole keyboard, and what was refused ---

  const lasting = new Set(["quantity", "choice", "pick", "whole"]);
  const settle = (card, ok) => {
    renew(form, "form.key");
    for (const box of form.querySelectorAll("[aria-invalid]")) box.removeAttribute("aria-invalid");
    const refused = card.querySelector("[data-input]");
    if (refused) {
      const group = form.querySelector(`.field[data-field="${CSS.escape(refused.dataset.input)}"]`);
      const box = group && group.querySelector("input, select, textarea");
      if (box) box.setAttribute("aria-invalid", "true");
    }
    if (!ok) return;
    const values = {};
    for (const field of form.querySelectorAll(".field")) {
      for (const box of field.querySelectorAll("input, select")) {
        const unit = box.name.startsWith("unit.");
        if (!unit && (!lasting.has(field.dataset.kind) || field.matches("fieldset:not([data-kind=choice])"))) continue;
        if (box.type === "radio" && !box.checked) continue;
        values[box.name] = box.value;
      }
    }
    write(localStorage, `form:${person}:${form.dataset.words}`, JSON.stringify(values));
    // A reading is posted once: its boxes are ready for the next one.
    for (const box of form.querySelectorAll("[data-kind=reading] input[type=text], [data-kind=text] input, textarea")) {
      box.value = "";
    }
  };
  const recall = () => {
    let values;
    try {
      values = JSON.parse(read(localStorage, `form:${person}:${form.dataset.words}`) || "{}");
    } catch {
      return;
    }
    for (const [name, value] of Object.entries(values)) {
      const boxes = Array.from(form.querySelectorAll(`[name="${CSS.escape(name)}"]`));
      const [first] = boxes;
      if (!first) continue;
      if (first.type === "radio") {
        // The engine in play decides a unit before habit does, and so does the line the form was opened with.
        const given = new URLSearchParams(location.search).get("line") !== form.dataset.words;
        if (first.closest("[data-lean]") || given) continue;
        const again = boxes.find((box) => box.value === value);
        if (again) again.checked = true;
      } else if (!first.value) {
        first.value = value;
      }
    }
  };

  if (form) {
    recall();
    for (const more of form.querySelectorAll(".more")) {
      more.hidden = false;
      more.addEventListener("click", () => {
        const boxes = Array.from(more.parentElement.querySelectorAll(":scope > input"));
        let next = boxes.find((box) => box.classList.contains("spare"));
        if (!next) {
          next = boxes.at(-1).cloneNode();
          next.value = "";
          next.setAttribute("aria-label", `${more.closest(".field").dataset.field} ${boxes.length + 1}`);
          more.before(next);
        }
        next.classList.remove("spare");
        next.focus();
      });
    }
    const keyboard = form.querySelector(".keyboard");
    const numeric = Array.from(form.querySelectorAll("[inputmode=decimal], [inputmode=numeric]"));
    if (keyboard && numeric.length) {
      const usual = new Map(numeric.map((box) => [box, box.inputMode]));
      keyboard.hidden = false;
      keyboard.setAttribute("aria-pressed", "false");
      keyboard.addEventListener("click", () => {
        const whole = keyboard.getAttribute("aria-pressed") !== "true";
        keyboard.setAttribute("aria-pressed", String(whole));
        for (const [box, mode] of usual) box.inputMode = whole ? "text" : mode;
      });
    }
    for (const field of form.querySelectorAll("[data-kind=pick]")) {
      const box = field.querySelector("input[list]");
      const list = field.querySelector(".hints");
      if (!box || !list) continue;
      box.removeAttribute("list");
      const ask = () => {
        const query = new URLSearchParams(new FormData(form));
        query.set("form.field", box.name);
        return `/complete?${query}`;
      };
      const { look } = suggest(box, list, ask);
      box.addEventListener("focus", look);
    }
  }

  restore();
})();
