// Every piece of text with its box on the page, its colour and its opacity; then the text is
// made invisible, so that a picture shows what lies behind it.
() => {
  const found = [];
  const shown = (element) => element.checkVisibility({ visibilityProperty: true, opacityProperty: true });
  const note = (text, box, colour, element) => {
    let opacity = 1;
    for (let it = element; it; it = it.parentElement) opacity *= Number(getComputedStyle(it).opacity);
    if (box.width < 2 || box.left < 0 || box.top + scrollY < 0) return;
    found.push({
      text: text.trim().replace(/\s+/g, " ").slice(0, 40), colour, opacity,
      size: parseFloat(getComputedStyle(element).fontSize),
      box: [box.left, box.top + scrollY + 0.2 * box.height, box.width, 0.6 * box.height],
    });
  };
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node; (node = walker.nextNode());) {
    const parent = node.parentElement;
    if (!node.data.trim() || parent.closest("svg, script") || !shown(parent)) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    note(node.data, range.getClientRects()[0], getComputedStyle(parent).color, parent);
  }
  for (const text of document.querySelectorAll("svg text"))
    if (shown(text)) note(text.textContent, text.getBoundingClientRect(), getComputedStyle(text).fill, text);
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(`
    * { -webkit-text-fill-color: transparent !important; text-decoration-color: transparent !important; }
    svg text, svg tspan { fill: transparent !important; }`);
  document.adoptedStyleSheets = [sheet];
  return found;
}
