"use strict";
/* Timers that outlast a reload, a number pad for wet hands, and how far planning is. Every page works without them. */

const KEPT = "stillroom timers";
const make = (tag, words, more = {}) => Object.assign(document.createElement(tag), { textContent: words, ...more });
const place = document.getElementById("timers");

/* Timers: {what, moment, again, minutes, start} in the browser's own store; start is the moment of the tap. */

function timers() {
  try { return JSON.parse(localStorage.getItem(KEPT)) || []; } catch { return []; }
}
function keep(all) {
  try { localStorage.setItem(KEPT, JSON.stringify(all)); } catch { /* no store: it lasts as long as the page */ }
  draw(all);
}
function clock(moment) {
  const date = new Date(moment), hours = date.getHours(), minutes = String(date.getMinutes()).padStart(2, "0");
  if (!document.body.dataset.clock.includes("AM")) return `${String(hours).padStart(2, "0")}:${minutes}`;
  return `${hours % 12 || 12}:${minutes} ${hours < 12 ? "AM" : "PM"}`;
}
function remaining(seconds) {
  const two = (number) => String(number).padStart(2, "0");
  const hours = Math.floor(seconds / 3600), minutes = Math.floor(seconds / 60) % 60;
  return hours ? `${hours}:${two(minutes)}:${two(seconds % 60)}` : `${minutes}:${two(seconds % 60)}`;
}
const end = (timer) => timer.start + timer.minutes * 60000;

function button(words, tapped, name = "") {
  const made = make("button", words, { type: "button", className: name });
  made.addEventListener("click", () => tapped(made));
  return made;
}
function twice(words, sure, done) { /* a wet finger must not end a process */
  return button(words, (made) => {
    if (made.textContent === sure) return done();
    made.textContent = sure;
    setTimeout(() => { made.textContent = words; }, 4000);
  });
}
function draw(all) {
  if (!place) return;
  place.hidden = !all.length;
  place.replaceChildren(...all.map((timer) => {
    const card = make("article", "", { className: "timer" });
    const drop = () => keep(timers().filter((one) => one.start !== timer.start));
    const again = () => { drop(); begin(timer); };
    card.append(
      make("h2", timer.what),
      make("p", "", { className: "left" }),
      make("p", `${timer.moment} at ${clock(timer.start)}. Done at ${clock(end(timer))}.`),
    );
    if (Date.now() >= end(timer)) card.append(button("Stop ringing", drop, "main"));
    else card.append(twice(timer.again || "Start again", "Tap again: start over", again), twice("Remove", "Tap again: remove", drop));
    card.dataset.end = end(timer);
    return card;
  }));
  tick();
}
function begin({ what, moment, again, minutes }) {
  sound();
  keep([...timers(), { what, moment, again, minutes, start: Date.now() }]);
  if (navigator.wakeLock) navigator.wakeLock.request("screen").catch(() => {});
}
let drawn = "";
function tick() {
  let over = 0;
  for (const card of place.children) {
    const left = Math.ceil((card.dataset.end - Date.now()) / 1000);
    card.querySelector(".left").textContent = left > 0 ? remaining(left) : "Time is up";
    card.classList.toggle("over", left <= 0);
    over += left <= 0;
  }
  const state = `${place.children.length} ${over}`;
  if (state !== drawn) { drawn = state; draw(timers()); }
  if (over) ring();
}

/* The ring: made by the browser, which lets a page sound only after it was tapped once. */

let audio = null;
function sound() {
  if (!audio && window.AudioContext) audio = new AudioContext();
  if (audio && audio.state === "suspended") audio.resume().catch(() => {});
}
let rang = 0;
function ring() {
  if (Date.now() - rang < 1500) return;
  rang = Date.now();
  sound();
  if (navigator.vibrate) navigator.vibrate([400, 200, 400]);
  if (!audio || audio.state !== "running") return;
  for (const [after, pitch] of [[0, 880], [0.25, 660], [0.5, 880]]) {
    const tone = audio.createOscillator(), loud = audio.createGain(), at = audio.currentTime + after;
    tone.frequency.value = pitch;
    loud.gain.setValueAtTime(0.5, at);
    loud.gain.exponentialRampToValueAtTime(0.001, at + 0.24);
    tone.connect(loud).connect(audio.destination);
    tone.start(at);
    tone.stop(at + 0.25);
  }
}
if (place) {
  addEventListener("click", (event) => {
    const start = event.target.closest("[data-timer]");
    if (!start) return;
    begin({ ...start.dataset, minutes: Number(start.dataset.timer) });
    place.scrollIntoView({ block: "nearest" });
  });
  draw(timers());
  setInterval(tick, 500);
  addEventListener("storage", (event) => { if (event.key === KEPT) draw(timers()); });
  addEventListener("pointerdown", () => { if (timers().length) sound(); });
}

