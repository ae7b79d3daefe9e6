// Small things every module needs.

export const person = document.body.dataset.person;

/** A name nobody can guess, for a request. */
export const fresh = () => {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
};

export const parsed = (html) => {
  const holder = document.createElement("template");
  holder.innerHTML = html;
  return holder.content;
};

export const make = (name, className, text) => {
  const element = document.createElement(name);
  if (className) element.className = className;
  if (text) element.textContent = text;
  return element;
};

// Storage may be shut off or full: the page goes on without it.
export const read = (where, key) => {
  try {
    return where.getItem(key);
  } catch {
    return null;
  }
};

export const write = (where, key, value) => {
  try {
    where.setItem(key, value);
    return true;
  } catch {
    return false;
  }
};

/** What was kept as JSON, or the other where there is nothing that can be read. */
export const recall = (where, key, other) => {
  try {
    return JSON.parse(read(where, key) || "null") ?? other;
  } catch {
    return other;
  }
};

/** A piece of the page as the server paints it; nothing where there was no answer. */
export const piece = async (address) => {
  try {
    const answer = await fetch(address, { headers: { "X-Card": "1" } });
    return answer.ok ? await answer.text() : null;
  } catch {
    return null;
  }
};

/** Calls once things have been quiet for so long. */
export const settled = (wait, act) => {
  let timer;
  return (...with_) => {
    clearTimeout(timer);
    timer = setTimeout(() => act(...with_), wait);
  };
};
