// The picture in the browser. The kernel sends a JPEG and words; this shows them.

const DOING_AFTER_MS = 400; // a short computation needs no notice
const SPOKEN_AFTER_MS = 700; // a screen reader hears where a move ended, not every step of it
const RESIZED_AFTER_MS = 100; // a window being dragged is not drawn for at every step
const CHUNK = 32768; // arguments that one call takes

const AROUND = [
  keepControlsNamed, foldSeldom, keepKeys, keepPictureInSight, sendTyped, keepReadings, keepFigures,
  offerBigView, offerBefore,
];

// The kernel says a page's own words in the language it speaks.
function spoken(model, words) {
  return model.get("words")[words] ?? words;
}

function part(tag, className, attributes = {}) {
  const element = document.createElement(tag);
  element.className = className;
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  return element;
}

// A data address: the page decodes it by itself. A blob's goes round by the browser's main process
// and takes 4 ms longer.
function showFrame(model, image) {
  const bytes = model.get("frame");
  if (!bytes || bytes.byteLength === 0) return;
  image.src = "data:image/jpeg;base64," + base64(bytes);
}

function base64(view) {
  const bytes = new Uint8Array(view.buffer, view.byteOffset, view.byteLength);
  const words = [];
  for (let start = 0; start < bytes.length; start += CHUNK)
    words.push(String.fromCharCode.apply(null, bytes.subarray(start, start + CHUNK)));
  return btoa(words.join(""));
}

// The kernel draws no finer than the page shows.
function tellSize(model, image) {
  let waiting;
  const tell = () => {
    const shown = Math.round(image.clientWidth * window.devicePixelRatio);
    if (shown === 0 || shown === model.get("shown_px")) return;
    model.set("shown_px", shown);
    model.save_changes();
  };
  const watcher = new ResizeObserver(() => {
    clearTimeout(waiting);
    waiting = setTimeout(tell, RESIZED_AFTER_MS);
  });
  watcher.observe(image);
  return () => {
    clearTimeout(waiting);
    watcher.disconnect();
  };
}

function say(element, words) {
  if (element.textContent !== words) element.textContent = words;
  element.hidden = words === "";
}

// Lab fetches another icon for its tab whenever the kernel begins or ends work: 10 ms of every move.
// Without an icon named busy it keeps the one it has; the last stage to leave gives the name back.
function keepTabIcon(el) {
  const [idle, busy] = ["idle", "busy"].map((name) => document.querySelector(`link.${name}.favicon`));
  if (idle && busy) {
    busy.classList.replace("busy", "lowsun-busy");
    busy.rel = "";
    idle.rel = "icon";
  }
  return () => {
    const others = [...document.querySelectorAll(".lowsun-screen")].filter((each) => each !== el);
    const kept = document.querySelector("link.lowsun-busy.favicon");
    if (kept && others.length === 0) kept.classList.replace("lowsun-busy", "busy");
  };
}

function render({ model, el }) {
  const image = part("img", "lowsun-picture", {
    width: model.get("width_px"),
    height: model.get("height_px"),
    decoding: "sync", // or words and picture may change in different frames
  });
  const doing = part("p", "lowsun-doing", { role: "status" });
  const error = part("p", "lowsun-error", { role: "alert" });
  const spoken = part("p", "lowsun-spoken", { "aria-live": "polite" });
  const caution = part("p", "lowsun-caution", { role: "note" });
  let slow, silent;

  const onFrame = () => showFrame(model, image);
  const onError = () => {
    const at = el.closest(".lowsun-stage")?.querySelector(`.lowsun-at-${model.get("error_at")}`);
    if (at) at.after(error);
    else image.after(error);
    say(error, model.get("error"));
  };
  const onSentence = () => {
    image.alt = model.get("sentence");
    clearTimeout(silent);
    silent = setTimeout(() => (spoken.textContent = image.alt), SPOKEN_AFTER_MS);
  };
  const onDoing = () => {
    clearTimeout(slow);
    const words = model.get("doing");
    if (words === "") say(doing, "");
    else slow = setTimeout(() => say(doing, words + " …"), DOING_AFTER_MS);
  };

  const shown = { frame: onFrame, error: onError, sentence: onSentence, doing: onDoing };
  for (const [name, show] of Object.entries(shown)) {
    model.on("change:" + name, show);
    show();
  }
  say(caution, model.get("caution"));
  el.classList.add("lowsun-screen");
  el.append(image, doing, error, spoken, caution);
  const ends = [
    tellSize(model, image),
    keepTabIcon(el),
    hidePoster(model.get("poster")),
    onStage(el, ...AROUND.map((begin) => (stage) => begin(stage, model))),
  ];

  return () => {
    for (const [name, show] of Object.entries(shown)) model.off("change:" + name, show);
    clearTimeout(slow);
    clearTimeout(silent);
    error.remove();
    for (const end of ends) end();
  };
}

export default { render };
