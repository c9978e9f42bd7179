// The presenter's own window: the line to say, the next one, the clock. The audience sees none of it.

const CLOCK_MS = 500;
const LOOK = "margin:0;padding:4vmin;background:#0b0d12;color:#e8e6e1;font-family:sans-serif;";
const SIZES = { now: "9vmin", next: "6vmin", clock: "11vmin" };

// Keys pressed in it do what they do in the big view. Returns {open, close, show}.
function presenterWindow(onKey, model) {
  let shown = null;
  let ticking;
  let lines = ["", ""];

  const words = (name, label) => {
    const line = part("p", `lowsun-presenter-${name}`, { "aria-label": spoken(model, label) });
    line.style.cssText = `margin:0 0 4vmin;font-size:${SIZES[name]};line-height:1.25`;
    shown.document.body.append(line);
  };
  const write = (name, text) => {
    const line = shown?.document.querySelector(`.lowsun-presenter-${name}`);
    if (line && line.textContent !== text) line.textContent = text;
  };
  const show = (now, next) => {
    lines = [now, next];
    write("now", now);
    write("next", next === "" ? "" : `${spoken(model, "Then:")} ${next}`);
  };
  const two = (number) => String(Math.floor(number)).padStart(2, "0");
  const tick = (began) => {
    if (shown.closed) return close();
    const past = (Date.now() - began) / 1000;
    const now = new Date();
    const clock = [now.getHours(), now.getMinutes(), now.getSeconds()].map(two).join(":");
    write("clock", `${clock}   ${two(past / 60)}:${two(past % 60)} ${spoken(model, "gone")}`);
  };
  const close = () => {
    clearInterval(ticking);
    if (shown && !shown.closed) shown.close();
    shown = null;
  };
  const open = () => {
    if (shown && !shown.closed) return shown.focus(), true;
    shown = window.open("", "_blank", "popup,width=760,height=520");
    if (!shown) return false;
    shown.document.title = spoken(model, "For the presenter");
    shown.document.documentElement.lang = model.get("language");
    shown.document.body.style.cssText = LOOK;
    words("now", "what to say now");
    words("next", "what comes then");
    words("clock", "the time, and how much has gone");
    shown.addEventListener("keydown", onKey);
    const began = Date.now();
    ticking = setInterval(() => tick(began), CLOCK_MS);
    tick(began);
    show(...lines);
    return true;
  };
  return { open, close, show };
}
