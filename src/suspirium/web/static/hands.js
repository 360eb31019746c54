// A click on a note chooses it; only what can play it is asked.
import { noteAt } from "./notes.js";
import { wantedWidth } from "./width.js";

const drawn = document.querySelector(".score").dataset.width;
const asked = new URL(location.href);
if (drawn !== wantedWidth() && !asked.searchParams.has("mm")) {
  asked.searchParams.set("mm", wantedWidth());
  location.replace(asked);
}

const note = document.getElementById("note");
const figures = document.querySelector("[data-figures]");

function chosen() {
  const feet = note.selectedOptions[0]?.dataset.pedal === "yes";
  document.querySelector("[data-for=hands]").hidden = feet;
  document.querySelector("[data-for=feet]").hidden = !feet;
  document.querySelectorAll(".chosen").forEach((one) => one.classList.remove("chosen"));
  document.querySelectorAll(`[id="${note.value}"], [id^="${note.value}-"]`).forEach((one) => one.classList.add("chosen"));
}

document.addEventListener("click", (event) => {
  const id = noteAt(event);
  if (!id) return;
  note.value = id;
  chosen();
  document.querySelector("[data-for]:not([hidden]) input, [data-for]:not([hidden]) select").focus();
});
note.addEventListener("change", chosen);
figures.addEventListener("change", () => figures.requestSubmit());
figures.querySelector("button").hidden = true;
chosen();
