"use strict";
for (const place of document.querySelectorAll("[data-events]")) {
  const source = new EventSource(place.dataset.events);
  const list = place.querySelector("ol");
  source.onmessage = (event) => {
    const now = JSON.parse(event.data);
    list.replaceChildren(...now.steps.map((words) => Object.assign(document.createElement("li"), { textContent: words })));
    if (now.state !== "running" && now.state !== "keeping") { source.close(); location.reload(); }
  };
}
