// A code in the address goes into its box and out of the address, so that it stays in no history.
const take = () => {
  const code = location.hash.slice(1);
  const box = document.querySelector("#code");
  if (!code || !box) return;
  box.value = code;
  history.replaceState(null, "", location.pathname + location.search);
  box.form.querySelector("button").focus();
};
take();
// Scanned while this very page is open, a code loads nothing anew.
addEventListener("hashchange", take);
