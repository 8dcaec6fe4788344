// The least contrast of texts against the picture of what lies behind them (WCAG 2.2, relative
// luminance and contrast ratio). A tenth of the pixels may be hairlines that cross the text.
async ({ picture, texts }) => {
  const image = new Image();
  image.src = `data:image/png;base64,${picture}`;
  await image.decode();
  const canvas = new OffscreenCanvas(image.width, image.height);
  const pen = canvas.getContext("2d", { willReadFrequently: true });
  pen.drawImage(image, 0, 0);
  const one = new OffscreenCanvas(1, 1).getContext("2d", { willReadFrequently: true });
  const rgba = (colour) => {
    one.clearRect(0, 0, 1, 1);
    one.fillStyle = colour;
    one.fillRect(0, 0, 1, 1);
    return one.getImageData(0, 0, 1, 1).data;
  };
  const linear = Array.from({ length: 256 }, (_, n) =>
    n / 255 <= 0.04045 ? n / 255 / 12.92 : ((n / 255 + 0.055) / 1.055) ** 2.4);
  const light = ([r, g, b]) => 0.2126 * linear[r] + 0.7152 * linear[g] + 0.0722 * linear[b];
  return texts.map(({ text, colour, opacity, box }) => {
    const [x, y, width, height] = box.map(Math.round);
    if (x + width > image.width || y + height > image.height || width < 1 || height < 1)
      return { text, ratio: null };
    const pixels = pen.getImageData(x, y, width, height).data;
    const ink = rgba(colour);
    const share = opacity * ink[3] / 255;
    const ratios = [];
    for (let i = 0; i < pixels.length; i += 4) {
      const ground = [pixels[i], pixels[i + 1], pixels[i + 2]];
      const seen = ground.map((part, n) => Math.round(share * ink[n] + (1 - share) * part));
      const [low, high] = [light(ground), light(seen)].sort((a, b) => a - b);
      ratios.push((high + 0.05) / (low + 0.05));
    }
    ratios.sort((a, b) => a - b);
    return { text, ratio: ratios[Math.floor(ratios.length / 10)] };
  });
}