/* The number pad: on a screen that is touched, in place of its small keyboard. */

let typing = null;
const pad = make("div", "", { className: "pad", hidden: true });
pad.setAttribute("role", "group");
pad.setAttribute("aria-label", "Number pad");
for (const key of ["7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0", "\u232b"]) {
  const made = button(key, () => {
    if (!typing) return;
    typing.value = key === "\u232b" ? typing.value.slice(0, -1) : typing.value + key;
    typing.dispatchEvent(new Event("input", { bubbles: true }));
  });
  if (key === "\u232b") made.setAttribute("aria-label", "Delete the last digit");
  made.tabIndex = -1;
  made.addEventListener("pointerdown", (event) => event.preventDefault());
  pad.append(made);
}
function open(field) {
  typing = field;
  field.closest("label").after(pad);
  pad.hidden = false;
}
const touches = matchMedia("(any-pointer: coarse)").matches;
addEventListener("focusin", (event) => { if (touches && event.target.matches("[data-pad]")) open(event.target); });
addEventListener("toggle", (event) => {
  const field = event.target.open && event.target.querySelector(".line [data-pad]");
  if (field) field.focus();
}, true);

/* The unit of what is chosen. */

const own = document.querySelector("[data-own-unit]");
let tapped = 0;
addEventListener("pointerdown", () => { tapped = Date.now(); });
function unit() {
  if (!own) return;
  const chosen = document.querySelector("input:checked + span [data-unit]");
  if (chosen) own.textContent = chosen.dataset.unit;
  for (const tile of document.querySelectorAll(".units .tile")) {
    const value = tile.querySelector("input").value;
    tile.hidden = value && value === own.textContent;
    if (tile.querySelector("input").checked) document.querySelector("[data-unit-shown]").textContent = value || own.textContent;
  }
}
addEventListener("change", (event) => {
  unit();
  const open = touches && document.querySelector("[data-pad=open]"); /* by keyboard, one moves on by oneself */
  if (open && event.target.name === "name" && Date.now() - tapped < 1000) open.closest("form").querySelector(".main").scrollIntoView({ block: "end" });
});
unit();

/* How far planning is. */

for (const shown of document.querySelectorAll("[data-events]")) {
  const source = new EventSource(shown.dataset.events);
  const list = shown.querySelector("ol");
  source.onmessage = (event) => {
    const now = JSON.parse(event.data);
    list.replaceChildren(...now.steps.map((words) => make("li", words)));
    if (now.state !== "running" && now.state !== "keeping") { source.close(); location.reload(); }
  };
}

/* Once it is here: the page as it was sent has none of what needs this script. */

function prepare() {
  for (const start of document.querySelectorAll("[data-timer]")) start.hidden = false;
  for (const words of document.querySelectorAll("[data-no-script]")) words.hidden = true;
  for (const field of touches ? document.querySelectorAll("[data-pad]") : []) {
    field.inputMode = "none";
    if (field.dataset.pad === "open") open(field);
  }
}
prepare();

/* What nobody is typing on is fetched again: when a step begins or ends, and every two minutes; the timers stay. */

let touched = Date.now(), fetched = Date.now();
for (const event of ["pointerdown", "keydown", "input"]) addEventListener(event, () => { touched = Date.now(); });
addEventListener("pageshow", (event) => { if (event.persisted) location.reload(); });
function wait() {
  const next = document.querySelector("[data-next]");
  return Math.min(120, next ? Number(next.dataset.next) : 120) * 1000;
}
function isTyped(field) {
  return field.type === "radio" ? field.checked !== field.defaultChecked : field.value !== field.defaultValue;
}
async function again() {
  fetched = Date.now();
  const answer = await fetch(location.pathname).catch(() => null);
  if (!answer || !answer.ok) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("timers");
  if (!fresh) return location.reload();
  while (place.nextSibling) place.nextSibling.remove();
  while (fresh.nextSibling) place.parentNode.append(fresh.nextSibling);
  prepare();
}
setInterval(() => {
  const soon = document.querySelector("[data-soon], #undone:target"); /* on its way into the workbook */
  const busy = document.querySelector("main details[open], [data-events], [role=alert]");
  const typed = [...document.querySelectorAll("input:not([type=hidden])")].some(isTyped);
  const idle = Date.now() - touched > (soon ? 3000 : 60000), due = Date.now() - fetched > (soon ? 3000 : wait());
  if (place && idle && due && !busy && !typed) again();
}, 1000);
