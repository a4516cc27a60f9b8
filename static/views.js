// The cabinet on the page Views: taken apart by its slider, and a part picked in the body or in the table.
"use strict";

(() => {
  const slider = document.getElementById("apart");
  const plot = document.getElementById("plot-solid");
  if (!slider || !plot) return;
  let whole = null;                     // the traces as they were sent, put together again
  let lit = plot.dataset.lit;

  function sent() {
    const data = JSON.parse(plot.dataset.figure).data;
    const share = Number(slider.defaultValue) / 100;
    for (const trace of data) {
      ["x", "y", "z"].forEach((axis, n) => {
        trace[axis] = trace[axis].map(v => v === null ? null : v - share * trace.meta.move[n]);
      });
    }
    return data;
  }

  function show() {
    whole ||= sent();
    const share = Number(slider.value) / 100;
    const figure = JSON.parse(plot.dataset.figure);
    figure.data = whole.map(trace => {
      const is = trace.meta.part === lit;
      const placed = { ...trace };
      ["x", "y", "z"].forEach((axis, n) => {
        placed[axis] = trace[axis].map(v => v === null ? null : Math.round(10 * (v + share * trace.meta.move[n])) / 10);
      });
      if (!lit) return placed;
      if (trace.type === "mesh3d") return { ...placed, opacity: is ? 1 : 0.18 };
      return { ...placed, opacity: is ? 1 : 0.35, line: { ...trace.line, width: is ? 8 : 2, color: is ? "var(--go)" : trace.line.color } };
    });
    plot.dataset.figure = JSON.stringify(figure);
    drawAll(false);
    slider.defaultValue = slider.value;
    document.querySelector("output[for=apart]").textContent = `${slider.value} %`;
  }

  function pick(name) {
    lit = name === lit ? "" : name;
    for (const row of document.querySelectorAll("tr[data-part]")) {
      const here = row.dataset.part === lit;
      row.classList.toggle("lit", here);
      row.querySelector("a").setAttribute("aria-current", here);
      if (here) document.getElementById("picked").textContent = `${row.cells[0].textContent}, ${row.cells[1].textContent}`;
    }
    if (!lit) document.getElementById("picked").textContent = "No part is picked.";
    show();
  }

  let waiting = 0;
  slider.closest("p").hidden = false;
  slider.addEventListener("input", () => {
    cancelAnimationFrame(waiting);
    waiting = requestAnimationFrame(show);
  });
  document.querySelector("table.parts").addEventListener("click", event => {
    const link = event.target.closest("a.pick");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    pick(link.closest("tr").dataset.part);
  });

  // A press on the body picks the part under it when it is let go, unless it turned the body meanwhile. The
  // library tells of a press at once, and again with each frame that is drawn while it lasts.
  let under = "", from = null, armed = false;
  function settle() {
    const part = under;
    under = "";
    if (!part || !armed) return;
    armed = false;
    setTimeout(() => pick(part));
  }
  plot.addEventListener("pointerdown", event => { from = event; armed = true; under = ""; }, true);
  addEventListener("pointermove", event => {
    if (from && Math.hypot(event.clientX - from.clientX, event.clientY - from.clientY) > 6) armed = false;
  });
  addEventListener("pointerup", () => { from = null; settle(); });
  plot.on("plotly_click", event => {     // bench.js has drawn the body by now
    under = event.points[0].data.meta.part;
    if (!from) settle();
  });
  if (lit) show();
})();
