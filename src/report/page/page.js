"use strict";
// Values under the pointer are read from the table behind a chart; a spec can be switched off.
(() => {
  const each = (where, what, done) => where.querySelectorAll(what).forEach(done);

  const reader = (figure) => {
    const drawings = figure.querySelector(".drawings");
    const says = figure.querySelector("output");
    const table = figure.querySelector("table");
    const heads = [...table.tHead.rows[0].cells].map((cell) => cell.textContent);
    const rows = [...table.tBodies[0].rows].filter((row) => row.dataset.at !== undefined);
    if (rows.length === 0) return;
    let now = -1;

    const shown = () => [...drawings.children].find((one) => one.getBoundingClientRect().width > 0);
    const axis = (one) => one.dataset.axis.split(" ").map(Number);
    const place = (index) => Number(rows[index].dataset.at);

    const say = (index) => {
      now = Math.min(Math.max(index, 0), rows.length - 1);
      const cells = [...rows[now].cells].map((cell) => cell.textContent);
      says.textContent = cells.map((cell, i) => (i === 0 ? heads[0] + " " + cell : heads[i] + ": " + cell)).join("  ·  ");
      const one = shown();
      if (!one) return;
      const [left, right, low, high] = axis(one);
      const svg = one.querySelector("svg");
      let line = svg.querySelector(".pointer");
      if (!line) {
        line = document.createElementNS("http://www.w3.org/2000/svg", "rect");
        line.setAttribute("class", "pointer");
        line.setAttribute("fill", "#000");
        line.setAttribute("fill-opacity", "0.08");
        line.setAttribute("y", "0");
        line.setAttribute("height", svg.viewBox.baseVal.height);
        svg.append(line);
      }
      const at = (value) => left + ((right - left) * (value - low)) / (high - low);
      const end = now + 1 < rows.length ? place(now + 1) : high;
      const from = at(Math.max(place(now), low));
      line.setAttribute("x", from);
      line.setAttribute("width", Math.max(at(Math.max(end, place(now))) - from, 1));
    };

    drawings.addEventListener("pointermove", (event) => {
      const one = shown();
      if (!one) return;
      const [left, right, low, high] = axis(one);
      const svg = one.querySelector("svg");
      const box = svg.getBoundingClientRect();
      const x = ((event.clientX - box.left) * svg.viewBox.baseVal.width) / box.width;
      const value = low + ((high - low) * (x - left)) / (right - left);
      if (value < low || value > high) return;
      const after = rows.findIndex((row) => Number(row.dataset.at) > value);
      say(after === 0 || after === -1 ? rows.length - 1 : after - 1);
    });
    drawings.tabIndex = 0;
    drawings.setAttribute("role", "group");
    drawings.setAttribute("aria-label", "Chart: left and right arrow keys read its values");
    drawings.addEventListener("keydown", (event) => {
      const step = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
      if (step === undefined) return;
      event.preventDefault();
      say(now + step);
    });
  };

  each(document, "figure[data-reads]", reader);

  each(document, ".key button", (button) => {
    button.addEventListener("click", () => {
      const on = button.getAttribute("aria-pressed") !== "true";
      button.setAttribute("aria-pressed", String(on));
      each(document, ".spec-" + button.dataset.look, (part) => {
        part.style.display = on ? "" : "none";
      });
    });
  });
})();
