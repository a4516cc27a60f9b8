// What a server cannot do: draw the charts, send only what was changed, and show again what it answered.
"use strict";

// --- Charts: each figure comes as JSON in data-figure, with the page's own colour names in it ----------------

const chartSetting = { displayModeBar: false, responsive: true, scrollZoom: false, showSendToCloud: false, plotlyServerURL: "", displaylogo: false };

function inked(part, style) {           // "var(--ink)" -> the colour it has here and now
  if (typeof part === "string") {
    return part.replace(/var\((--[\w-]+)\)/g, (_, name) => style.getPropertyValue(name).trim());
  }
  if (Array.isArray(part)) return typeof part[0] === "number" && typeof part.at(-1) !== "string" ? part : part.map(p => inked(p, style));
  if (part && typeof part === "object") {
    return Object.fromEntries(Object.entries(part).map(([k, v]) => [k, inked(v, style)]));
  }
  return part;
}

const paper = { getPropertyValue: name => ({ "--leaf": "#fff", "--hair": "#aaa", "--paper": "#fff", "--wood": "#fff" })[name] || "#000" };
let printing = false;

function draw(plot) {
  if (!window.Plotly) return;
  const text = plot.dataset.figure;
  const style = printing ? paper : getComputedStyle(document.documentElement);
  const figure = inked({ ...JSON.parse(text) }, style);
  figure.layout.template = inked(JSON.parse(document.getElementById("chart-template").textContent), style);
  if (printing) Object.assign(figure.layout, { width: 312, height: 230 });   // half a page's width
  if (figure.layout.scene) {
    figure.layout.height = plot.clientHeight;   // a body is as tall as its place, and leaves the wheel to the page
    if (!plot.drawn) plot.addEventListener("wheel", event => event.stopPropagation(), { capture: true, passive: true });
  }
  Plotly.react(plot, figure.data, figure.layout, chartSetting);
  plot.drawn = text;
}

function drawAll(again) {
  for (const plot of document.querySelectorAll(".plot[data-figure]")) {
    if (plot.drawn) plot.classList.add("js-plotly-plot");   // a swap took it away, and by it a chart is known again
    if (again || plot.drawn !== plot.dataset.figure) draw(plot);
  }
}

// --- Forms: only what was touched goes out, so that nobody's unchanged screen undoes another's work ----------

function touched(field) {
  if (field.type === "radio" || field.type === "checkbox") return field.checked !== field.defaultChecked;
  if (field.tagName === "SELECT") return ![...field.options].some(o => o.selected && o.defaultSelected);
  return field.value !== field.defaultValue;
}

const underway = [];                    // names that were sent and not answered yet: put back as it was is a change, too

function keepFor(field) {
  return underway.flat().includes(field.name) || field.name === "revision" || field.type === "hidden" || field.getAttribute("aria-invalid") === "true" || field.dataset.send === "always" || touched(field);
}

document.addEventListener("htmx:config:request", event => {
  const request = event.detail.ctx.request;
  if (!request.form || request.form.id !== "page" || !request.body) return;
  const names = new Set([...request.form.elements].filter(f => f.name && keepFor(f)).map(f => f.name));
  if (request.submitter && request.submitter.name) names.add(request.submitter.name);
  showing = request.submitter?.dataset.show || null;
  for (const name of [...request.body.keys()]) if (!names.has(name)) request.body.delete(name);
  underway.push([...request.body.keys()]);
});

document.addEventListener("htmx:finally:request", event => {
  if (event.detail.ctx.request.form?.id === "page") underway.shift();
});

document.addEventListener("htmx:before:request", event => {   // a queued change goes out with the newest revision
  const request = event.detail.ctx.request;
  const newest = document.querySelector("#page [name=revision]");
  if (newest && request.body && request.body.has && request.body.has("revision")) request.body.set("revision", newest.value);
});

const UNANSWERED = {
  pressed: "<b>✗ Not kept.</b> The workbench does not answer. The button changed nothing; once it answers again, press it once more.",
  typed: "<b>✗ Not kept.</b> The workbench does not answer. What you typed still stands in its field; once it answers again, the next change takes it along.",
  asked: "<b>⚠ The workbench does not answer.</b> What others tick or change meanwhile is not shown until it does.",
};

