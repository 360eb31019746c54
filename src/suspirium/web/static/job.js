// How far the work is, until it is over.
import { part } from "./parts.js";

let shown = document.getElementById("job");

async function look() {
  const found = await part(location.pathname);
  if (found) shown.innerHTML = found.html;
  shown = document.getElementById("job");
  const inner = shown.querySelector("[data-state]") ?? shown;
  const state = inner.dataset.state;
  if (state === "done" && inner.dataset.result && !inner.querySelector("li")) {
    location.replace(inner.dataset.result);
  } else if (state === "waiting" || state === "running") {
    setTimeout(look, 400);
  }
}

if (["waiting", "running"].includes(shown.dataset.state)) setTimeout(look, 250);
