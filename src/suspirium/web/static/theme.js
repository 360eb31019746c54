// The chosen theme before the first paint, so that a dark page never flashes white.
try {
  const chosen = localStorage.getItem("theme");
  if (chosen) document.documentElement.dataset.theme = chosen;
} catch { /* a private window keeps nothing */ }
