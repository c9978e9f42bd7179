// The big view: the picture fills the screen, and keys, or a remote's, do all that is done.

const TOLD_MS = 6000;

// key: [what it asks of the kernel, or of this page, and a number], and what the list of keys says.
const PLAYED = {
  PageDown: ["next", 1], n: ["next", 1], PageUp: ["next", -1], p: ["next", -1],
  ArrowRight: ["step", 1], ArrowLeft: ["step", -1], ArrowUp: ["step", 10], ArrowDown: ["step", -10],
  m: ["main", 1], s: ["keep", 0], " ": ["run", 0], "]": ["pace", 1], "[": ["pace", -1],
  r: ["back", 0], Home: ["reset", 0], 0: ["reset", 0],
};
for (let digit = 1; digit <= 9; digit += 1) PLAYED[digit] = ["state", digit];
const SHOWN = { ".": "black", b: "black", c: "controls", l: "cues", "?": "keys" };
const LISTED = [
  ["Page down, n", "next cue, scene or card"], ["Page up, p", "the one before"],
  ["\u2190 \u2192", "move the main control a step"], ["\u2193 \u2191", "move it ten steps"],
  ["m", "another main control"], ["Space", "let it run by itself; stop it"],
  ["[ ]", "run in half, in twice the time"], ["r", "run back and forth"],
  ["s", "keep this state under the next digit"], ["1 to 9", "go to a kept state"],
  ["Home, 0", "back to where this scene began"], [". or b", "black screen"],
  ["l", "the presenter's line"], ["w", "a window for the presenter alone"],
  ["f", "the whole screen again"], ["c", "the controls"], ["?", "these keys"],
  ["q, Esc", "leave"],
];
const NO_WINDOW = "No second window was allowed here: l shows the line below.";
const OWN = ["Tab", "Enter", " ", "Home", "End"]; // what a control takes for itself, and arrows

function isField(target) {
  return target.matches?.("input[type=text], input[type=date], [contenteditable=true]");
}

function leftToControl(event) {
  if (!event.target.closest?.(".lowsun-controls")) return false;
  if (isField(event.target)) return !["PageDown", "PageUp", "F5", "Escape"].includes(event.key);
  return OWN.includes(event.key) || event.key.startsWith("Arrow");
}

function offerBigView(stage, model) {
  const screen = stage.querySelector(".lowsun-screen");
  const keys = part("dl", "lowsun-keys");
  for (const [key, does] of LISTED) {
    keys.append(part("dt", "")), (keys.lastChild.textContent = spoken(model, key));
    keys.append(part("dd", "")), (keys.lastChild.textContent = spoken(model, does));
  }
  const cue = part("p", "lowsun-cue");
  const told = part("p", "lowsun-told", { role: "status" });
  const card = part("div", "lowsun-card", { "aria-live": "polite" });
  const button = part("button", "lowsun-enlarge jupyter-button", { type: "button" });
  button.textContent = spoken(model, "big view");
  let wide = false;
  let silent;

  const enter = async () => {
    stage.classList.add("lowsun-big");
    stage.tabIndex = -1;
    window.addEventListener("keydown", onKey, true);
    model.set("big", true);
    model.save_changes();
    await widen();
    stage.focus({ preventScroll: true });
  };
  const widen = async () => {
    try {
      await stage.requestFullscreen();
      wide = true;
    } catch {
      wide = false; // the page may not: its window is filled instead
    }
  };
  // A browser ends full screen for a second window: the view then fills its own.
  const openOther = () => {
    wide = false;
    if (!other.open()) say(told, spoken(model, NO_WINDOW));
  };
  const leave = () => {
    if (!stage.classList.contains("lowsun-big")) return;
    stage.classList.remove("lowsun-big", ...Object.values(SHOWN).map((each) => `lowsun-${each}-on`));
    window.removeEventListener("keydown", onKey, true);
    if (document.fullscreenElement === stage) document.exitFullscreen();
    other.close();
    wide = false;
    model.set("big", false);
    model.save_changes();
    button.focus();
  };
  const onLeft = () => wide && document.fullscreenElement === null && leave();
  const toggle = (what) => stage.classList.toggle(`lowsun-${what}-on`);
  const onKey = (event) => {
    if (leftToControl(event)) return; // in the presenter's window there are none
    event.stopImmediatePropagation();
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault(); // F5, which remotes send as "start", loads no page
    if (event.key === "q" || event.key === "Escape") leave();
    else if (event.key === "w") openOther();
    else if (event.key === "f") widen();
    else if (event.key in SHOWN) toggle(SHOWN[event.key]);
    else if (event.key in PLAYED) model.send({ do: PLAYED[event.key][0], value: PLAYED[event.key][1] });
  };
  const other = presenterWindow(onKey, model);
  const onCue = () => {
    say(cue, model.get("cue"));
    other.show(model.get("cue"), model.get("next_cue"));
  };
  const onCard = () => {
    const { title = "", text = "" } = model.get("card");
    card.replaceChildren(part("h2", ""), part("p", ""));
    card.firstChild.textContent = title;
    card.lastChild.textContent = text;
    stage.classList.toggle("lowsun-card-on", title !== "");
  };
  const onTold = () => {
    say(told, model.get("told"));
    clearTimeout(silent);
    silent = setTimeout(() => say(told, ""), TOLD_MS);
  };

  // Where the page may not write to the clipboard, the words stand there to be copied by hand.
  const onCopied = () => {
    if (model.get("copied") > 0) navigator.clipboard?.writeText(model.get("told")).catch(() => {});
  };

  const shown = { cue: onCue, next_cue: onCue, card: onCard, told: onTold, copied: onCopied };
  for (const [name, show] of Object.entries(shown)) {
    model.on(`change:${name}`, show);
    show();
  }
  screen.append(card, cue, told, keys);
  button.onclick = enter;
  const end = watch(stage, () => {
    const buttons = stage.querySelector(".lowsun-buttons");
    if (buttons && button.parentElement !== buttons) buttons.prepend(button);
  });
  document.addEventListener("fullscreenchange", onLeft);
  return () => {
    leave();
    end();
    for (const [name, show] of Object.entries(shown)) model.off(`change:${name}`, show);
    document.removeEventListener("fullscreenchange", onLeft);
    clearTimeout(silent);
    for (const each of [card, cue, told, keys, button]) each.remove();
  };
}
