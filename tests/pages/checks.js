// Checks that run on the page: each gives a list of faults.

const shown = (element) => {
  const box = element.getBoundingClientRect();
  return box.width > 0 && box.height > 0 && element.checkVisibility();
};
const told = (element) =>
  `<${element.tagName.toLowerCase()}> ${(element.textContent || "").trim().slice(0, 60)}`;
const all = (what) => [...document.querySelectorAll(what)];

// Nothing sticks out of the window.
function overflow() {
  const wide = document.documentElement.scrollWidth;
  if (wide <= innerWidth) return [];
  const out = all("body *").filter((one) => shown(one) && one.getBoundingClientRect().right > innerWidth + 1);
  const free = out.filter((one) => !one.closest(".scroll, pre"));
  return [`${wide} px in ${innerWidth} px`, ...free.slice(0, 5).map(told)];
}

// Every figure shows one drawing, whose letters lie within it and not on one another.
function drawings() {
  const faults = [];
  for (const figure of all("figure")) {
    const folded = figure.closest("details:not([open])");
    const visible = [...figure.querySelectorAll(".drawings > div")].filter(shown);
    if (folded) continue;
    if (visible.length !== 1) faults.push(`${figure.id}: ${visible.length} drawings`);
    for (const drawing of visible) faults.push(...letters(figure.id, drawing.querySelector("svg")));
  }
  return faults;
}

function letters(name, svg) {
  const faults = [];
  const room = svg.getBoundingClientRect();
  const texts = [...svg.querySelectorAll("text")].map((text) => [text, text.getBoundingClientRect()]);
  for (const [text, box] of texts) {
    const inside = box.left >= room.left - 1 && box.right <= room.right + 1 && box.bottom <= room.bottom + 1;
    if (!inside) faults.push(`${name}: "${text.textContent}" leaves its drawing`);
    const size = (parseFloat(text.getAttribute("font-size")) * room.width) / svg.viewBox.baseVal.width;
    if (size < 8.5) faults.push(`${name}: "${text.textContent}" is ${size.toFixed(1)} px`);
  }
  for (const [i, [a, one]] of texts.entries()) {
    for (const [b, two] of texts.slice(i + 1)) {
      const across = Math.min(one.right, two.right) - Math.max(one.left, two.left);
      // Boxes of lines are higher than letters.
      const down = Math.min(one.bottom, two.bottom) - Math.max(one.top, two.top) - 0.35 * one.height;
      if (across > 1 && down > 0) faults.push(`${name}: "${a.textContent}" on "${b.textContent}"`);
    }
  }
  return faults;
}

// Contrast of letters on their ground, by the formulas of WCAG 2.1.
function contrast() {
  const parts = (colour) => colour.match(/[\d.]+/g).map(Number);
  const light = (colour) => {
    const [r, g, b] = parts(colour).map((v) => (v / 255 <= 0.04045 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ground = (element) => {
    for (let one = element; one; one = one.parentElement) {
      const colour = getComputedStyle(one).backgroundColor;
      const alpha = parts(colour)[3];
      if (alpha === undefined || alpha > 0) return colour;
    }
    return "rgb(255, 255, 255)";
  };
  const faults = new Set();
  for (const element of all("body *")) {
    const own = [...element.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim());
    if (!own || !shown(element) || element.closest("script, style, title, desc")) continue;
    const style = getComputedStyle(element);
    const colour = element.closest("svg") ? style.fill : style.color;
    const [a, b] = [light(colour), light(ground(element))].sort((x, y) => y - x);
    const ratio = (a + 0.05) / (b + 0.05);
    if (ratio < 4.5) faults.add(`${ratio.toFixed(2)}: ${told(element)}`);
  }
  return [...faults];
}

// Ids are there once, and what refers to one finds it.
function ids() {
  const seen = new Set();
  const faults = [];
  for (const element of all("[id]")) {
    if (seen.has(element.id)) faults.push(`id ${element.id} twice`);
    seen.add(element.id);
  }
  for (const element of all("[aria-labelledby]")) {
    for (const id of element.getAttribute("aria-labelledby").split(" ")) {
      if (!seen.has(id)) faults.push(`nothing is called ${id}`);
    }
  }
  for (const link of all("a[href^='#']")) {
    if (!seen.has(link.getAttribute("href").slice(1))) faults.push(`${link.href} leads nowhere`);
  }
  for (const fill of all("[fill^='url(']")) {
    const id = fill.getAttribute("fill").slice(5, -1);
    if (!seen.has(id)) faults.push(`no pattern ${id}`);
  }
  return faults;
}

// What can be worked with the pointer, in the order of the page.
const workable = () =>
  all("a[href], button, summary, [tabindex='0']").filter((one) => {
    if (!shown(one)) return false;
    const folded = one.closest("details:not([open])");
    return !folded || one === folded.querySelector("summary");
  });