document.addEventListener("htmx:error", event => {            // no answer at all: the network, or the workbench has stopped
  const request = event.detail.ctx?.request;
  if (!request) return;
  const told = document.querySelector(".unanswered");
  const kind = request.form?.id !== "page" ? "asked" : request.body?.get("do") ? "pressed" : "typed";
  if (told && kind === "asked") return;                       // what was not kept matters more
  told?.remove();
  const note = document.createElement("p");
  note.className = "care unanswered";
  note.setAttribute("role", "alert");
  note.innerHTML = UNANSWERED[kind];
  document.querySelector(".sill")?.before(note);
});

let showing = null;                     // where a button's answer stands, if that is far from the button

function showWhere() {
  const place = showing && !document.querySelector("#page [role=alert]") && document.getElementById(showing);
  showing = null;
  if (!place) return;
  place.scrollIntoView({ block: "center" });
  place.focus({ preventScroll: true });
}

function centreDrawings() {             // a drawing wider than the phone begins at its middle, a schematic at its terminals
  for (const scroller of document.querySelectorAll(".scroll.fit, .scroll.sheet:not(.schematic)")) {
    const mark = scroller.querySelector(".mark");   // a map begins at its scale, unless its mark is farther on
    if (mark) scroller.scrollLeft = Math.max(0, mark.offsetLeft - 0.7 * scroller.clientWidth);
    else if (!scroller.scrollLeft) scroller.scrollLeft = (scroller.scrollWidth - scroller.clientWidth) / 2;
  }
}

// --- Values of parts, turned through the row in which they are sold: by arrow keys in the field, or its slider ---

const E24 = [1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0, 3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1];
const sold = step => Number((E24[(step % 24 + 24) % 24] * 10 ** Math.floor(step / 24)).toPrecision(2));

function turnTo(field, value) {
  field.value = value;
  field.dispatchEvent(new Event("change", { bubbles: true }));
}

function nextSold(value, up) {
  let step = Math.round(24 * Math.log10(value)) + (up ? -3 : 3);
  while (up ? sold(step) < value * 1.001 : sold(step) > value * 0.999) step += up ? 1 : -1;
  return sold(step);
}

function byKey(event) {
  const field = event.target, up = event.key === "ArrowUp";
  if (!(up || event.key === "ArrowDown") || !field.dataset?.turned) return;
  const value = Number(field.value.replace(",", "."));
  if (!(value > 0)) return;                              // 4k7 and the like are the server's to read
  event.preventDefault();
  turnTo(field, nextSold(value, up));
}

function bySlider(event) {
  const slider = event.target, field = document.getElementById(slider.dataset?.turns);
  if (!field) return;
  event.stopImmediatePropagation();                      // the field is what changes
  if (event.type === "change" || !underway.length) turnTo(field, sold(Number(slider.value)));
  else field.value = sold(Number(slider.value));         // shown at once, sent with the next or the last
}

function showAnswer() {                 // a morph leaves typed text alone; show what was made of it
  for (const field of document.querySelectorAll("#page input, #page select, #page textarea")) {
    if (field.type === "radio" || field.type === "checkbox") field.checked = field.defaultChecked;
    else if (field.tagName === "SELECT") {
      for (const option of field.options) if (option.defaultSelected) option.selected = true;
    } else if (field !== document.activeElement && field.value !== field.defaultValue) field.value = field.defaultValue;
  }
}

async function copy(button) {           // browsers lend the clipboard to this machine alone; elsewhere the address is marked
  const says = document.querySelector("[role=status]");
  try {
    await navigator.clipboard.writeText(button.dataset.copy);
    says.textContent = "The link is copied.";
  } catch {
    getSelection().selectAllChildren(button.closest(".link").querySelector(".address"));
    says.textContent = "The link is marked: copy it with your keyboard or a long press.";
  }
}

// --- When ---------------------------------------------------------------------------------------------------

function ready() {
  if (window.Plotly && Plotly.setPlotConfig) Plotly.setPlotConfig(chartSetting);
  drawAll(true);
  centreDrawings();
}

if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", ready); else ready();
document.addEventListener("htmx:after:swap", () => { showAnswer(); drawAll(false); showWhere(); });
document.addEventListener("keydown", byKey);
document.addEventListener("input", bySlider, true);
document.addEventListener("change", bySlider, true);
document.addEventListener("toggle", event => { if (event.target.open) drawAll(false); }, true);
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => drawAll(true));
addEventListener("beforeprint", () => { printing = true; drawAll(true); });
addEventListener("afterprint", () => { printing = false; drawAll(true); });
document.addEventListener("click", event => {
  if (event.target.closest("[data-print]")) print();
  const button = event.target.closest("[data-copy]");
  if (button) copy(button);
});
