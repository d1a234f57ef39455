// Runs before the first paint, so that a page that was set to dark never flashes
// white. It is the only script that is no module.
const chosen = (() => {
  try { return localStorage.getItem("theme"); } catch { return null; } // storage may be switched off
})();
if (chosen === "light" || chosen === "dark") document.documentElement.dataset.theme = chosen;
