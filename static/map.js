// The mark on the map of all boxes: set by a tap, drawn with the finger, or moved by the arrow keys.
"use strict";

let moving = false, asking = false, wanted = null;

const land = () => document.getElementById("land");
const mark = () => document.getElementById("mark");
const tries = name => document.getElementById(`try-${name}`);

function ground() { return JSON.parse(land().dataset.ground); }

const along = (low, high, share) => low * (high / low) ** Math.min(1, Math.max(0, share));
const share = (low, high, value) => Math.min(1, Math.max(0, Math.log(value / low) / Math.log(high / low)));

function under(event) {                  // the box that lies under a finger: [Vb, fb], fb null in the strip
  const paper = land().getBoundingClientRect(), edge = ground();
  const x = (event.clientX - paper.left) / paper.width, y = (event.clientY - paper.top) / paper.height;
  const Vb = along(...edge.Vb, (x - edge.left) / (edge.right - edge.left));
  return [Vb, y > (edge.low + edge.strip) / 2 ? null : along(...edge.fb, (edge.low - y) / (edge.low - edge.top))];
}

function tried() {                       // the box where the mark stands
  const field = name => document.querySelector(`#page [name="tried.${name}"]`).value;
  return [Number(field("Vb")), field("fb") ? Number(field("fb")) : null];
}

function place([Vb, fb]) {
  const edge = ground();
  const x = edge.left + share(...edge.Vb, Vb) * (edge.right - edge.left);
  const y = fb === null ? edge.strip : edge.low - share(...edge.fb, fb) * (edge.low - edge.top);
  mark().style.left = `${100 * x}%`;
  mark().style.top = `${100 * y}%`;
  const slider = mark();
  slider.setAttribute("aria-valuenow", Math.round(100 * share(...edge.Vb, Vb)));
}

function go(box) {
  place(box);
  wanted = box;
  if (!asking) ask();
}

async function ask() {                   // one question at a time; the last place always gets its answer
  asking = true;
  while (wanted) {
    const [Vb, fb] = wanted;
    wanted = null;
    try {
      const answer = await fetch(`${land().dataset.at}?Vb=${Vb}${fb === null ? "" : `&fb=${fb}`}`);
      if (answer.ok) show(await answer.json());
    } catch { break; }                   // the workbench does not answer; the next move asks again
  }
  asking = false;
}

function show(box) {
  if (!land()) return;                   // the page went on meanwhile
  document.getElementById("tried").innerHTML = box.html;
  for (const name of ["Vb", "fb"]) {
    tries(name).value = box.typed[name];
    document.querySelector(`#page [name="tried.${name}"]`).value = box[name] ?? "";
  }
  mark().setAttribute("aria-valuetext", box.words.trim());
  const take = document.getElementById("take");
  if (take) take.hidden = !box.takes;
  if (!wanted && !moving) place([box.Vb, box.fb]);
  const address = new URL(location.href);
  address.searchParams.set("Vb", box.typed.Vb);
  address.searchParams.set("fb", box.typed.fb);
  history.replaceState(history.state, "", address);
}

function ready() {                       // what only works with a script is only offered with one
  if (!land()) return;
  for (const name of ["Vb", "fb"]) if (tries(name) !== document.activeElement) tries(name).value = tries(name).defaultValue;
  for (const radio of document.querySelectorAll("#of input")) radio.checked = radio.defaultChecked;
  const slider = mark();
  slider.tabIndex = 0;
  slider.setAttribute("role", "slider");
  slider.setAttribute("aria-label", "The tried box: left and right its air, up and down its tuning");
  slider.setAttribute("aria-valuetext", slider.dataset.words);
  place(tried());
}

const STEPS = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

document.addEventListener("keydown", event => {
  if (event.target.id !== "mark") return;
  let [Vb, fb] = tried();
  if (event.key === "Home") {
    const own = JSON.parse(land().dataset.own);
    if (!own) return;
    [Vb, fb] = own;
  } else if (event.key in STEPS) {
    const [wider, higher] = STEPS[event.key], by = event.shiftKey ? 1.1 : 1.02, edge = ground();
    Vb = Math.min(edge.Vb[1], Math.max(edge.Vb[0], Vb * by ** wider));
    if (fb === null) fb = higher > 0 ? edge.fb[0] : null;
    else if (higher) {
      fb = fb * by ** higher < edge.fb[0] ? null : Math.min(edge.fb[1], fb * by ** higher);
    }
  } else return;
  event.preventDefault();
  go([Vb, fb]);
});

document.addEventListener("pointerdown", event => {
  if (event.target.id !== "mark") return;
  event.preventDefault();
  event.target.setPointerCapture(event.pointerId);
  event.target.focus({ preventScroll: true });
  moving = true;
});
document.addEventListener("pointermove", event => { if (moving) go(under(event)); });
for (const end of ["pointerup", "pointercancel"]) {
  document.addEventListener(end, event => {
    if (!moving) return;
    moving = false;
    if (end === "pointerup") go(under(event));
  });
}
document.addEventListener("click", event => {   // a tap sets the mark
  if (event.target.closest("#land") && event.target.id !== "mark") go(under(event));
});

if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", ready); else ready();
document.addEventListener("htmx:after:swap", ready);
