// Before and after: the picture that was held lies over the present one, up to a line that moves.

const LINE_AT = 25; // per cent of the width: through the disc in most pictures

function offerBefore(stage, model) {
  const image = stage.querySelector("img.lowsun-picture");
  const held = part("img", "lowsun-held", { alt: "" });
  const line = part("input", "lowsun-line", { type: "range", min: 0, max: 100, value: LINE_AT });
  line.setAttribute("aria-label", spoken(model, "line between before, at its left, and now"));
  const hold = part("button", "lowsun-hold jupyter-button", { type: "button" });
  const split = () => held.style.setProperty("--line", `${line.value}%`);
  const show = (holding) => {
    held.hidden = line.hidden = !holding;
    hold.textContent = spoken(model, holding ? "let go" : "hold as before");
    hold.setAttribute("aria-pressed", String(holding));
  };
  hold.onclick = () => {
    const holding = held.hidden;
    if (holding) {
      held.src = image.src;
      held.alt = `${spoken(model, "Before:")} ${image.alt}`;
      split();
    }
    show(holding);
  };
  line.oninput = split;
  show(false);
  image.after(held, line);
  const end = watch(stage, () => {
    const buttons = stage.querySelector(".lowsun-buttons");
    if (buttons && hold.parentElement !== buttons) buttons.append(hold);
  });
  return () => {
    end();
    for (const each of [held, line, hold]) each.remove();
  };
}
