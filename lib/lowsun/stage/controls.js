// The controls around the picture: their names, their keys, what is typed, what is folded away.

// The controls are siblings that the page draws before or after this widget.
function onStage(el, ...beginnings) {
  let ends = [];
  const begin = () => {
    const stage = el.closest(".lowsun-stage");
    if (stage) ends = beginnings.map((each) => each(stage));
    return stage !== null;
  };
  const waiting = setInterval(() => begin() && clearInterval(waiting), 50);
  return () => {
    clearInterval(waiting);
    for (const end of ends) end();
  };
}

function watch(stage, mend) {
  const watcher = new MutationObserver(mend);
  watcher.observe(stage, { childList: true, subtree: true });
  mend();
  return () => watcher.disconnect();
}

// Hear events before what they are aimed at does.
function listen(target, heard) {
  for (const [name, each] of Object.entries(heard)) target.addEventListener(name, each, true);
  return () => {
    for (const [name, each] of Object.entries(heard)) target.removeEventListener(name, each, true);
  };
}

// ---- names

function nameAs(element, role, label) {
  const name = label ? label.textContent : "";
  if (element.getAttribute("aria-label") === name) return;
  element.setAttribute("role", role);
  element.setAttribute("aria-label", name);
}

// One group is one name: without it an arrow key does not move among the choices.
function joinRadios(group) {
  const radios = [...group.querySelectorAll("input[type=radio]")];
  if (radios.length === 0 || radios.every((each) => each.name.startsWith("lowsun-"))) return;
  const name = `lowsun-${crypto.getRandomValues(new Uint32Array(2)).join("-")}`;
  for (const each of radios) each.name = name;
}

// The button of a file ends in the number of files: "(0)" tells a player nothing.
function uncount(button) {
  for (const node of button.childNodes)
    if (node.nodeType === Node.TEXT_NODE && / \(\d+\)$/.test(node.data))
      node.data = node.data.replace(/ \(\d+\)$/, "");
}

function keepControlsNamed(stage) {
  return watch(stage, () => {
    for (const slider of stage.querySelectorAll(".widget-hslider"))
      for (const handle of slider.querySelectorAll(".noUi-handle"))
        nameAs(handle, "slider", slider.querySelector(".widget-label"));
    for (const radios of stage.querySelectorAll(".widget-radio")) {
      nameAs(radios, "radiogroup", radios.querySelector(".widget-label"));
      joinRadios(radios);
    }
    for (const button of stage.querySelectorAll(".widget-upload")) uncount(button);
    for (const field of stage.querySelectorAll(".widget-text input")) field.inputMode = "decimal";
  });
}

// ---- keys

// Lab takes every key that reaches its page: letters insert and delete cells, arrows fold sections.
function keepKeys(stage) {
  const hold = (event) => {
    const forThePage = event.ctrlKey || event.metaKey || event.altKey || event.key === "Escape";
    if (!forThePage || stage.classList.contains("lowsun-big")) event.stopPropagation();
  };
  // A question stands outside the stage: Lab leaves alone what is marked so.
  const mark = ({ target }) =>
    target.closest?.(".lowsun-guess") &&
    target.setAttribute("data-lm-suppress-shortcuts", "true");
  stage.addEventListener("keydown", hold);
  document.addEventListener("focusin", mark, true);
  return () => {
    stage.removeEventListener("keydown", hold);
    document.removeEventListener("focusin", mark, true);
  };
}

// ---- sight

// A hand on a control brings the whole picture into sight. A click is let go first: what moved under
// it would lose it. A slider moves across, so it may scroll at once.
function keepPictureInSight(stage) {
  const show = () => {
    const image = stage.querySelector("img.lowsun-picture");
    if (image) image.scrollIntoView({ block: "nearest" });
  };
  const onControls = (event) => event.target.closest?.(".lowsun-controls");
  const heard = {
    focusin: (event) => onControls(event) && event.target.matches(":focus-visible") && show(),
    pointerdown: (event) => event.target.closest?.(".lowsun-controls .noUi-target") && show(),
    click: (event) => onControls(event) && show(),
  };
  return listen(stage, heard);
}

