// What is wrong with how a page lies in its window. Evaluated in the page; gives sentences.
({ phone }) => {
  const SLACK = 1;       // px that rounding may cost
  const BODY = 0.18;     // share of a text's box above and below its letters
  const TARGET = 44;     // px, on a phone held in gloves
  const found = [];
  const whole = new CSSStyleSheet();  // rows out of sight are laid out too
  whole.replaceSync("* { content-visibility: visible !important }");
  document.adoptedStyleSheets = [whole];
  const tell = (text, what) => found.push(`${what}: ${text.trim().replace(/\s+/g, " ").slice(0, 60)}`);

  if (document.documentElement.scrollWidth > innerWidth)
    found.push(`page scrolls sideways: ${document.documentElement.scrollWidth} px`);

  const shown = (element) => element.checkVisibility({ visibilityProperty: true, opacityProperty: true });
  const scrolls = (element) => {
    for (let it = element; it; it = it.parentElement)
      if (["auto", "scroll"].includes(getComputedStyle(it).overflowX) && it !== document.body) return true;
    return false;
  };
  const apart = (element) => {  // taken out on purpose, such as a skip link before it is focused
    for (let it = element; it; it = it.parentElement) {
      const style = getComputedStyle(it);
      if (["absolute", "fixed", "sticky"].includes(style.position)) return true;
    }
    return false;
  };

  // Words of the page: inside the window, uncut, not upon each other.
  const words = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node; (node = walker.nextNode());) {
    const parent = node.parentElement;
    if (!node.data.trim() || parent.closest("svg, script") || !shown(parent) || apart(parent)) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const box of range.getClientRects()) {
      if (box.width < 1) continue;
      if ((box.left < -SLACK || box.right > innerWidth + SLACK) && !scrolls(parent))
        tell(node.data, "text outside the window");
      words.push({ node, box, top: box.top + BODY * box.height, bottom: box.bottom - BODY * box.height });
    }
    for (let it = parent; it && it !== document.body; it = it.parentElement) {
      const style = getComputedStyle(it);
      const cut = (axis) => ["hidden", "clip"].includes(axis);
      if (cut(style.overflowX) && it.scrollWidth > it.clientWidth + SLACK) tell(node.data, "text cut at its side");
      if (cut(style.overflowY) && it.scrollHeight > it.clientHeight + SLACK) tell(node.data, "text cut below");
    }
  }
  words.sort((a, b) => a.top - b.top);
  words.forEach((one, index) => {
    for (let next = index + 1; next < words.length && words[next].top < one.bottom - SLACK; next++) {
      const other = words[next];
      const across = Math.min(one.box.right, other.box.right) - Math.max(one.box.left, other.box.left);
      if (across > SLACK && one.node !== other.node)
        tell(`${one.node.data.trim().slice(0, 25)} / ${other.node.data.trim().slice(0, 25)}`, "texts overlap");
    }
  });

  // Words of a drawing: as four corners, for some are turned.
  const corners = (text) => {
    const { x, y, width, height } = text.getBBox();
    const toPage = text.getScreenCTM();
    const at = (px, py) => new DOMPoint(px, py).matrixTransform(toPage);
    const top = y + BODY * height, bottom = y + (1 - BODY) * height;
    return [at(x, top), at(x + width, top), at(x + width, bottom), at(x, bottom)];
  };
  const parted = (a, b) => [a, b].some((shape) => shape.some((point, index) => {
    const next = shape[(index + 1) % 4];
    const axis = [point.y - next.y, next.x - point.x];
    const length = Math.hypot(...axis) || 1;
    const span = (it) => it.map((p) => (p.x * axis[0] + p.y * axis[1]) / length);
    const [one, other] = [span(a), span(b)];
    return Math.max(...one) < Math.min(...other) + SLACK || Math.max(...other) < Math.min(...one) + SLACK;
  }));
  for (const drawing of document.querySelectorAll("svg")) {
    const frame = drawing.getBoundingClientRect();
    const texts = [...drawing.querySelectorAll("text")].filter((text) => shown(text) && text.textContent.trim());
    const shapes = texts.map(corners);
    shapes.forEach((shape, index) => {
      const text = texts[index];
      if (shape.some((p) => p.x < frame.left - SLACK || p.x > frame.right + SLACK ||
                            p.y < frame.top - SLACK || p.y > frame.bottom + SLACK))
        tell(text.textContent, "label leaves its drawing");
      if (parseFloat(getComputedStyle(text).fontSize) * text.getScreenCTM().d < 9 && text.getScreenCTM().b === 0)
        tell(text.textContent, "label under 9 px");
      for (let next = index + 1; next < shapes.length; next++)
        if (!parted(shape, shapes[next]))
          tell(`${text.textContent} / ${texts[next].textContent}`, "labels overlap");
    });
  }

  // Targets. A link within a sentence, a list of words or a table's cell follows its text
  // (WCAG 2.2, success criterion 2.5.8, exception "inline").
  if (phone)
    for (const target of document.querySelectorAll("a[href], button, summary")) {
      if (!shown(target) || apart(target) || target.closest("svg")) continue;
      const box = target.getBoundingClientRect();
      const inline = getComputedStyle(target).display === "inline" && !target.closest("nav");
      if (!inline && (box.height < TARGET - SLACK || box.width < TARGET - SLACK))
        tell(target.textContent, `target of ${Math.round(box.width)} x ${Math.round(box.height)} px`);
    }
  return [...new Set(found)];
}
