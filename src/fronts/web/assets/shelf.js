// Searching the library while typing.

import { parsed, piece, settled } from "./kit.js";

export const seek = (form) => {
  const box = form.elements.namedItem("q");
  const found = document.getElementById("found");
  const news = document.getElementById("found-news");
  let asked = 0;
  const look = async () => {
    const mine = ++asked;
    const query = new URLSearchParams({ q: box.value.trim() });
    const html = await piece(`/library?${query}`);
    if (mine !== asked || html === null) return;
    found.replaceChildren(parsed(html));
    news.textContent = found.querySelector("[data-news]")?.dataset.news || "";
    // What was found is found again on the way back from a page.
    history.replaceState(null, "", box.value.trim() ? `/library?${query}` : "/library");
  };
  box.addEventListener("input", settled(120, look));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    look();
  });
};
