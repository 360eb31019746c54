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
