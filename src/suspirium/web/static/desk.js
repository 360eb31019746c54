// What every page has: the choice between dark and paper, and dropping scores anywhere.

const button = document.querySelector("[data-theme-button]");
const dark = matchMedia("(prefers-color-scheme: dark)");

export function isDark() {
  const chosen = localStorage.getItem("theme");
  return chosen ? chosen === "dark" : dark.matches;
}

export function setTheme(theme) {
  localStorage.setItem("theme", theme);
  document.documentElement.dataset.theme = theme;
}

if (button) {
  button.hidden = false;
  button.addEventListener("click", () => setTheme(isDark() ? "paper" : "dark"));
}

const form = document.querySelector("[data-drop]");
if (form) {
  const input = form.querySelector("input[type=file]");
  document.addEventListener("dragover", (event) => event.preventDefault());
  document.addEventListener("drop", (event) => {
    if (!event.dataTransfer?.files.length) return;
    event.preventDefault();
    input.files = event.dataTransfer.files;
    form.requestSubmit();
  });
}
