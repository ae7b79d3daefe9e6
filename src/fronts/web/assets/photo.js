// Photographs: made small on the phone, sent ahead, and named by the form that posts the reading. Without script the form
// brings the file itself along.
"use strict";
(() => {
  const LONGEST = 1600; // pixels
  const QUALITY = 0.82;
  const MOST = 6;

  document.documentElement.classList.add("scripted");

  const make = (name, text) => {
    const element = document.createElement(name);
    if (text) element.textContent = text;
    return element;
  };
  const camerasOf = (form) => Array.from(form.elements).filter((box) => box.type === "file").map((box) => box.closest(".camera"));
  const shotsOf = (form) => camerasOf(form).flatMap((camera) => Array.from(camera.querySelectorAll(".shots > li")));
  const boxOf = (shot) => shot.closest(".camera").querySelector("input[type=file]");

  // A reading waits for a photograph that cannot be sent now; that it goes without is its sender's to say.
  const offer = (camera) => {
    if (camera.querySelector(".without")) return;
    const go = make("button", "Post without the photograph");
    go.type = "button";
    go.addEventListener("click", () => {
      const { form } = camera.querySelector("input[type=file]");
      for (const shot of shotsOf(form)) shot.remove();
      form.requestSubmit(Array.from(form.elements).find((key) => key.matches("button.primary")));
    });
    const without = make("div");
    without.className = "without";
    without.append(make("p", "You can add it to the reading later: Forms, then “photo”."), go);
    camera.append(without);
  };

  // As it is seen, with nothing of what the camera wrote beside it. A tall side of an odd picture never becomes nothing.
  const small = async (file) => {
    const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
    const by = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
    const canvas = make("canvas");
    canvas.width = Math.max(1, Math.round(picture.width * by));
    canvas.height = Math.max(1, Math.round(picture.height * by));
    const pen = canvas.getContext("2d");
    pen.fillStyle = "#fff";
    pen.fillRect(0, 0, canvas.width, canvas.height);
    pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", QUALITY));
    if (!blob) throw new Error("no blob");
    return { canvas, blob };
  };

  // Its name goes with the form that its camera belongs to.
  const owned = (shot) => {
    const [name, form] = [shot.querySelector("[name]"), boxOf(shot).getAttribute("form")];
    if (name && form) name.setAttribute("form", form);
  };

  const take = async (box, file) => {
    const list = box.closest(".camera").querySelector(".shots");
    const shot = make("li");
    const told = make("span", "Making it small…");
    const off = make("button", "Take it off");
    off.type = "button";
    off.addEventListener("click", () => shot.remove());
    shot.append(told, off);
    list.append(shot);
    const say = (state, text) => {
      shot.dataset.state = state;
      told.textContent = text;
    };
    // Not for its own fault: it can be tried again.
    const unsent = (text) => {
      say("failed", text);
      shot.querySelector("[name]")?.remove();
      if (!shot.querySelector(".again")) {
        const again = make("button", "Send it again");
        again.className = "again";
        again.type = "button";
        again.addEventListener("click", () => {
          again.remove();
          send();
        });
        off.before(again);
      }
      offer(shot.closest(".camera"));
    };
    shot.addEventListener("unheld", (event) => unsent(event.detail));
    say("busy", "Making it small…");
    if (list.children.length > MOST) {
      say("failed", `A reading takes ${MOST} photographs: take one off.`);
      return;
    }
    let made;
    try {
      made = await small(file);
    } catch {
      say("failed", "This is no picture that the phone can read.");
      return;
    }
    made.canvas.setAttribute("role", "img");
    made.canvas.setAttribute("aria-label", "The photograph to be sent");
    shot.prepend(made.canvas);
    const send = async () => {
      say("busy", "Sending…");
      try {
        const answer = await fetch("/photo", {
          method: "POST",
          headers: { "Content-Type": made.blob.type, "X-Card": "1" },
          body: made.blob,
        });
        const text = await answer.text();
        if (answer.status === 422) {
          say("failed", text);
        } else if (!answer.ok) {
          unsent(answer.status === 401 ? "Say who you are first." : "The shop’s server did not take it.");
        } else {
          const name = make("input");
          name.type = "hidden";
          name.name = "form.photo";
          name.value = text;
          shot.append(name);
          owned(shot);
          say("ready", `Goes with the reading: ${Math.max(1, Math.round(made.blob.size / 1000))} kB`);
        }
      } catch {
        unsent("A photograph needs the shop’s server, which does not answer. It is kept here meanwhile.");
      }
      shot.dispatchEvent(new CustomEvent("settled", { bubbles: true }));
    };
    await send();
  };

  document.addEventListener("change", (event) => {
    const box = event.target;
    if (!box.matches(".camera input[type=file]")) return;
    const files = Array.from(box.files);
    // The form names what was sent ahead; the file itself stays here.
    box.value = "";
    for (const file of files) take(box, file);
  });

  // A reading waits for its photographs, and does not go without one that its sender believes to be with it.
  let posted = null; // the form and its photographs
  document.addEventListener(
    "submit",
    (event) => {
      const form = event.target;
      const shots = shotsOf(form);
      const is = (state) => shots.filter((shot) => shot.dataset.state === state);
      const yes = event.submitter && event.submitter.name === "line" && / --sure$/.test(event.submitter.value);
      const card = yes && form.closest(".exchange");
      const kept = card && (card.querySelector(".shots > li") || document.querySelector("#form .shots > li"));
      // That a questioned reading stands is said by its own form, which has the photographs.
      if (kept) {
        event.preventDefault();
        event.stopImmediatePropagation();
        const sure = make("input");
        sure.type = "hidden";
        sure.name = "sure";
        sure.value = "yes";
        const owner = boxOf(kept).form;
        owner.append(sure);
        owner.requestSubmit(Array.from(owner.elements).find((key) => key.matches("button.primary")));
        sure.remove();
        return;
      }
      posted = shots.length ? { form, shots } : null;
      if (!is("busy").length && !is("failed").length) return;
      event.preventDefault();
      event.stopImmediatePropagation();
      const [failed] = is("failed");
      if (failed) {
        failed.scrollIntoView({ block: "center" });
        failed.querySelector("button").focus();
        return;
      }
      const pressed = event.submitter;
      const again = () => {
        if (shotsOf(form).some((shot) => shot.dataset.state === "busy")) return;
        document.removeEventListener("settled", again);
        form.requestSubmit(pressed);
      };
      document.addEventListener("settled", again);
    },
    true,
  );

  // Once it is posted they are kept with that reading, and are none of the next one's; a refused one is mended with them.
  const answered = (card) => {
    const refused = card.matches(".refused, .broken");
    const shots = posted.shots;
    posted = null;
    if (!refused) {
      for (const shot of shots) shot.remove();
      return;
    }
    const list = card.querySelector(".shots");
    const lacks = card.querySelector("[data-input=photograph] div:last-child dd");
    for (const shot of shots) {
      if (list) list.append(shot);
      owned(shot);
      if (lacks) shot.dispatchEvent(new CustomEvent("unheld", { detail: lacks.textContent }));
    }
  };
  new MutationObserver((changes) => {
    const cards = changes.flatMap((change) => Array.from(change.addedNodes)).filter((node) => node.matches?.(".exchange.fresh:not(.unsent)"));
    if (posted && cards.length) answered(cards.at(-1));
  }).observe(document.querySelector("main"), { childList: true, subtree: true });

  // A page that was loaded anew shows none that it no longer has.
  for (const shot of document.querySelectorAll(".shots > li")) shot.remove();
})();
