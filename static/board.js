// Parts of a crossover board, drawn with the finger or the mouse to where they shall lie.
"use strict";

let held = null;                         // {part, x, y, from, fields} while a part is drawn along

const fieldOf = (part, axis) => document.querySelector(`#page [name="network.board.parts.${CSS.escape(part)}.${axis}"]`);

function there(event, svg) {             // where a finger is, in the drawing's own units
  return new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
}

function take(event) {
  const part = event.target.closest?.("g.part[data-part]");
  const fields = part && ["x", "y"].map(axis => fieldOf(part.dataset.part, axis));
  if (!part || fields.includes(null) || event.button) return;    // parts that are not held find their own places
  event.preventDefault();
  part.setPointerCapture(event.pointerId);
  part.classList.add("drawn");
  held = { part, fields, from: there(event, part.ownerSVGElement) };
}

function draw(event) {
  if (!held) return;
  const now = there(event, held.part.ownerSVGElement);
  held.by = [now.x - held.from.x, now.y - held.from.y];
  held.part.setAttribute("transform", `translate(${held.by[0]} ${held.by[1]})`);
}

function drop(event) {
  if (!held) return;
  const { part, fields, by } = held;
  held = null;
  part.classList.remove("drawn");
  if (event.type === "pointercancel" || !by) { part.removeAttribute("transform"); return; }
  const scale = Number(part.dataset.scale), mm = (start, units) => `${(1000 * (Number(start) + units / scale)).toFixed(1)} mm`;
  fields[0].value = mm(part.dataset.x, by[0]);
  fields[1].value = mm(part.dataset.y, -by[1]);
  fields[0].dispatchEvent(new Event("change", { bubbles: true }));   // both go out, since both are touched
}

document.addEventListener("pointerdown", take);
document.addEventListener("pointermove", draw);
for (const end of ["pointerup", "pointercancel"]) document.addEventListener(end, drop);
