// Between the page and the server. While the server answers, it only carries; when it does not, the module answers in its
// place, and what was posted is held and sent again, once each and in order, when it is back.

const CACHE = "gudgeon";
const SLOW = { GET: 5000, POST: 8000 }; // milliseconds until no answer counts as none
const REST = 4000; // how long a server that did not answer is left in peace
const FRESH = 15000; // how long what is carried is fresh enough

let restUntil = 0;
let freshUntil = 0;
let compiled;

const isDown = () => Date.now() < restUntil;

// --- the server ---

class NoAnswer extends Error {}

const within = (limit, work) => {
  let timer;
  const late = new Promise((_, reject) => {
    timer = setTimeout(() => reject(new NoAnswer("late")), limit);
  });
  return Promise.race([work, late]).finally(() => clearTimeout(timer));
};

// The server's answer; NoAnswer where there is none, or only that of something standing before it.
const ask = async (request, options) => {
  let answer;
  try {
    answer = await within(SLOW[(options && options.method) || request.method || "GET"] || SLOW.GET, fetch(request, options));
  } catch {
    answer = null;
  }
  if (!answer || (answer.status >= 502 && answer.status <= 504)) {
    const was = isDown();
    restUntil = Date.now() + REST;
    if (!was) tellAll();
    throw new NoAnswer("none");
  }
  if (restUntil) {
    restUntil = 0;
    tellAll();
  }
  return answer;
};

// --- what is carried ---

const refresh = async () => {
  const answer = await ask("/carried/record", { headers: { "X-Card": "1" } });
  if (answer.status === 401) {
    await QUEUE.forget("record");
    return;
  }
  if (!answer.ok) return;
  const record = await answer.text();
  const { pages } = JSON.parse(record);
  if ((await QUEUE.carried("pages")) !== pages) {
    const shelf = await ask("/carried/shelf", { headers: { "X-Card": "1" } });
    if (!shelf.ok) return;
    await QUEUE.carry("shelf", await shelf.text());
    await QUEUE.carry("pages", pages);
  }
  await QUEUE.carry("record", record);
  freshUntil = Date.now() + FRESH;
};
const keepFresh = async () => {
  if (Date.now() < freshUntil) return;
  try {
    await refresh();
  } catch {
    // Next time.
  }
};

const phone = async () => {
  const known = await QUEUE.carried("phone");
  if (known) return known;
  const made = Array.from(crypto.getRandomValues(new Uint8Array(8)), (b) => b.toString(16).padStart(2, "0")).join("");
  await QUEUE.carry("phone", made);
  return made;
};

// --- answering in the server's place ---

const page = (status, title, why) => {
  const text = `<!DOCTYPE html><html lang="en-GB"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>${title}</title><link rel="stylesheet" href="${GIVEN.style}"></head><body class="notice-view"><main class="notice"><h1>${title}</h1><p>${why}</p><p><a class="button" href="/">Try again</a></p></main></body></html>`;
  return said(text, status, "text/html; charset=utf-8");
};
const said = (body, status, media) =>
  new Response(body, {
    status,
    headers: { "content-type": media, "content-security-policy": GIVEN.policy, "cache-control": "no-store", "x-offline": "1" },
  });

const module = async () => {
  if (!GIVEN.module) return null;
  compiled ||= (async () => {
    const kept = (await caches.match(GIVEN.module)) || (await fetch(GIVEN.module));
    return WebAssembly.compile(await kept.arrayBuffer());
  })();
  try {
    return await compiled;
  } catch (fault) {
    compiled = undefined;
    throw fault;
  }
};

const alone = async (sent) => {
  const [record, shelf] = [await QUEUE.carried("record"), await QUEUE.carried("shelf")];
  if (!record || !shelf) {
    return page(503, "The shop’s server does not answer", "This phone carries nothing of the shop yet: open the page once where it answers.");
  }
  let ready = null;
  try {
    ready = await module();
  } catch {
    // It is told below.
  }
  if (!ready) {
    return page(503, "The shop’s server does not answer", "Sums and pages need it: this program was built without them for phones.");
  }
  const { person } = JSON.parse(record);
  const before = (await QUEUE.held()).filter((item) => item.person === person && item.state === "waits");
  const asked = { held: before.map((item) => item.sent), sent };
  const input = new TextEncoder().encode(`${JSON.stringify(asked)}\n${record}\n${shelf}\n`);
  const output = await WASI.run(ready, input);
  const end = output.indexOf("\n");
  const told = JSON.parse(output.slice(0, end));
  if (told.hold && sent.method === "POST") {
    await QUEUE.hold({ person, sent, state: "waits", ...told.hold });
    tellAll();
  }
  if (told.to) return Response.redirect(new URL(told.to, self.location.origin), 303);
  return said(output.slice(end + 1), told.status, told.media);
};
let turn = Promise.resolve();
// One at a time, so that the next line knows what the last one held.
const inTurn = (work) => {
  const mine = turn.then(work, work);
  turn = mine.catch(() => {});
  return mine;
};

// --- sending what is held ---

