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
  const shotsOf = (form) =>
    Array.from(form.elements)
      .filter((box) => box.type === "file")
      .flatMap((box) => Array.from(box.closest(".camera").querySelectorAll(".shots > li")));

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
          say("failed", answer.status === 401 ? "Say who you are first." : "It was not taken.");
          retry();
        } else {
          const name = make("input");
          name.type = "hidden";
          name.name = "form.photo";
          name.value = text;
          if (box.hasAttribute("form")) name.setAttribute("form", box.getAttribute("form"));
          shot.append(name);
          say("ready", `Goes with the reading: ${Math.max(1, Math.round(made.blob.size / 1000))} kB`);
        }
      } catch {
        say("failed", "No answer from the shop’s machine.");
        retry();
      }
      shot.dispatchEvent(new CustomEvent("settled", { bubbles: true }));
    };
    const retry = () => {
      const again = make("button", "Send it again");
      again.type = "button";
      again.addEventListener("click", () => {
        again.remove();
        send();
      });
      off.before(again);
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
  let posted = null;
  document.addEventListener(
    "submit",
    (event) => {
      const form = event.target;
      const shots = shotsOf(form);
      const is = (state) => shots.filter((shot) => shot.dataset.state === state);
      posted = shots.length ? form : null;
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

  // Once it is posted they are kept with that reading, and are none of the next one's.
  const talk = document.getElementById("talk");
  const taken = (node) => node.matches?.(".exchange:not(.unsent, .refused, .broken)");
  if (talk) {
    new MutationObserver((changes) => {
      if (!posted || !changes.some((change) => Array.from(change.addedNodes).some(taken))) return;
      for (const shot of shotsOf(posted)) shot.remove();
      posted = null;
    }).observe(talk, { childList: true });
  }

  // A page that was loaded anew shows none that it no longer has.
  for (const shot of document.querySelectorAll(".shots > li")) shot.remove();
})();
