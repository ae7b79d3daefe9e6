// What script adds to the page. Everything essential works without it.

import { goOn, settle, wake } from "./form.js";
import { lineBox } from "./hints.js";
import { follow } from "./live.js";
import "./photo.js";
import { seek } from "./shelf.js";
import { renew, restore, send, unsent } from "./talk.js";

const line = document.getElementById("line");
const dock = document.getElementById("dock");
const form = document.getElementById("form") || document.getElementById("rows");
const box = line && lineBox(line);

document.addEventListener("submit", (event) => {
  const sent = event.target;
  const to = sent.getAttribute("action");
  if (!["/line", "/form", "/rows"].includes(to)) return;
  event.preventDefault();
  if (sent.dataset.busy) return;
  const fields = new FormData(sent);
  const pressed = event.submitter;
  if (pressed && pressed.name) fields.append(pressed.name, pressed.value);
  const said = sent.dataset.words || String(fields.get("line") || "").trim();
  if (!said) {
    if (sent === dock) unsent();
    return;
  }
  sent.dataset.busy = "1";
  // On a board what is asked for next is answered where it is asked.
  const place = sent.closest("[data-part=next] > .exchange");
  send(to, Array.from(fields), said, place, (card, ok) => {
    if (sent !== form) return;
    // Once it is taken, what is asked for next stands on the card and this form has had its turn; until then the
    // values stand in the form.
    const asked = card.querySelector(".asked");
    if (ok && asked) {
      location.assign("/");
      return;
    }
    if (asked) asked.remove();
    settle(form, card, ok);
  }).finally(() => delete sent.dataset.busy);
  if (sent === dock) {
    box.remember(said);
    line.value = "";
    box.hide();
    renew(dock, "key");
    if (matchMedia("(pointer: coarse)").matches) line.blur();
  }
});

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

document.addEventListener("keydown", goOn);
if (form) wake(form);
const sought = document.getElementById("seek");
if (sought) seek(sought);
if (document.getElementById("talk")) restore();
follow();