// ---- what is typed beside a slider

// It goes to the kernel as it was typed: the widget's own reading cuts "5,5" at the comma, and moves
// what is out of range to an end without a word.
function sendTyped(stage, model) {
  const named = (node) => node.closest("[class*=lowsun-at-]");
  const readout = (event) => event.target.closest?.(".widget-readout[contenteditable=true]");
  let before = "";
  const begin = (event) => {
    if (readout(event)) before = readout(event).textContent;
  };
  const write = (event) => {
    if (readout(event)) readout(event).dataset.typing = "";
  };
  const end = (event) => {
    const field = readout(event);
    if (!field) return;
    event.stopImmediatePropagation();
    delete field.dataset.typing;
    const text = field.textContent.trim();
    if (text === before) return;
    before = inFigures(text, model.get("decimal"));
    if (before !== text) field.textContent = before;
    const name = [...named(field).classList].find((each) => each.startsWith("lowsun-at-"));
    model.set("typed", { name: name.slice("lowsun-at-".length), text, at: Date.now() });
    model.save_changes();
  };
  const enter = (event) => {
    if (event.key !== "Enter" || !readout(event)) return;
    event.preventDefault();
    end(event);
  };
  const heard = { focusin: begin, input: write, blur: end, keydown: enter };
  return listen(stage, heard);
}

// A slider writes its number with a point: with the sign of the language where no hand is writing.
function keepFigures(stage, model) {
  const sign = model.get("decimal");
  if (sign === ".") return () => {};
  return watch(stage, () => {
    for (const readout of stage.querySelectorAll(".widget-hslider .widget-readout")) {
      if ("typing" in readout.dataset) continue;
      const text = inFigures(readout.textContent, sign);
      if (readout.textContent !== text) readout.textContent = text;
      for (const handle of readout.parentElement.querySelectorAll(".noUi-handle"))
        handle.setAttribute("aria-valuetext", text);
    }
  });
}

function inFigures(text, sign) {
  return /^[-−+]?\d*\.\d+$/.test(text.trim()) ? text.trim().replace(".", sign) : text;
}

// A value between the steps is read as it is; the slider itself would round its number to a step.
function keepReadings(stage, model) {
  const show = () => {
    for (const [name, text] of Object.entries(model.get("readings"))) {
      const readout = stage.querySelector(`.lowsun-at-${name} .widget-readout`);
      if (!readout || readout.textContent === text) continue;
      readout.textContent = text;
      stage.querySelector(`.lowsun-at-${name} .noUi-handle`).setAttribute("aria-valuetext", text);
    }
  };
  model.on("change:readings", show);
  const end = watch(stage, show);
  return () => {
    model.off("change:readings", show);
    end();
  };
}

// ---- what is folded away

function foldSeldom(stage, model) {
  let button = null;
  const fold = (seldom, folded) => {
    seldom.classList.toggle("lowsun-folded", folded);
    button.setAttribute("aria-expanded", String(!folded));
    button.textContent = spoken(model, folded ? "more controls" : "fewer controls");
  };
  const end = watch(stage, () => {
    const seldom = stage.querySelector(".lowsun-seldom");
    if (button) button.hidden = !seldom || seldom.childElementCount === 0;
    if (!seldom || (button && button.nextSibling === seldom)) return;
    if (button) button.remove();
    button = part("button", "lowsun-more jupyter-button", { type: "button" });
    button.onclick = () => fold(seldom, !seldom.classList.contains("lowsun-folded"));
    seldom.before(button);
    fold(seldom, true);
  });
  return () => {
    end();
    if (button) button.remove();
  };
}

// ---- the still of a saved notebook

function hidePoster(name) {
  const posters = [...document.querySelectorAll(`[data-poster="${name}"]`)].map(
    (each) => each.closest(".jp-OutputArea-child") ?? each,
  );
  for (const each of posters) each.style.display = "none";
  return () => posters.forEach((each) => (each.style.display = ""));
}
