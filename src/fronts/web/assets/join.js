// A code in the address goes into its box and out of the address, so that it stays in no history.
const code = location.hash.slice(1);
const box = document.querySelector("#code");
if (code && box) {
  box.value = decodeURIComponent(code);
  history.replaceState(null, "", location.pathname + location.search);
  box.form.querySelector("button").focus();
}
