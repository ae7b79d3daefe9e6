// A form: last values, more boxes, the whole keyboard, what was refused, and the result while it is typed.

import { suggest } from "./hints.js";
import { parsed, person, piece, recall, settled, write } from "./kit.js";
import { renew } from "./talk.js";

const lasting = new Set(["quantity", "choice", "pick", "whole"]);

/** A form was answered: the field at fault is marked, or the values are kept for the next time. */
export const settle = (form, card, ok) => {
  renew(form, "form.key");
  for (const box of form.querySelectorAll("[aria-invalid]")) box.removeAttribute("aria-invalid");
  const refused = card.querySelector("[data-input]");
  if (refused) {
    const group = form.querySelector(`.field[data-field="${CSS.escape(refused.dataset.input)}"]`);
    const box = group && group.querySelector("input, select, textarea");
    if (box) box.setAttribute("aria-invalid", "true");
  }
  form.classList.toggle("sent", ok);
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
  const done = "[data-kind=reading] input[type=text], [data-kind=text] input, textarea, .fill input";
  for (const box of form.querySelectorAll(done)) box.value = "";
};

const refill = (form) => {
  const values = recall(localStorage, `form:${person}:${form.dataset.words}`, {});
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

const moreBoxes = (more) => {
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
};

const wholeKeyboard = (form) => {
  const keyboard = form.querySelector(".keyboard");
  const numeric = Array.from(form.querySelectorAll("[inputmode=decimal], [inputmode=numeric]"));
  if (!keyboard || !numeric.length) return;
  const usual = new Map(numeric.map((box) => [box, box.inputMode]));
  keyboard.hidden = false;
  keyboard.setAttribute("aria-pressed", "false");
  keyboard.addEventListener("click", () => {
    const whole = keyboard.getAttribute("aria-pressed") !== "true";
    keyboard.setAttribute("aria-pressed", String(whole));
    for (const [box, mode] of usual) box.inputMode = whole ? "text" : mode;
  });
};

const picks = (form) => {
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
};

// Only what works something out is asked for so; its form says that it does.
const result = (form) => {
  const place = form.querySelector("#result");
  if (!place) return;
  let asked = 0;
  const look = settled(200, async () => {
    const mine = ++asked;
    const html = await piece(`/result?${new URLSearchParams(new FormData(form))}`);
    // A result that no longer belongs to what stands in the boxes is worse than none.
    if (mine === asked) place.replaceChildren(parsed(html || ""));
  });
  form.addEventListener("input", look);
  form.addEventListener("change", look);
  look();
};

// The boxes of a reading get the names that the plan gives them, and word of what stands at their place, once that is said.
// What was typed in them goes along.
const names = (form) => {
  const place = form.querySelector(".readings");
  if (!place) return;
  const boxes = () => Array.from(place.querySelectorAll("input[type=text]"));
  let asked = 0;
  let shown = "";
  const look = settled(200, async () => {
    const mine = ++asked;
    const given = new URLSearchParams(new FormData(form));
    for (const box of place.querySelectorAll("input")) given.delete(box.name);
    const html = await piece(`/boxes?${given}`);
    if (!html || html === shown || mine !== asked) return;
    shown = html;
    const before = boxes();
    const at = before.indexOf(document.activeElement);
    const unit = place.querySelector(":checked");
    place.replaceChildren(parsed(html));
    place.querySelectorAll(".more").forEach(moreBoxes);
    boxes().forEach((box, i) => (box.value = before[i]?.value || box.value));
    const same = unit && place.querySelector(`[type=radio][value="${unit.value}"]`);
    if (same) same.checked = true;
    if (at >= 0) boxes()[at]?.focus();
  });
  for (const kind of ["input", "change"]) {
    form.addEventListener(kind, (event) => place.contains(event.target) || look());
  }
  if (!place.querySelector(".boxes")) look();
};

// A unit that is written in a box holds, whatever key is down beside it: so none is while it stands there.
const writtenUnits = (form) => {
  const lifted = new WeakMap();
  form.addEventListener("input", ({ target }) => {
    const field = target.type === "text" && target.closest(".field");
    const keys = field ? Array.from(field.querySelectorAll('[type=radio][name^="unit."]')) : [];
    if (!keys.length) return;
    const boxes = Array.from(field.querySelectorAll("input[type=text]"));
    const written = boxes.some((box) => /\d\s*[a-z°"'″′%Ωµ]/i.test(box.value));
    const down = keys.find((key) => key.checked);
    if (written && down) {
      lifted.set(field, down);
      down.checked = false;
    } else if (!written && !down && lifted.has(field)) {
      lifted.get(field).checked = true;
    }
  });
};

export const wake = (form) => {
  if (form.id === "form") refill(form);
  for (const kind of ["input", "change"]) form.addEventListener(kind, () => form.classList.remove("sent"));
  names(form);
  writtenUnits(form);
  form.querySelectorAll(".more").forEach(moreBoxes);
  wholeKeyboard(form);
  picks(form);
  result(form);
  // A choice that is made already is seen, not guessed.
  const chosen = form.querySelector(".choices :checked:not([value=''])");
  if (chosen) chosen.closest(".press").scrollIntoView({ block: "nearest", behavior: "instant" });
};

/** In a set of readings the keyboard's own key goes on to the next box; only the last one sends. */
export const goOn = (event) => {
  if (event.key !== "Enter" || !event.target.matches(".boxes input, .fill input")) return;
  const boxes = Array.from(event.target.closest(".boxes, .fill").querySelectorAll("input"));
  const next = boxes[boxes.indexOf(event.target) + 1];
  if (!next) return;
  event.preventDefault();
  next.focus();
};