const send = async (item) => {
  const { sent } = item;
  const held = {
    taken: sent.at, sent: Date.now(), phone: await phone(), person: item.person,
    job: item.job, seen: item.seen, judged: item.told.length ? item.judged : null, sure: Boolean(item.sure),
  };
  const answer = await ask(sent.address, {
    method: "POST",
    headers: { "X-Card": "1", "Content-Type": "application/x-www-form-urlencoded", "X-Held": JSON.stringify(held) },
    body: sent.form,
  });
  if (answer.ok) {
    await QUEUE.drop(item.id);
    return "posted";
  }
  // Someone else has to sign in for this one.
  if (answer.status === 401) return "left";
  // Too much at once, or too slow: later.
  if (answer.status >= 500 || answer.status === 429 || answer.status === 408) return "stop";
  const why = await answer.text();
  await QUEUE.change({ ...item, state: answer.status === 409 ? "asks" : "refused", why });
  return "asked";
};
const flush = () =>
  navigator.locks.request("held", async () => {
    let posted = 0;
    for (const item of await QUEUE.held()) {
      if (item.state !== "waits") continue;
      const outcome = await send(item);
      if (outcome === "stop") break;
      if (outcome === "posted") posted += 1;
    }
    if (posted) freshUntil = 0;
    await tellAll();
    await keepFresh();
  });
const waiting = async () => (await QUEUE.held()).some((item) => item.state === "waits");

// --- what the page is told ---

const state = async () => {
  const held = await QUEUE.held();
  const items = held.map(({ id, person, told, state: stands, why, sent }) => {
    const line = new URLSearchParams(sent.form).get("line") || "";
    return { id, person, told: told.length ? told : [line], state: stands, why, at: sent.at };
  });
  return { down: isDown(), carries: Boolean(GIVEN.module), items };
};
const tellAll = async () => {
  const told = await state();
  for (const client of await self.clients.matchAll()) client.postMessage(told);
};

const look = async () => {
  try {
    if (await waiting()) await flush();
    else await refresh();
  } catch {
    // Still no answer.
  }
};

self.addEventListener("message", (event) => {
  const { act, id } = event.data || {};
  const work = async () => {
    if (act === "sure" || act === "drop") {
      const item = (await QUEUE.held()).find((one) => one.id === id);
      if (item && act === "drop") await QUEUE.drop(id);
      if (item && act === "sure") await QUEUE.change({ ...item, state: "waits", sure: true, why: "" });
    }
    if (act !== "state") await look();
    await tellAll();
  };
  event.waitUntil(work());
});

self.addEventListener("install", (event) => {
  const fill = async () => {
    const cache = await caches.open(CACHE);
    await cache.addAll(GIVEN.module ? [...GIVEN.kept, GIVEN.module] : GIVEN.kept);
    await self.skipWaiting();
  };
  event.waitUntil(fill());
});
self.addEventListener("activate", (event) => {
  const tidy = async () => {
    await self.clients.claim();
    const cache = await caches.open(CACHE);
    for (const kept of await cache.keys()) {
      const { pathname } = new URL(kept.url);
      if (!GIVEN.kept.includes(pathname) && pathname !== GIVEN.module) await cache.delete(kept);
    }
    await keepFresh();
  };
  event.waitUntil(tidy());
});
self.addEventListener("sync", (event) => event.waitUntil(look()));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname, search } = new URL(request.url);
  if (origin !== self.location.origin || (request.headers.get("accept") || "").includes("text/event-stream")) return;
  if (GIVEN.kept.includes(pathname)) {
    event.respondWith(caches.match(pathname).then((kept) => kept || fetch(request)));
    return;
  }
  if (!GIVEN.screens.some((screen) => pathname === screen || (screen.endsWith("/") && screen !== "/" && pathname.startsWith(screen)))) {
    if (pathname === "/leave" || (pathname === "/door" && request.method === "POST")) {
      event.waitUntil(QUEUE.forget("record"));
      freshUntil = 0;
    } else if (request.mode === "navigate" && request.method === "GET") {
      const none = () => page(503, "The shop’s server does not answer", "This needs it.");
      event.respondWith(fetch(request).catch(none));
    }
    return;
  }
  const plain = (request.headers.get("content-type") || "").startsWith("application/x-www-form-urlencoded");
  if (request.method !== "GET" && !(request.method === "POST" && plain)) return;

  const answer = async () => {
    const at = Date.now();
    const form = request.method === "POST" ? await request.clone().text() : "";
    try {
      // Who opens a page may have come back into reach; what a page asks by itself waits.
      if (isDown() && request.mode !== "navigate") throw new NoAnswer("down");
      // What was held goes first.
      if (request.method === "POST" && (await waiting())) await flush();
      const told = await ask(request);
      if (request.method === "POST") freshUntil = 0;
      if (request.method === "POST" || request.mode === "navigate") event.waitUntil(keepFresh());
      return told;
    } catch (fault) {
      if (!(fault instanceof NoAnswer)) throw fault;
      const sent = { method: request.method, address: pathname + search, card: request.headers.has("x-card"), form, at };
      return inTurn(() => alone(sent));
    }
  };
  event.respondWith(answer());
});
