// A long list of hymns, shortened as one types; what is chosen stays in sight.
const box = document.querySelector("[data-filter]");
const hymns = [...document.querySelectorAll(".pick")];
const plain = (text) => text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();

if (hymns.length > 8) {
  box.hidden = false;
  box.querySelector("input").addEventListener("input", (event) => {
    const wanted = plain(event.target.value);
    for (const one of hymns) {
      const named = plain(one.querySelector("label").textContent).includes(wanted);
      one.hidden = !named && !one.querySelector("input").checked;
    }
  });
}

// How well it is known and how it is played is asked of the hymns that are chosen.
const about = document.querySelector("template");
function ask(one) {
  const box = one.querySelector("input");
  const asked = one.querySelector(".row");
  if (asked) asked.hidden = !box.checked;
  if (asked || !box.checked) return;
  const row = about.content.cloneNode(true);
  for (const part of row.querySelectorAll("select")) part.id = part.name += box.value;
  for (const part of row.querySelectorAll("label")) part.htmlFor += box.value;
  one.append(row);
}
for (const one of hymns) one.querySelector("input").addEventListener("change", () => ask(one));
hymns.filter((one) => one.querySelector("input").checked).forEach(ask); // a page come back to
