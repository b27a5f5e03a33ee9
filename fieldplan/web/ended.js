// When the program behind the page has ended nothing can be typed that would be lost, and the page says why.
"use strict";
(() => {
const popup = document.getElementById("popup"); // the page's library shows it while nobody answers
const [ended, what] = popup.children;
popup.setAttribute("role", "alert");
ended.textContent = "fieldplan desk has stopped: nothing can be changed here now.";
what.textContent = "What was typed before is saved. Start it again, and this page comes back by itself.";
new MutationObserver(() => {
  for (const one of document.querySelectorAll(".put-in, .lead .steps")) one.inert = popup.ariaHidden === "false";
}).observe(popup, { attributes: true, attributeFilter: ["aria-hidden"] });
})();
