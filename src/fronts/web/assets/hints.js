// Suggestions while typing: a list under the arrow keys, the thumb or neither; and the lines said before.

import { parsed, person, piece, recall, settled, write } from "./kit.js";

/** Hangs a list of suggestions on a box. `arrows` has the arrow keys while no list is open. */
export const suggest = (box, list, ask, arrows) => {
  let asked = 0;
  box.setAttribute("role", "combobox");
  box.setAttribute("aria-autocomplete", "list");
  box.setAttribute("aria-controls", list.id);
  box.setAttribute("aria-expanded", "false");
  const options = () => Array.from(list.children);
  const chosen = () => options().findIndex((o) => o.getAttribute("aria-selected") === "true");
  const hide = () => {
    asked += 1;
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
  const fill = settled(80, async (mine) => {
    if (mine !== asked) return;
    const html = await piece(ask());
    if (mine !== asked) return;
    list.replaceChildren(parsed(html || ""));
    list.hidden = !list.children.length;
    box.setAttribute("aria-expanded", String(!list.hidden));
    box.removeAttribute("aria-activedescendant");
  });
  const look = () => {
    asked += 1;
    fill(asked);
  };
  const take = (option) => {
    box.value = option.dataset.text;
    hide();
    box.focus();
    box.dispatchEvent(new Event("change", { bubbles: true }));
    if (arrows) look();
  };
  box.addEventListener("input", look);
  list.addEventListener("pointerdown", (event) => event.preventDefault());
  list.addEventListener("click", (event) => {
    const option = event.target.closest("[role=option]");
    if (option) take(option);
  });
  // A tap on the list comes first; and who is back in the box meanwhile goes on.
  box.addEventListener("blur", () => setTimeout(() => document.activeElement !== box && hide(), 150));
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

/** The line box: what is suggested there, and by the arrow keys what was said before. */
export const lineBox = (line) => {
  let past = recall(sessionStorage, `past:${person}`, []);
  let at = past.length;
  const ask = () => `/suggest?${new URLSearchParams({ line: line.value })}`;
  const { hide } = suggest(line, document.getElementById("hints"), ask, (event, step) => {
    const next = at + step;
    if (next < 0 || next > past.length) return;
    event.preventDefault();
    at = next;
    line.value = past[at] || "";
  });
  const remember = (said) => {
    past = past.filter((one) => one !== said).concat(said).slice(-50);
    at = past.length;
    write(sessionStorage, `past:${person}`, JSON.stringify(past));
  };
  return { hide, remember };
};
